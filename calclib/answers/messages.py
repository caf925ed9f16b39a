"""What is told to a student: short, about the step, and never about the student."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from calclib.answers.path_words import path_words
from calclib.answers.rounding_words import rounding_words
from calclib.answers.roundings import Rounding
from calclib.answers.verdict import Cause
from calclib.errors.messages import kept_from_judging
from calclib.items.item import Item, ItemPart
from calclib.quantity.writing import is_singular, write_unit
from calclib.reading.notation import notation_rules
from calclib.reading.records import Blank, Reading, Unread
from calclib.reading.writing import shown_number, shown_unit

GRAVE = Fraction(2)
_RIGHT = "Right."
_WILL_LOOK = " A person will look at it."


def message_of(
    item: Item,
    part: ItemPart,
    reading: Reading | Unread | Blank,
    verdict: str,
    causes: tuple[Cause, ...],
    ratio: Fraction | None,
    critical: bool,
    by: str,
    *,
    also: str = "",
    another: bool = False,
    own_words: str = "",
    rounding: Rounding | None = None,
) -> str:
    """Return the message on one answer.

    Args:
        item: The item.
        part: The part.
        reading: How the answer was read.
        verdict: The verdict.
        causes: Mistakes that lead there.
        ratio: The answer over the key, None where there is none.
        critical: Whether the error is critical.
        by: The path or the reason of the verdict.
        also: The verdict on the number where `verdict` is on the unit.
        another: Whether the number is right only by a path that does not lead to the key.
        own_words: What takes the place of the usual words, as for a set-up.
        rounding: How the right value was rounded, where it was not rounded as asked.
    """
    if own_words and isinstance(reading, Reading):
        return " ".join((own_words, *(_notice(notice.rule) for notice in reading.notices)))
    if verdict == "right" and not another and isinstance(reading, Reading) and not reading.notices:
        return _RIGHT
    sentences = [_first(part, reading, verdict, by, rounding)]
    if another and verdict == "right_in_another_unit":  # what it converts to is not the key
        sentences = [f"Right, in another unit: the question asks for {write_unit(part.unit)}."]
    if also == "rounded_wrongly" and isinstance(reading, Reading):
        missing = "the unit is missing" if verdict == "unit_missing" else f"{_typed_unit(reading)} is not the unit"
        first = _first(part, reading, also, by, rounding)
        sentences = [f"{first} And {missing}: write {write_unit(part.unit)}."]
    elif also == "right_before_rounding":
        sentences.append(part.rule_text)
    if another:
        way = path_words(by.removeprefix("the exact value by the path ").partition("”")[0].lstrip("“"))
        usual = f"By the usual way it is {part.answer}; with these numbers both ways count."
        sentences.append(f"Your way was: {way}. {usual}")
    if causes:
        sentences.append(_because(causes))
    if verdict in ("wrong", "wrong_with_cause", "unit_wrong") and isinstance(reading, Reading):
        sentences.append(_consequence(part, reading, ratio))
    if critical:
        sentences.append("An error of this size can do grave harm: stop, check the set-up and ask a second person.")
    if isinstance(reading, Reading):
        sentences += [_notice(notice.rule) for notice in reading.notices]
    return " ".join(s for s in sentences if s)


def _first(part: ItemPart, reading: Reading | Unread | Blank, verdict: str, by: str, rounding: Rounding | None) -> str:
    if isinstance(reading, Unread):
        return f"This could not be read: {reading.reason}{_WILL_LOOK}"
    if isinstance(reading, Blank):
        return "Nothing was answered."
    if verdict == "right":
        return _RIGHT
    if verdict == "rounded_wrongly" and rounding is not None:
        return f"The calculation is right, but {rounding_words(rounding)}. {part.rule_text}"
    return _WORDS[verdict](part, reading, by)


def _one_unit(part: ItemPart) -> str:
    return {"pump": "a pump is set in", "device": "the scale is read in"}.get(part.one_unit, "the question asks for")


def not_judged_message(error: str) -> str:
    """Return the message on an answer that was not judged.

    Args:
        error: The kind of error.
    """
    return f"{kept_from_judging(error)}{_WILL_LOOK}"


def looked_at(message: str) -> str:
    """Return a message without the promise that a person will look, once one has."""
    return message.removesuffix(_WILL_LOOK)


def shown_words(reading: Reading) -> str:
    """Return the answer as it was read, its unit in words: 48 vials, not 48 vial.

    Args:
        reading: How the answer was read.
    """
    if reading.value is None:
        return reading.shown
    number, unit = shown_number(reading.value), shown_unit(reading.unit)
    if not unit:
        return number
    return f"{number}{'' if unit[0] in '%°' else ' '}{write_unit(unit, one=is_singular(number))}"


def _typed_unit(reading: Reading) -> str:
    return f"“{write_unit(shown_unit(reading.unit))}”" if reading.unit else "what you wrote"


_WORDS: Mapping[str, Callable[[ItemPart, Reading, str], str]] = {
    "right_in_another_unit": lambda part, reading, _: (
        f"Right: {shown_words(reading)} is {part.answer}. The question asks for {write_unit(part.unit)}."
    ),
    "right_before_rounding": lambda part, _, __: f"The calculation is right. {part.rule_text}",
    "carried_forward": lambda _, __, by: f"Right from {by}.",
    "rounded_wrongly": lambda part, _, __: f"The calculation is right, but it was rounded wrongly. {part.rule_text}",
    "not_the_unit_asked": lambda part, reading, _: (
        f"The number is right for {_typed_unit(reading)}, but {_one_unit(part)} {write_unit(part.unit)}: write it so."
    ),
    "repeats_the_order": lambda part, _, __: (
        "This repeats the time as it is stated. Write it on the 24-hour clock."
        if part.kind == "clock"
        else f"This repeats the order; write it in {write_unit(part.unit)}."
    ),
    "unit_missing": lambda part, _, __: f"The number is right, but the unit is missing: write {write_unit(part.unit)}.",
    "unit_wrong": lambda part, reading, _: (
        f"The number is right, but {_typed_unit(reading)} is not the unit asked: it is {write_unit(part.unit)}."
    ),
    "wrong_with_cause": lambda _, reading, __: f"{shown_words(reading)} is not right.",
    "wrong": lambda _, reading, __: (
        f"{shown_words(reading)} is not right. Set it up again step by step, with the unit beside each number."
    ),
}


def _because(causes: tuple[Cause, ...]) -> str:
    first = causes[0]
    if first.certain:
        return f"It looks like {first.says}."
    sure = [c for c in causes if c.fault not in ("slip of the finger", "two mistakes")]
    slips = [c for c in causes if c.fault == "slip of the finger"]
    others = [c for c in causes if c.fault == "two mistakes"]
    parts = []
    if sure:
        parts.append("Could it be " + ", or ".join(c.says for c in sure) + "?")
    parts += [f"{'Or' if sure else 'Look again:'} {c.says}" for c in slips]
    parts += [f"Could it be {c.says}?" for c in others]
    return " ".join(parts)


def _consequence(part: ItemPart, reading: Reading, ratio: Fraction | None) -> str:
    """How grave it would be at the bedside, from twice or half on."""
    if part.kind == "choice":
        if part.proceed is not None and reading.choice == part.proceed:
            return "The order is outside the limits that are printed: it would be given all the same."
        return ""
    if ratio is None or ratio <= 0 or (1 / GRAVE < ratio < GRAVE):
        return ""
    times = ratio if ratio > 1 else 1 / ratio
    shown = _about(times)
    rate = part.unit.endswith(("/h", "/min"))
    too_much, too_little = ("too fast", "too slow") if rate else ("too much", "too little")
    if part.unit in ("h", "min"):
        too_much, too_little = "too long", "too short"
    return f"That is {shown} times {too_much if ratio > 1 else too_little}."


def _about(times: Fraction) -> str:
    if times.denominator == 1:
        return f"{times.numerator:,}"
    if times >= 10:
        return f"about {(times + Fraction(1, 2)).__floor__():,}"
    tenths = (times * 10 + Fraction(1, 2)).__floor__()
    return f"about {tenths // 10}" if tenths % 10 == 0 else f"about {tenths // 10}.{tenths % 10}"


def _notice(rule: str) -> str:
    entry = notation_rules()[rule]
    return f"Notation: {entry.instead} {entry.says}"
