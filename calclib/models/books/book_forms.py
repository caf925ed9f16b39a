"""How books write values: “1 1/2 cups”, “q6h”, “7:30 pm”, “50 mg scored tablets”, rewritten as a stem states them."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache

from calclib.models.books.book_numbers import numerals, share_of
from calclib.models.books.book_times import frequency_form
from calclib.quantity.clock import ClockTime
from calclib.quantity.kinds import given_kinds
from calclib.quantity.units import Unit, unit_table
from calclib.reading.answers import read_answer
from calclib.reading.context import Context
from calclib.reading.records import Reading
from calclib.reading.vocabulary import NUMBERS, ORDERED, ordered_unit

_ORDER = Context(ordered=True)

_PACKS = r"(?:vials?|ampu?les?|ampuls?|syringes?|bags?|bottles?|powder|cans?|cartons?|glass(?:es)?|unit)"
_SOLID = r"(?:tablets?|tabs?|capsules?|caps?|caplets?|pulvules?|pills?|puffs?|vials?|ampules?|each|apiece)"
_VOLUME = r"(?:mls?|ccs?|l|lit(?:er|re)s?|millilit(?:er|re)s?|tsps?|teaspoons?(?:fuls?)?|tbsps?|tablespoons?(?:fuls?)?"
_VOLUME += r"|oz|ounces?)"
_NAME = r"(?:of |for )?(?!(?:in|per|to|or|and|over|daily|hourly|a|an|each|every)\b)[A-Za-z][A-Za-z' .-]*?"

_COUNT = (
    r"less|more|not|no|under|below|above|up|at|minus|than|to|and|or|from|between|gr|twice|thrice|double|triple|half"
)
_COUNT += r"|times|dozen|hundred|thousand|million|[a-z]+teen|[a-z]+ty|" + "|".join(NUMBERS)
_DRUG = rf"(?i)^(?:(?!(?:{_COUNT})\b)[a-z][a-z'-]* ){{1,4}}(?=\d)"
"""The name of a drug before its amount; words that change an amount are none."""


@cache
def unit_words() -> str:
    """Return a regular expression for a unit in any usual spelling, the longest first."""
    words = sorted({*ORDERED, *ORDERED.values(), *unit_table().symbols_of}, key=len, reverse=True)
    return "(?:" + "|".join(re.escape(word) for word in words) + ")"


def spelled(unit: str) -> str:
    """Return a unit text with the spellings of orders and labels replaced by the words of units.toml."""
    unit = re.sub(r"\s*(?:/|\bper\b)\s*", "/", unit.strip())
    return "/".join(_word(word) for word in unit.split("/"))


def _word(word: str) -> str:
    known = unit_table().symbols_of
    if word in known:
        return word
    return ordered_unit(word) or (word.lower() if word.lower() in known else word)


def book_form(kind: str, unit: Unit | None, text: str) -> str:
    """Return a text in the form in which a stem states it; what is not known stays as it is.

    Args:
        kind: The kind of given.
        unit: The working unit, None for text and clock times.
        text: For example "1 1/2 cups", "in 3 divided doses", "7:30 pm", "5 ft 6 in", "U-100".
    """
    if kind == "clock":
        return text
    text = re.sub(r"(?i)^(?:over|for|in) (?=(?:an?|half|one|two|three|four|five|six|eight|ten|twelve)\b)", "", text)
    if kind in ("mixture", "percent") and (fluid := dextrose_form(text)):
        return fluid
    text = numerals(_unpacked(text) if kind == "volume" else text)
    if kind == "frequency" and (stated := frequency_form(text)):
        return stated
    text = re.sub(r"^(?:over|for|every|in|at|about|after|is|of) (?=[\d])", "", text)
    known = given_kinds()[kind]
    for rule in known.spoken:
        text = _SPOKEN[rule](text, unit)
    text = re.sub(r"^(gr\.?) ?([\d/]+)(?=$|/| per )", r"\2 grain", text)
    text = re.sub(r"\s+(?:and|,)\s+(?=\d)|(?<=[a-z]),\s*(?=\d)", " ", text)
    text = re.sub(r"(?<=[a-z]) (?:of )?body ?weight\b", "", text)
    text = re.sub(
        r"(?<=[A-Za-z0-9]) (?:an?|each|every) (?=(?:h|hour|min|minute|day|kg|dose)\b)|(?<=[A-Za-z]) (?:daily|hourly)$",
        _per,
        text,
    )
    text = re.sub(r" in (?:equally )?divided doses$", "", text)
    text = re.sub(r"(?<=[a-z]) in 24 ?(?:h|hrs?|hours)$", "/day", text)
    if kind not in ("mixture", "drug_per_tab"):
        text = _without_words(re.sub(_DRUG, "", text) if known.drug_first else text, kind)
    if unit is not None and (known.bare or (kind == "duration" and str(unit) in ("yr", "mo", "day", "s"))):
        text = re.sub(r"^-?[\d.,]+(?:/\d+)?$", lambda m: f"{m[0]} {unit}", text)
    return " ".join(text.split())


def spoken_form(kind: str, text: str) -> str:
    """Return a time of day, or a value in words such as “one and a half cups”, as a stem states it; "" if it is none.

    Args:
        kind: The kind of given.
        text: The text; it is read by the grammar of answers, in its mode for orders.
    """
    if kind == "clock":
        time = read_answer(text, kind, context=_ORDER)
        if not isinstance(time, Reading) or time.clock is None:
            return ""
        minutes, days = time.clock
        return ClockTime(minutes, days or 0).write()
    if not text[:1].isalpha() and not re.search(r" (?:and|in the|at) ", text):
        return ""  # what begins with a digit must be a value as it stands: 1e3 mg is none
    found = read_answer(text, "quantity")
    if not isinstance(found, Reading):
        return ""
    powers = [power for power in found.unit if power[0] != "dose" or kind != "number"]
    known = all(symbol in unit_table().dimension_of for symbol, _ in powers)
    return f"{found.value} {Unit.of(powers)}".strip() if known else ""


def _per(match: re.Match[str]) -> str:
    return {"daily": "/day", "hourly": "/h"}.get(match[0].strip(), "/")


def _without_words(text: str, kind: str) -> str:
    """“500 mg PO q6h”, “48 units of NPH insulin” and “1 L 0.9% NaCl”: the amount alone.

    Words that hold another amount may change what is meant, and stay.
    """
    unit = unit_words()
    amount = rf"(-?[\d.,]+(?:/\d+)? ?{unit}(?:(?:/| per )(?:\d+ ?)?{unit})*)"
    match = re.fullmatch(rf"(?i){amount}[ ,;]+((?:of )?[A-Z\d].*)", text)
    if match is None or re.fullmatch(rf"(?i){amount}", text):
        return text
    if re.match(r"(?i)(?:or|and|to|per|in|over|each|every|an?|for|daily|hourly)\b", match[2]):
        return text
    rest = re.sub(r"(?i)\b(?:q ?|every )\d{1,2} ?(?:h|hrs?|hours?)\b|\bU-?\d+", "", match[2])
    if kind == "volume":
        return text if re.search(rf"(?i)\d ?-?(?:{_VOLUME}|h|hrs?|hours?|min|minutes?)\b", rest) else match[1]
    return text if re.search(r"\d", rest) else match[1]


def _unpacked(text: str) -> str:
    """“1 unit (350 mL)” and “one 8-oz can” say how much that is."""
    pack = rf"(?:1|one|an?) (?:{_PACKS}s? \((.+)\)|(\d[\d.,]*[ -]?{_VOLUME}) {_PACKS})"
    match = re.fullmatch(rf"(?i){pack}", text.strip())
    return match[1] or match[2].replace("-", " ") if match else text


def _mixture(text: str, unit: Unit | None) -> str:
    """Labels name drug and fluid, and say “= 5 mL”, “each 5 mL contains”, “U-100”, “D10W” or “1 in 1,000”."""
    if match := re.fullmatch(r"(?i)(?:[a-z]+ )*u[- ]?(\d{2,3})(?: insulin)?", text):
        return f"{match[1]} units/mL"
    if strength := percent_form(text):
        return strength
    if match := re.fullmatch(r"(?i)(?:[a-z][a-z '-]* )?1 ?(?::|in|to) ?([\d,]+)(?: (?!ml\b|l\b|cc\b)[a-z].*)?", text):
        return f"1:{match[1]}"
    one = r"(?:each |every |one |1 )?"
    if match := re.fullmatch(
        rf"(?i){one}((?:[\d.,]+ ?)?{_VOLUME}) ?(?:=|contains?|holds?|has|provides?) ?([\d.,]+ ?[^\d].*)", text
    ):
        text = f"{match[2]} in {match[1] if match[1][0].isdigit() else '1 ' + match[1]}"
    text = re.sub(r" ?= ?(?=[\d.])", "/", text)
    text = re.sub(_DRUG, "", text)
    text = re.sub(rf"(?i) in (?:a )?[a-z][a-z\d]*(?: [a-z]+)? (?=[\d.,]+ ?{_VOLUME}$)", " in ", text)
    text = re.sub(
        rf"(?i)^([\d.,/]+ ?{unit_words()}),? {_NAME}(?= ?/| (?:in|per|to|diluted|dissolved|mixed|added|made up)\b)",
        r"\1",
        text,
    )
    text = re.sub(
        r" (?:(?:diluted|dissolved|mixed|added|made up) )?(?:in|to) (?:an? |each |every )?(?=[\d.])", " in ", text
    )
    text = re.sub(rf"(?i) in (?:an? |each |every |one )?(?={_VOLUME}$)", " in 1 ", text)
    if match := re.fullmatch(rf"(?i)(.*?(?:/| in | per )(?:[\d.,]+ ?)?{_VOLUME})[ ,]+(.*)", text):
        text = match[1] if not re.search(rf"(?i)\d ?-?(?:{_VOLUME}|h|hrs?|hours?|min)\b", match[2]) else text
    return re.sub(r"(?i)(?:/| per )(?:each )?(?=(?:tsp|teaspoon|tbsp|tablespoon|oz|ounce)s?$)", "/1 ", text)


def dextrose_form(text: str) -> str:
    """Return the percent of dextrose in “D10W” or “D5 1/2 NS”; "" for anything else."""
    match = re.fullmatch(r"(?i)d(\d{1,2}(?:\.\d+)?)(?: ?(?:w|s|r|ns|lr)\b.*|[ /].*)?", text.strip())
    return f"{match[1]}%" if match else ""


def percent_form(text: str) -> str:
    """Return the percent of “lidocaine 1%”, “0.9% NaCl” or “1/2%”; "" for anything else."""
    match = re.fullmatch(
        r"(?i)(?:[a-z][a-z '-]* )?([\d.]+(?:/\d+)?) ?(?:%|percent)(?: (?:w/v|solution|strength|[a-z][^%\d]*))?", text
    ) or re.fullmatch(r"(?i)([\d.]+) ?% (?:dextrose|glucose) (?:in|and) .*", text)
    if match is None:
        return ""
    top, _, below = match[1].partition("/")
    return f"{_decimal(Fraction(top) / Fraction(below))}%" if below.strip("0") else f"{match[1]}%"


def _decimal(value: Fraction) -> str:
    """A fraction of a percent as a decimal, 1/4% as 0.25%."""
    return f"{value * 1000 // 1 / 1000:f}".rstrip("0").rstrip(".")


def _solid(text: str, unit: Unit | None) -> str:
    """“50 mg scored tablets”, “325 mg each”, “1 tablet = 60 mg” and “40 mg” as so much in a tablet, capsule or vial."""
    before = rf"(?:(?:each|1|scored|[a-z]+-coated|[a-z]+-release) )*(?:{_SOLID} ?)?"
    text = re.sub(rf"(?i)^{before}(?:(?:=|contain(?:s|ing)?|of|with) ?)?(?=\d)", "", text)
    text = re.sub(r"(?i),? ?(?:scored|coated)$", "", text)
    made = r"(?:[a-z-]*(?:scored|coated|release|strength) )*"
    amount = re.sub(rf"(?i)[ /]+(?:per |in (?:each|one|an?|1) )?{made}{_SOLID}$", "", text)
    container = next((word for word in (str(unit).rpartition("/")[2],) if word), "tablet")
    return amount if "/" in amount or " per " in amount else f"{amount}/{container}"


def _packed(text: str, unit: Unit | None) -> str:
    text = re.sub(r"(?<=[a-zA-Z]) of [A-Za-z].*$", "", text)
    text = re.sub(r" (?:(?:per|in|into|for) )(?:(?:one|each|an?) )?(?:site|injection|muscle)$", "", text)
    return re.sub(rf"(?i) (?:single-dose |multi-dose |multidose )?{_PACKS}$", "", text)


def _fluid(text: str, unit: Unit | None) -> str:
    """“None” is a volume too, and c is a cup where it can't be a temperature."""
    if text.lower() in ("none", "nothing", "nil", "zero", "0"):
        return f"0 {unit}"
    return re.sub(r"(?<=[\d ])c\.?$", "cup", text)


def _rate(text: str, unit: Unit | None) -> str:
    return f"0 {unit}" if text.lower() in ("none", "no", "0") else text


def _area(text: str, unit: Unit | None) -> str:
    return re.sub(r"(?i)^([\d.]+) ?(?:%|percent)(?: ?[a-z].*)?$", r"\1 % TBSA", text)


def _tall(text: str, unit: Unit | None) -> str:
    inches = r"(?:\"|''| ?in(?:\.|ch|ches)?)"
    text = re.sub(rf"(?i)^(\d) ?(?:'|ft\.?|feet|foot)[ ,-]*(?:and )?(\d[\d./]*){inches}?$", r"\1 ft \2 in", text)
    text = re.sub(r"^(\d)'$", r"\1 ft", text)
    return re.sub(r'^([\d.]+)"$', r"\1 in", text)


def _warm(text: str, unit: Unit | None) -> str:
    return re.sub(r"(?i)^(-?[\d.]+) ?(?:degrees?|deg\.?|°)$", rf"\1 {unit}", text)


def _factor(text: str, unit: Unit | None) -> str:
    if re.fullmatch(r"(?i)(?:micro|mini)-?(?:drip|drops?)?(?: set| tubing)?", text):
        return "60 gtt/mL"
    words = r"(?:of|is|at|a|the|with|drop|factor|set|tubing|macro-?drip|micro-?drip|calibrated|delivers?|per|=|:)"
    bare = re.sub(rf"(?i)\b{words}(?![a-z])|[=:]|(?:/ ?|(?<![\d.])1 ?)?(?:mls?|ccs?|millilit(?:er|re)s?)\b", " ", text)
    bare = re.sub(r"(?i)(?:gtts?\.?|(?:micro|macro)? ?drops?|mcgtts?|microgtts?)(?![a-z])", " ", bare).strip()
    return f"{bare} gtt/mL" if re.fullmatch(r"[\d.]+", bare) else text


def _share(text: str, unit: Unit | None) -> str:
    """“Half” and “D10W” as a percent; plain water holds none."""
    if re.fullmatch(r"(?i)(?:sterile |distilled |plain )?water", text):
        return "0%"
    half = share_of(text)
    return f"{Fraction(half) * 100}%" if half else percent_form(text) or text


def _charges(text: str, unit: Unit | None) -> str:
    return re.sub(r"^(?:\+ ?|valence (?:of )?)(?=\d)|(?<=\d) ?\+$", "", text)


def _lasting(text: str, unit: Unit | None) -> str:
    """“1 L q12h” and “lockout q6min” say how long something takes."""
    text = re.sub(r"(?i)^q ?(?=\d)", "", text)
    return {"per day": "1 day", "a day": "1 day", "per hour": "1 h", "day": "1 day", "hour": "1 h"}.get(text, text)


def _plain_number(text: str, unit: Unit | None) -> str:
    text = re.sub(r"(?i)(?<=[\d]) ?(?:-| )?strength$", "", text)
    if match := re.fullmatch(r"(\d{1,3}) ?%", text):
        return f"{match[1]}/100"
    share = share_of(re.sub(r"[ -]strength$", "", text.lower()))
    return share or re.sub(r"(?i)(?<=\d) ?(?:x|times?|doses?)(?:(?: (?:a|per|each))? day| daily)?$", "", text)


_SPOKEN: dict[str, Callable[[str, Unit | None], str]] = {
    "area": _area,
    "charges": _charges,
    "factor": _factor,
    "fluid": _fluid,
    "lasting": _lasting,
    "mixture": _mixture,
    "packed": _packed,
    "plain_number": _plain_number,
    "rate": _rate,
    "share": _share,
    "solid": _solid,
    "tall": _tall,
    "warm": _warm,
}
"""The rules that kinds.toml names."""
