"""How books write values: “1 1/2 cups”, “q6h”, “7:30 pm”, “50 mg scored tablets”, rewritten as a stem states them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.quantity.units import Unit, unit_table

SPELLINGS = {
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "minute": "min", "minutes": "min", "mins": "min", "sec": "s",
    "secs": "s", "second": "s", "seconds": "s", "days": "day", "d": "day", "24 h": "day", "24h": "day", "24 hr": "day",
    "24 hours": "day", "24 hrs": "day", "weeks": "wk", "week": "wk", "month": "mo", "months": "mo",
    "years": "yr", "year": "yr", "y": "yr", "yrs": "yr", "years old": "yr", "year old": "yr", "years of age": "yr",
    "gtts": "gtt", "drop": "gtt", "drops": "gtt", "microdrops": "gtt", "microdrop": "gtt", "mcgtt": "gtt",
    "macrodrops": "gtt", "microgtt": "gtt", "gtt.": "gtt", "gtts.": "gtt",
    "milliliter": "mL", "milliliters": "mL", "millilitres": "mL", "ml": "mL", "mls": "mL", "cc": "mL", "ccs": "mL",
    "l": "L", "liter": "L", "liters": "L", "litre": "L", "litres": "L", "dl": "dL", "deciliter": "dL",
    "meq": "mEq", "milliequivalents": "mEq", "milliequivalent": "mEq",
    "µmol": "micromol", "μmol": "micromol", "umol": "micromol", "millimoles": "mmol",
    "moles": "mol", "M": "mol/L", "mM": "mmol/L",
    "tabs": "tab", "caps": "cap", "pill": "tab", "pills": "tab", "caplet": "tab", "caplets": "tab",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "lb.": "lb", "lbs.": "lb", "kgs": "kg", "kilogram": "kg",
    "kilograms": "kg", "kilo": "kg", "kilos": "kg", "micrograms": "mcg", "microgram": "mcg", "ug": "mcg", "µg": "mcg",
    "μg": "mcg", "milligrams": "mg", "milligram": "mg", "mgs": "mg", "grams": "g", "gram": "g", "gm": "g", "gms": "g",
    "nanograms": "ng", "grains": "grain", "gr": "grain", "gr.": "grain",
    "inches": "in", "inch": "in", "in.": "in", "feet": "ft", "foot": "ft", "centimeters": "cm", "centimeter": "cm",
    "meters": "m", "meter": "m", "metres": "m", "ounce": "oz", "ounces": "oz", "oz.": "oz", "fl oz": "oz",
    "fluid ounce": "oz", "fluid ounces": "oz", "fl. oz.": "oz", "fluidounces": "oz",
    "tablespoon": "tbsp", "tablespoons": "tbsp", "tablespoonful": "tbsp",
    "tablespoonfuls": "tbsp", "teaspoonful": "tsp", "teaspoonfuls": "tsp",
    "tbs": "tbsp", "T": "tbsp", "t": "tsp", "teaspoon": "tsp",
    "teaspoons": "tsp",
    "pint": "pt", "pints": "pt", "quart": "qt", "quarts": "qt", "gallon": "gal", "gallons": "gal",
    "glass": "cup", "glasses": "cup", "m^2": "m2", "m²": "m2", "sq m": "m2", "square meter": "m2",
    "doses": "dose", "u": "units", "iu": "units", "unit": "units", "international units": "units",
    "mU": "milliunits", "degf": "degF", "degc": "degC", "°c": "degC", "°f": "degF", "c": "degC", "f": "degF",
    "° c": "degC", "° f": "degF", "degrees celsius": "degC", "degrees centigrade": "degC", "celsius": "degC",
    "degrees fahrenheit": "degF", "fahrenheit": "degF", "percent": "%", "kilocalories": "kcal", "calories": "kcal",
    "cal": "kcal",
}  # fmt: skip
"""Usual spellings, in small letters, and the words of units.toml for them."""

_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅓": "1/3",
    "⅔": "2/3",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_NUMBERS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_SIGNS = {"−": "-", "–": "-", "²": "2", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "\N{NO-BREAK SPACE}": " "}

_FLUID = r"(?:D\d+W?|NS|LR|(?:\d[\d.]* ?% )?(?:normal |half[- ]?)?(?:saline|sodium chloride|NaCl|dextrose|glucose)"
_FLUID += r"(?: in water)?"
_FLUID += (
    r"|lactated Ringer'?s|(?:sterile |distilled )?water|diluent|solution|suspension|elixir|syrup|injection|IV fluid)"
)
_PACKS = r"(?:vials?|ampu?les?|ampuls?|syringes?|bags?|bottles?|powder|cans?|cartons?|glass(?:es)?|unit)"
_SOLID = r"(?:tablets?|tabs?|capsules?|caps?|caplets?|pulvules?|pills?|puffs?|vials?|ampules?|each|apiece)"

_SHARES = {"half": "1/2", "one half": "1/2", "one third": "1/3", "two thirds": "2/3", "one fourth": "1/4"}
_SHARES |= {"one quarter": "1/4", "quarter": "1/4", "three fourths": "3/4", "three quarters": "3/4", "full": "1"}
_SHARES |= {"1 half": "1/2", "1 third": "1/3", "2 thirds": "2/3", "1 fourth": "1/4", "1 quarter": "1/4"}
_SHARES |= {"3 fourths": "3/4", "3 quarters": "3/4"}

_END = r"((?:\d[\d,]*)?\.?\d+(?:/\d+)?)"
_RANGE = re.compile(rf"(?:from )?{_END}(\D*?)(?: ?[-—] ?| to ){_END} ?([A-Za-z%µμ].*)")
_BETWEEN = re.compile(rf"between {_END}(\D*?) and {_END} ?([A-Za-z%µμ].*)")

BARE_KINDS = (
    "area",
    "drop_factor",
    "tablets",
    "count",
    "drops",
    "charge_number",
    "percent",
    "burnt_area",
    "temperature",
    "mass_per_charge",
)
"""Kinds of which a bare number can only mean one thing."""


def spelled(unit: str) -> str:
    """Return a unit text with usual spellings replaced by the words of units.toml."""
    unit = re.sub(r"\s*(?:/|\bper\b)\s*", "/", unit.strip())
    return "/".join(_word(word) for word in unit.split("/"))


def _word(word: str) -> str:
    if word in unit_table().symbols_of:
        return word
    if word in SPELLINGS:
        return SPELLINGS[word]
    small = word.lower()
    return small if small in unit_table().symbols_of else SPELLINGS.get(small, word)


def book_form(kind: str, unit: Unit | None, text: str) -> str:
    """Return a text in the form in which a stem states it; what is not known stays as it is.

    Args:
        kind: The kind of given.
        unit: The working unit, None for text and clock times.
        text: For example "1 1/2 cups", "in 3 divided doses", "7:30 pm", "5 ft 6 in", "U-100".
    """
    if kind == "clock":
        return clock_form(text)
    text = _numerals(text)
    if kind == "frequency" and (stated := frequency_form(text)):
        return stated
    text = re.sub(r"^(?:over|for|every|in|at|about|after|is|of) (?=[\d])", "", text)
    for rewritten in _REWRITES.get(kind, ()):
        text = rewritten(text, unit)
    text = re.sub(r"^(gr\.?) ?([\d/]+)(?=$|/| per )", r"\2 grain", text)
    text = re.sub(r"\s+(?:and|,)\s+(?=\d)|(?<=[a-z]),\s*(?=\d)", " ", text)
    text = re.sub(r"(?<=[a-z]) (?:of )?body ?weight\b", "", text)
    text = re.sub(
        r"(?<=[A-Za-z0-9]) (?:an?|each|every) (?=(?:h|hour|min|minute|day|kg|dose)\b)|(?<=[a-z]) daily$", _per, text
    )
    if unit is not None and kind in BARE_KINDS + (("duration",) if str(unit) in ("yr", "mo", "day") else ()):
        text = re.sub(r"^-?[\d.,]+(?:/\d+)?$", lambda m: f"{m[0]} {unit}", text)
    return " ".join(text.split())


def _per(match: re.Match[str]) -> str:
    return "/day" if match[0].strip() == "daily" else "/"


def _numerals(text: str) -> str:
    """Fraction signs, mixed numbers, a decimal point without a 0, and numbers in words, as one numeral."""
    for sign, plain in _SIGNS.items():
        text = text.replace(sign, plain)
    for sign, fraction in _FRACTIONS.items():
        text = re.sub(rf"\s*{sign}\s*", f" {fraction} ", text)
    text = re.sub(r"(?<![\d.,])\.(?=\d)", "0.", text.strip())
    text = re.sub(r"(?i)^half an? |^(?:a )?half ", "1/2 ", text)
    text = re.sub(r"(?i)^an? (?=[a-z])", "1 ", text)
    text = re.sub(r"(?i)^(" + "|".join(_NUMBERS) + r")(?=[ -])", lambda m: str(_NUMBERS.index(m[1].lower()) + 1), text)
    text = re.sub(r"(?<![\d.,/])(\d{1,4})(?: |-| and )(\d{1,2})/(\d{1,2})(?![\d.,/])", _mixed, text)
    text = re.sub(r" ?\([^()]*\)$", "", text.rstrip("."))
    text = re.sub(r" ?/ ?", "/", text)
    text = re.sub(r"(?i)\bgr\.? ([ivx]{1,5}|ss|[ivx]{1,4}ss)(?=$|/| )", _roman, text)
    return re.sub(r"(?<=\d)-(?=[A-Za-z])", " ", " ".join(text.split()))


def _roman(match: re.Match[str]) -> str:
    """Grains in Roman numerals: gr xv, gr viiss."""
    letters, half = match[1].lower().removesuffix("ss"), match[1].lower().endswith("ss")
    values = [{"i": 1, "v": 5, "x": 10}[letter] for letter in letters]
    whole = sum(-v if v < max(values[i:]) else v for i, v in enumerate(values))
    return f"{whole + Fraction(int(half), 2)} grain"


def _mixed(match: re.Match[str]) -> str:
    whole, top, below = (int(piece) for piece in match.groups())
    return match[0] if below == 0 else str(whole + Fraction(top, below))


def frequency_form(text: str) -> str:
    """Return “every 6 h” or “3 doses/day” for q6h, t.i.d., “in 3 divided doses” and the like; "" for anything else."""
    words = re.sub(r"[.]", "", text.lower()).strip()
    words = re.sub(r"\b(" + "|".join(_NUMBERS) + r")\b", lambda m: str(_NUMBERS.index(m[1]) + 1), words)
    if match := re.fullmatch(r"(?:in )?(?:divided )?(?:doses )?(?:q|every) ?(\d{1,3}) ?(?:h|hrs?|hours?)", words):
        return f"every {match[1]} h"
    times = {
        "once": 1,
        "daily": 1,
        "qd": 1,
        "od": 1,
        "every day": 1,
        "hs": 1,
        "at bedtime": 1,
        "twice": 2,
        "bid": 2,
        "tid": 3,
        "qid": 4,
    }
    short = re.sub(r" (?:a|per|each|every) day$| daily$|/day$", "", words)
    if short in times:
        return f"{times[short]} doses/day"
    counted = r"(?:in |divided into |into )?(\d{1,2}) ?(?:x|times|(?:divided |equal |equally divided )*doses?)"
    if match := re.fullmatch(counted, short):
        return f"{match[1]} doses/day"
    return ""


def range_form(text: str) -> tuple[str, str] | None:
    """Return both ends of “20-40 mg/kg/day”, “20 to 40 mg/kg/day” or “20 mg to 1 g”; None for anything else.

    A lower end without a unit, or with the beginning of the other's, takes the other's: “2 mg-4 mg/kg” is from 2 mg/kg.

    Raises:
        BadInput: The range does not rise.
    """
    plain = _numerals(text)
    match = _RANGE.fullmatch(plain) or _BETWEEN.fullmatch(plain)
    if match is None:
        return None
    low, short, high, unit = (piece.strip() for piece in match.groups())
    if unit.startswith(short):
        if _number(low) >= _number(high):
            raise BadInput(f"the range “{text}” does not rise; write the lower end first")
        short = unit
    return f"{low} {short}", f"{high} {unit}"


def _number(text: str) -> Fraction:
    try:
        return Fraction(text.replace(",", ""))
    except ZeroDivisionError:
        raise BadInput(f"“{text}” divides by zero") from None


def clock_form(text: str) -> str:
    """Return a time such as “7:30 pm”, “noon” or “0600 hours” as four digits; a day in words stays behind it."""
    match = re.fullmatch(r"(.*?)( the (?:next day|day before)| \d{1,3} days (?:later|before))?", text.strip())
    assert match is not None
    words, day = match[1].lower().replace(".", ""), match[2] or ""
    if (word := re.sub(r"^12 ?", "", words)) in ("noon", "midnight"):
        return ("1200" if word == "noon" else "0000") + day
    found = re.fullmatch(r"(\d{1,2})(?::?(\d{2}))? ?(am|pm|h|hrs?|hours)?", words)
    if found is None or (found[2] is None and found[3] not in ("am", "pm")):
        return text
    hour, minute = int(found[1]), found[2] or "00"
    if found[3] in ("am", "pm"):
        if not 1 <= hour <= 12:
            return text
        hour = hour % 12 + (12 if found[3] == "pm" else 0)
    return f"{hour:02}{minute}{day}"


def _mixture(text: str, unit: Unit | None) -> str:
    """Labels name the fluid, and say “= 5 mL”, “U-100”, “D10W” or “1 in 1,000”."""
    if match := re.fullmatch(r"(?i)u-?(\d{2,3})(?: insulin)?", text):
        return f"{match[1]} units/mL"
    if match := re.fullmatch(r"(?i)d(\d{1,2}(?:\.\d)?)(?: ?w)?", text):
        return f"{match[1]}%"
    text = re.sub(rf"(?<=[L%\d]) ?(?:of |in )?{_FLUID}(?: (?:of )?{_FLUID})*$", "", text.strip())
    text = re.sub(r"^1 (?:in|to) ([\d,]+)$", r"1:\1", text)
    text = re.sub(r" percent\b", "%", text)
    text = re.sub(r" ?= ?(?=[\d.])", "/", text)
    text = re.sub(rf" {_PACKS}(?= |$)", "", text)
    text = re.sub(r" (?:(?:diluted|dissolved|mixed|added|made up) )?(?:in|to) (?:a )?(?=[\d.])", " in ", text)
    return re.sub(r"(?i)(?:/| per )(?:each )?(?=(?:tsp|teaspoon|tbsp|tablespoon|oz|ounce)s?$)", "/1 ", text)


def _solid(text: str, unit: Unit | None) -> str:
    """“50 mg scored tablets”, “325 mg each” and “40 mg” as so much in one tablet, capsule or vial."""
    amount = re.sub(rf"(?i)[ /]+(?:per )?(?:[a-z-]*(?:scored|coated|release|strength) )*{_SOLID}$", "", text)
    container = next((word for word in (str(unit).rpartition("/")[2],) if word), "tablet")
    return amount if "/" in amount or " per " in amount else f"{amount}/{container}"


def _packed(text: str, unit: Unit | None) -> str:
    text = re.sub(r"(?<=[a-zA-Z]) of [A-Za-z].*$", "", text)
    return re.sub(rf"(?i) (?:single-dose |multi-dose |multidose )?{_PACKS}$", "", text)


def _fluid(text: str, unit: Unit | None) -> str:
    """“1 L of 0.9% sodium chloride” and “500 mL packed red cells” name the fluid; “none” is a volume too."""
    if text.lower() in ("none", "nothing"):
        return f"0 {unit}"
    return re.sub(r"(?<=[Lc]) (?:of .*|[A-Za-z].*)$|(?<=liters) of .*$|(?<=liter) of .*$", "", text)


def _rate(text: str, unit: Unit | None) -> str:
    return f"0 {unit}" if text.lower() == "none" else text


def _area(text: str, unit: Unit | None) -> str:
    return re.sub(r"(?i)^([\d.]+) ?(?:%|percent) ?(?:tbsa|bsa|of .*|burns?)?$", r"\1 % TBSA", text)


def _tall(text: str, unit: Unit | None) -> str:
    text = re.sub(r"^(\d)' ?(\d[\d./]*)(?:\"|'')?$", r"\1 ft \2 in", text)
    text = re.sub(r"^(\d)'$", r"\1 ft", text)
    return re.sub(r'^([\d.]+)"$', r"\1 in", text)


def _factor(text: str, unit: Unit | None) -> str:
    if re.fullmatch(r"(?i)(?:micro|mini)-?drip(?: set| tubing)?", text):
        return "60 gtt/mL"
    return re.sub(
        r"^([\d.]+) ?(gtts?\.?|drops?|micro ?drops?|macro ?drops?)?(?: factor| set| tubing)?$", r"\1 gtt/mL", text
    )


def _plain_number(text: str, unit: Unit | None) -> str:
    text = re.sub(r"(?i)(?<=[\d]) ?(?:-| )?strength$", "", text)
    if match := re.fullmatch(r"(\d{1,3}) ?%", text):
        return f"{match[1]}/100"
    share = _SHARES.get(re.sub(r"[ -]strength$", "", text.lower()).replace("-", " "))
    return share or re.sub(r"(?i)(?<=\d) ?(?:x|times?|doses?)$", "", text)


_REWRITES: dict[str, Iterable[Callable[[str, Unit | None], str]]] = {
    "mixture": (_mixture,),
    "drug_per_tab": (_packed, _solid),
    "drug_amount": (_packed,),
    "volume": (_packed, _fluid),
    "dose_rate": (_rate,),
    "burnt_area": (_area,),
    "length": (_tall,),
    "drop_factor": (_factor,),
    "number": (_plain_number,),
}
