"""What is told to a student, as facts: short, about the step, and never about the student."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction

from calclib.answers.feedback.cause_words import cause_facts, next_step
from calclib.answers.feedback.consequences import STOP, choice_fact, choose_again, consequence
from calclib.answers.feedback.rounding_words import rounding_fact
from calclib.answers.numbers import path_of
from calclib.answers.roundings import Rounding
from calclib.answers.verdict import WRONG, Cause
from calclib.items.item import Item, ItemPart
from calclib.quantity.writing import is_singular, write_unit
from calclib.reading.records import Blank, Reading, Unread
from calclib.reading.writing import shown_number, shown_unit
from calclib.wording.facts import Fact, fact, of_kind
from calclib.wording.messages import WILL_LOOK

_RIGHT = (fact("verdict.right"),)
_CALCULATION_RIGHT = fact("verdict.calculation_right")

Told = tuple[Fact, ...]


def told_of(
    item: Item,
    part: ItemPart,
    reading: Reading | Unread | Blank,
    verdict: str,
    causes: tuple[Cause, ...],
    ratio: Fraction | None,
    critical: bool,
    way: Fact | None,
    *,
    also: str = "",
    another: bool = False,
    own: Told = (),
    rounding: Rounding | None = None,
) -> Told:
    """Return what is told of one answer; `calclib.wording.messages` puts it in words.

    Args:
        item: The item.
        part: The part.
        reading: How the answer was read.
        verdict: The verdict.
        causes: Mistakes that lead there.
        ratio: The answer over the key, None where there is none.
        critical: Whether the error is critical.
        way: How the answer is right, None where it is not.
        also: The verdict on the number where `verdict` is on the unit.
        another: Whether the number is right only by a path that does not lead to the key.
        own: What takes the place of the usual, as for a set-up.
        rounding: How the right value was rounded, where it was not rounded as asked.
    """
    if own and isinstance(reading, Reading):
        return (*own, *_notices(reading))
    if verdict == "right" and not another and isinstance(reading, Reading) and not reading.notices:
        return _RIGHT
    told = _first(part, reading, verdict, way, rounding)
    if another and verdict == "right_in_another_unit":  # what it converts to is not the key
        told = (fact("verdict.in_another_unit_by_another_way", unit=write_unit(part.unit)),)
    if also == "rounded_wrongly" and isinstance(reading, Reading):
        unit = write_unit(part.unit)
        wrong = fact("verdict.and_unit_wrong", typed=_typed_unit(reading), unit=unit)
        missing = fact("verdict.and_unit_missing", unit=unit) if verdict == "unit_missing" else wrong
        told = (*_first(part, reading, also, way, rounding), missing)
    elif also == "right_before_rounding":
        told = (*told, *_rule(part))
    if another and way is not None:
        told = (*told, fact("verdict.another_way", way=path_of(way), answer=part.answer))
    if verdict in WRONG and isinstance(reading, Reading) and (far := consequence(part, ratio)) is not None:
        told = (fact("verdict.far_off", typed=_shown(reading), consequence=far),)
    if isinstance(reading, Reading):
        told = (*told, *_about_the_mistake(part, reading, verdict, causes, ratio, critical), *_notices(reading))
    return told


def _about_the_mistake(
    part: ItemPart,
    reading: Reading,
    verdict: str,
    causes: tuple[Cause, ...],
    ratio: Fraction | None,
    critical: bool,
) -> Iterator[Fact]:
    """The cause, what it would mean, and what to do next."""
    wrong = verdict in WRONG
    if part.kind == "choice":
        if wrong:
            yield from choice_fact(part, reading.choice or "")
            yield choose_again(part, critical)
        return
    if not wrong:  # a right calculation has no other mistake in it than that it was rounded, which has been said
        causes = ()
    yield from cause_facts(causes)
    if verdict == "unit_wrong" and (far := consequence(part, ratio)) is not None:
        yield fact("verdict.as_typed", consequence=far)
    if critical:
        yield STOP
    elif wrong:
        yield next_step(causes, part.kind)


def _notices(reading: Reading) -> Iterator[Fact]:
    """The unsafe ways of writing, the first of them with its reason."""
    for place, rule in enumerate(dict.fromkeys(notice.rule for notice in reading.notices)):
        instead = of_kind("notation", rule)
        if place:
            yield fact("verdict.notation_too", instead=instead)
        else:
            yield fact("verdict.notation", instead=instead)
            yield fact("verdict.notation_why", why=of_kind("notation_why", rule))


def _first(
    part: ItemPart, reading: Reading | Unread | Blank, verdict: str, way: Fact | None, rounding: Rounding | None
) -> Told:
    if isinstance(reading, Unread):
        return (fact("verdict.unread", reason=reading.why), WILL_LOOK)
    if isinstance(reading, Blank):
        return (fact("verdict.blank"),)
    if verdict == "right":
        return _RIGHT
    if verdict == "rounded_wrongly":
        how = fact("rounding.wrongly") if rounding is None else rounding_fact(rounding)
        return (fact("verdict.rounded_wrongly", rounding=how), *_rule(part))
    if verdict == "carried_forward" and way is not None:
        return (fact("verdict.carried_forward", way=way),)
    return _TOLD[verdict](part, reading)


def _rule(part: ItemPart) -> Told:
    return (fact("verdict.rule", rule=part.rule_text),) if part.rule_text else ()


def _one_unit(part: ItemPart) -> Fact:
    if part.one_unit == "pump":
        return fact("verdict.pump_is_set_in")
    return fact("verdict.scale_is_read_in" if part.one_unit == "device" else "verdict.question_asks_for")


def not_judged_told(error: str) -> Told:
    """Return what is told of an answer that was not judged.

    Args:
        error: The kind of error.
    """
    return (kept_from_judging(error), WILL_LOOK)


def kept_from_judging(error: str) -> Fact:
    """Return that an error of this program kept an answer from being judged.

    Args:
        error: The kind of error.
    """
    return fact("verdict.not_judged", error=error)


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


def _shown(reading: Reading) -> str | Fact:
    """What was answered, a choice in quotes."""
    return fact("verdict.quoted", text=reading.choice) if reading.choice is not None else shown_words(reading)


def _typed_unit(reading: Reading) -> Fact:
    if not reading.unit:
        return fact("verdict.what_you_wrote")
    return fact("verdict.quoted", text=write_unit(shown_unit(reading.unit)))


def _unit_wrong(part: ItemPart, reading: Reading) -> Fact:
    if part.unit:
        return fact("verdict.unit_wrong", typed=_typed_unit(reading), unit=write_unit(part.unit))
    return fact("verdict.no_unit_asked", typed=_typed_unit(reading))


def _repeats(part: ItemPart) -> Fact:
    if part.kind == "clock":
        return fact("verdict.repeats_the_time")
    return fact("verdict.repeats_the_order", unit=write_unit(part.unit))


def _not_the_unit(part: ItemPart, reading: Reading) -> Fact:
    unit = write_unit(part.unit)
    return fact("verdict.number_right", typed=_typed_unit(reading), asked=_one_unit(part), unit=unit)


def _in_another_unit(part: ItemPart, reading: Reading) -> Fact:
    unit = write_unit(part.unit)
    return fact("verdict.in_another_unit", typed=shown_words(reading), answer=part.answer, unit=unit)


_TOLD: Mapping[str, Callable[[ItemPart, Reading], Told]] = {
    "right_in_another_unit": lambda part, reading: (_in_another_unit(part, reading),),
    "right_before_rounding": lambda part, _: (_CALCULATION_RIGHT, *_rule(part)),
    "not_the_unit_asked": lambda part, reading: (_not_the_unit(part, reading),),
    "repeats_the_order": lambda part, _: (_repeats(part),),
    "unit_missing": lambda part, _: (fact("verdict.unit_missing", unit=write_unit(part.unit)),),
    "unit_wrong": lambda part, reading: (_unit_wrong(part, reading),),
    "wrong_with_cause": lambda _, reading: (fact("verdict.not_right", typed=_shown(reading)),),
    "wrong": lambda _, reading: (fact("verdict.not_right", typed=_shown(reading)),),
}
