"""Legitimate answers to an item in many forms: every one must be judged right."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.items.item import Item, ItemPart
from calclib.quantity.enclosure import ends
from calclib.quantity.equivalences import bridge, equivalences
from calclib.quantity.units import Unit, parse_unit, unit_table
from calclib.quantity.writing import write_number
from calclib.reading.vocabulary import UNIT_SYMBOLS

MOST_DECIMALS = 6
READ = UNIT_SYMBOLS | {"tablet", "capsule"}

# Spellings of unit words that nobody refuses.
WORDS = {
    "mL": ("ml", "mL", "milliliters"),
    "L": ("L", "liters"),
    "h": ("h", "hr", "hour"),
    "min": ("min", "minute"),
    "day": ("day", "d"),
    "gtt": ("gtt", "gtts", "drops"),
    "mg": ("mg", "milligrams"),
    "mcg": ("mcg", "micrograms"),
    "g": ("g", "grams"),
    "units": ("units", "unit"),
    "tab": ("tab", "tablets"),
    "cap": ("cap", "capsules"),
    "kg": ("kg", "kilograms"),
    "lb": ("lb", "pounds"),
    "mEq": ("mEq", "meq"),
}


def legitimate_answers(item: Item) -> Iterator[tuple[str, str]]:
    """Yield pairs of part and text that answer it rightly."""
    for part in item.parts:
        kinds = {"quantity": quantity_texts, "clock": clock_texts, "choice": choice_texts, "setup": setup_texts}
        texts = kinds[part.kind](part)
        for text in dict.fromkeys(texts):
            yield part.name, text


def quantity_texts(part: ItemPart) -> Iterator[str]:
    """The key by every path, in harmless spellings, in every unit that answers, and the exact value more finely."""
    unit = parse_unit(part.unit)
    for accepted in part.accepted:
        number = decimal(accepted.low)
        if number is None:
            continue
        for spelled in spellings(unit):
            yield f"{number} {spelled}"
            yield f"{number}{spelled}"
            yield f"give {number} {spelled}."
            yield f"= {number} {spelled}"
            yield f" {number.replace(',', '')}  {spelled} "
        for other, scale in other_units(unit) if not part.one_unit else ():
            converted = decimal(accepted.low * scale)
            if converted is not None:
                yield f"{converted} {unit_word(other)}"
    yield from finer_texts(part, unit)


def finer_texts(part: ItemPart, unit: Unit) -> Iterator[str]:
    """Each path's exact value, rounded and cut off at more digits than the rule asks."""
    assert part.exact is not None and part.rule is not None
    step = part.rule.step_at(part.exact)
    if step == 0:
        return
    places = next(n for n in range(8) if (step * 10**n).denominator == 1)
    for exact, _ in ((part.exact, ""), *part.other_exact):
        low, high = ends(exact)
        for more in range(places + 1, places + 4):
            tens = 10**more
            for shift in (Fraction(0), Fraction(1, 2)):
                typed = Fraction((low * tens + shift).__floor__(), tens)
                # 48.05 cut off to 48.0 is written 48, which shows no more digits than are asked.
                finer = (typed * 10**places).denominator != 1
                if finer and typed == Fraction((high * tens + shift).__floor__(), tens) and typed > 0:
                    yield f"{write_number(typed)} {unit_word(unit)}"
        if low == high and low.denominator < 10**4:
            yield f"{low.numerator} / {low.denominator} {unit_word(unit)}"


def decimal(value: Fraction) -> str | None:
    """A number in full; None if it has no end or is no number that one would type."""
    if value <= 0 or (value * 10**MOST_DECIMALS).denominator != 1 or value >= 10**8:
        return None
    return write_number(value)


def unit_word(unit: Unit) -> str:
    """A unit as one types it."""
    return str(unit).replace("tablet", "tab").replace("capsule", "cap")


def spellings(unit: Unit) -> Iterator[str]:
    """The unit in harmless spellings."""
    text = unit_word(unit)
    yield text
    top, *below = text.split("/")
    for word in WORDS.get(top, (top,)):
        yield "/".join([word, *below])
        yield " per ".join([word, *below])
        if below:
            yield "/".join([word, *(WORDS.get(w, (w,))[-1] for w in below)])


def other_units(unit: Unit) -> Iterator[tuple[Unit, Fraction]]:
    """Units with one symbol changed for another by definitions, with the scale."""
    table = unit_table()
    for symbol, exponent in unit.powers:
        for other, dimension in table.dimension_of.items():
            if (
                abs(exponent) > 1
                or other == symbol
                or dimension != table.dimension_of[symbol]
                or table.word_of[other] not in READ
            ):
                continue
            there = unit * Unit.of([(symbol, -exponent), (other, exponent)])
            try:
                steps = bridge(unit, there)
            except BadInput:  # degrees C and F
                continue
            words = [table.word_of[s] for s, _ in there.powers]
            if (
                steps is None
                or len(set(words)) < len(words)
                or not all(equivalences()[name].definition for name, _ in steps)
            ):
                continue
            scale = Fraction(1)
            for name, power in steps:
                scale *= equivalences()[name].value ** power
            yield there, scale


def clock_texts(part: ItemPart) -> Iterator[str]:
    """A time of day as people type it."""
    assert part.key is not None
    day, minutes = divmod(int(part.key), 1440)
    hours, rest = divmod(minutes, 60)
    yield f"{hours:02d}{rest:02d}"
    yield f"{hours:02d}:{rest:02d}"
    yield part.answer
    if day == 1:
        yield f"{hours:02d}{rest:02d} next day"
    half = "am" if hours < 12 else "pm"
    if not part.one_unit:
        yield f"{(hours - 1) % 12 + 1}:{rest:02d} {half}"


def setup_texts(part: ItemPart) -> Iterator[str]:
    """A set-up as it is printed, with other signs, and its factors in another order where it only multiplies."""
    yield part.answer
    yield part.answer.replace(" x ", " * ")
    yield part.answer.replace(" x ", " × ")
    first, slash, divisor = part.answer.partition(" / ")
    turned = " x ".join(reversed(first.split(" x ")))
    yield f"{turned}{slash}{divisor}"


def choice_texts(part: ItemPart) -> Iterator[str]:
    """A choice as it is printed, in any case, with a period."""
    assert part.accepted_choice is not None
    yield part.accepted_choice
    yield part.accepted_choice.lower()
    yield f"{part.accepted_choice}."
