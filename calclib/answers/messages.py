"""What is told to a student: short, about the step, and never about the student."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from calclib.answers.cause_words import cause_sentences, next_step
from calclib.answers.consequences import CHECK_CHOICE, STOP, choice_sentence, consequence
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

MOST_WORDS = 45
# What stays when a message would be too long: what must be said, then in this order.
_MUST, _OTHER_CAUSE, _CONSEQUENCE, _WHY, _MORE_NOTICES = range(5)


class _Said(NamedTuple):
    """A sentence, how soon it is left out, and what then stands in its place."""

    rank: int
    text: str
    shorter: str = ""


_WRONG = frozenset({"wrong", "wrong_with_cause"})
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
        return _within_limit([_Said(_MUST, own_words), *_notices(reading)])
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
    said = [_Said(_MUST, sentence) for sentence in sentences]
    if verdict in _WRONG and isinstance(reading, Reading) and (far := consequence(part, ratio)):
        said = [
            _Said(_CONSEQUENCE, f"{_shown(reading)} is not right: it is {far}.", f"{_shown(reading)} is not right.")
        ]
    if isinstance(reading, Reading):
        said += _about_the_mistake(part, reading, verdict, causes, ratio, critical)
        said += _notices(reading)
    return _within_limit(said)


def _about_the_mistake(
    part: ItemPart,
    reading: Reading,
    verdict: str,
    causes: tuple[Cause, ...],
    ratio: Fraction | None,
    critical: bool,
) -> list[_Said]:
    """The cause, what it would mean, and what to do next."""
    wrong = verdict in _WRONG
    if part.kind == "choice":
        if not wrong:
            return []
        return [
            _Said(_MUST, choice_sentence(part, reading.choice or "")),
            _Said(_MUST, STOP if critical else CHECK_CHOICE),
        ]
    said: list[_Said] = []
    if not wrong:  # a right calculation has no other mistake in it than that it was rounded, which has been said
        causes = ()
    if causes:
        first, other = cause_sentences(causes)
        said += [_Said(_MUST, first), _Said(_OTHER_CAUSE, other)]
    if verdict == "unit_wrong" and (far := consequence(part, ratio)):
        said.append(_Said(_CONSEQUENCE, f"As typed, it is {far}."))
    if critical:
        said.append(_Said(_MUST, STOP))
    elif wrong:
        said.append(_Said(_MUST, next_step(causes, part.kind)))
    return said


def _notices(reading: Reading) -> list[_Said]:
    """The unsafe ways of writing, the first of them with its reason."""
    said = []
    for place, rule in enumerate(dict.fromkeys(notice.rule for notice in reading.notices)):
        entry = notation_rules()[rule]
        said.append(_Said(_MUST if place == 0 else _MORE_NOTICES, f"Notation: {entry.instead}"))
        said += [_Said(_WHY, entry.says)] if place == 0 else []
    return said


def _within_limit(said: Sequence[_Said]) -> str:
    """The sentences in their order, the least needed left out until so many words are left."""
    kept = [one for one in said if one.text]
    while sum(len(one.text.split()) for one in kept) > MOST_WORDS:
        least = max(one.rank for one in kept)
        if least == _MUST:
            break
        last = max(place for place, one in enumerate(kept) if one.rank == least)
        kept[last : last + 1] = [_Said(_MUST, kept[last].shorter)] if kept[last].shorter else []
    return " ".join(one.text for one in kept)


def _first(part: ItemPart, reading: Reading | Unread | Blank, verdict: str, by: str, rounding: Rounding | None) -> str:
    if isinstance(reading, Unread):
        return f"This could not be read: {reading.reason}{_WILL_LOOK}"
    if isinstance(reading, Blank):
        return "Nothing was answered. Set the problem up step by step, even if you are not sure of the end."
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


def _shown(reading: Reading) -> str:
    """What was answered, a choice in quotes."""
    return f"“{shown_words(reading)}”" if reading.choice is not None else shown_words(reading)


def _typed_unit(reading: Reading) -> str:
    return f"“{write_unit(shown_unit(reading.unit))}”" if reading.unit else "what you wrote"


_WORDS: Mapping[str, Callable[[ItemPart, Reading, str], str]] = {
    "right_in_another_unit": lambda part, reading, _: (
        f"Right: {shown_words(reading)} is {part.answer}. The question asks for {write_unit(part.unit)}."
    ),
    "right_before_rounding": lambda part, _, __: f"The calculation is right. {part.rule_text}",
    "carried_forward": lambda _, __, by: f"Right from {by.replace('_', ' ')}. Check that answer again.",
    "rounded_wrongly": lambda part, _, __: f"The calculation is right, but it was rounded wrongly. {part.rule_text}",
    "not_the_unit_asked": lambda part, reading, _: (
        f"The number is right in {_typed_unit(reading)}, but {_one_unit(part)} {write_unit(part.unit)}."
    ),
    "repeats_the_order": lambda part, _, __: (
        "This repeats the time as it is stated. Write it on the 24-hour clock."
        if part.kind == "clock"
        else f"This repeats the order; write it in {write_unit(part.unit)}."
    ),
    "unit_missing": lambda part, _, __: f"The number is right, but the unit is missing: write {write_unit(part.unit)}.",
    "unit_wrong": lambda part, reading, _: (
        f"The number is right, but {_typed_unit(reading)} is not the unit asked: write {write_unit(part.unit)}."
        if part.unit
        else f"The number is right, but the question asks for a number alone: leave out {_typed_unit(reading)}."
    ),
    "wrong_with_cause": lambda _, reading, __: f"{_shown(reading)} is not right.",
    "wrong": lambda _, reading, __: f"{_shown(reading)} is not right.",
}
