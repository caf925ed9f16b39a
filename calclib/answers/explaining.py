"""Why a disputed answer has the score that it has, on one page of plain words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from calclib.answers.marking_policy import MarkingPolicy
from calclib.answers.messages import shown_words
from calclib.answers.path_words import path_words
from calclib.answers.verdict import ANOTHER_PATH, RIGHT, VERDICTS, PartVerdict
from calclib.errors.messages import BadInput
from calclib.faults.factor_faults import conversion_words
from calclib.items.item import Item, ItemPart
from calclib.models.model import SETUP
from calclib.models.stated import clock_text
from calclib.quantity.enclosure import Enclosure, Exact
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.writing import write_number, write_quantity
from calclib.reading.notation import notation_rules
from calclib.reading.records import Blank, Unread
from calclib.sources.catalogue import source

_MORE_DIGITS = 4
_UNSAFE_IS_FREE = "Unsafe notation costs nothing by this policy; it is only said."


def explain_lines(
    item: Item,
    verdict: PartVerdict,
    marking: MarkingPolicy,
    policy: RoundingPolicy,
    *,
    ruling: str = "",
    worked_lines: Sequence[str] = (),
) -> tuple[str, ...]:
    """Return the lines that explain one mark.

    Args:
        item: The item as it was handed out.
        verdict: The verdict on the answer; it holds the text as typed.
        marking: The marking policy by which it was marked.
        policy: The rounding policy under which it was keyed.
        ruling: What faculty has ruled on it, in words.
        worked_lines: The worked solution.

    Raises:
        BadInput: The item has no such part.
    """
    part = item.part(verdict.part)
    lines = [
        *_question(item, part),
        "",
        *_answer(verdict),
        "",
        *_accepted(item, part, policy),
        "",
        *_score(part, verdict, marking),
    ]
    if ruling:
        lines += ["", f"Ruling by faculty: {ruling}"]
    return (*lines, *_worked(worked_lines))


def recorded_lines(
    item: Item, part: str, typed: str, said: str, policy: RoundingPolicy, *, worked_lines: Sequence[str] = ()
) -> tuple[str, ...]:
    """Return the lines that explain a mark which an earlier version gave, and which this one would give otherwise.

    Args:
        item: The item as it was handed out.
        part: Name of the part.
        typed: The text as typed.
        said: What was recorded of the verdict, in words.
        policy: The rounding policy under which it was keyed.
        worked_lines: The worked solution.

    Raises:
        BadInput: The item has no such part.
    """
    asked = item.part(part)
    lines = [*_question(item, asked), "", _typed(typed), "", *_accepted(item, asked, policy), "", said]
    return (*lines, *_worked(worked_lines))


def _worked(lines: Sequence[str]) -> tuple[str, ...]:
    return ("", "Worked solution:", *(f"  {line}" for line in lines)) if lines else ()


def _typed(text: str) -> str:
    return f"Typed: {f'“{text}”' if text.strip() else 'nothing'}"


def _question(item: Item, part: ItemPart) -> Iterator[str]:
    yield f"Problem: {item.stem}"
    yield from (drawing.alt for drawing in item.drawings)
    yield f"Question: {part.asked}{f' {part.rule_text}' if part.rule_text else ''}"
    numbers = [given for given in item.givens if any(letter.isdigit() for letter in given.text)]
    stated = [f"{given.says} {given.text}" for given in numbers if given.role != "distractor"]
    yield f"The student's own numbers: {'; '.join(stated)}."
    spare = [f"{given.says} {given.text}" for given in numbers if given.role == "distractor"]
    if spare:
        yield f"Stated, but not needed: {'; '.join(spare)}."


def _answer(verdict: PartVerdict) -> Iterator[str]:
    reading = verdict.reading
    yield _typed(reading.text)
    if isinstance(reading, Blank):
        yield "Nothing was answered."
    elif isinstance(reading, Unread):
        where = f" The reading stopped at character {reading.position + 1}."
        yield reading.reason if verdict.error else f"It could not be read: {reading.reason}{where}"
    else:
        yield f"Read as: {shown_words(reading)}"
        for rule, cited in verdict.notices:
            if rule == ANOTHER_PATH:
                yield f"It is right only by another way that the {cited} allows; draws avoid such numbers."
                continue
            yield f"Unsafe notation: {notation_rules()[rule].says} ({cited})"


def _accepted(item: Item, part: ItemPart, policy: RoundingPolicy) -> Iterator[str]:
    if part.kind == "choice":
        yield f"Accepted: {part.accepted_choice}. It follows from comparing the values, without rounding them."
        for choice, by in part.other_choices:
            yield f"Accepted: {choice}, by this way: {_stopped(path_words(by))}"
    elif part.kind == SETUP:
        yield (
            f"Accepted: every set-up of the problem's numbers and true conversions whose units cancel to {part.unit} "
            f"and that comes to the same, in any order or form, such as {part.answer}."
        )
    else:
        for accepted in part.accepted:
            yield f"Accepted: {_value(part, accepted.low)}, by this way: {_stopped(path_words(accepted.by))}"
        if part.kind == "quantity":
            yield "The same amount in any other unit is accepted too; it is converted exactly."
        if part.exact is not None:
            yield f"Before rounding: {_value(part, part.exact)}."
        for value, by in part.other_exact:
            yield f"Before rounding by another allowed way ({path_words(by)}): {_value(part, value)}."
    for name, text in item.equivalences.items():
        eq = replace(equivalences()[name], value=Fraction(text))
        yield f"Conversion: {conversion_words(eq)} ({_cited(equivalences()[name].source)})"
    yield f"Rounding policy: {policy.title}. {policy.says} ({_cited(policy.source)})"
    if part.rule is not None:
        yield f"Its rule for this answer: {part.rule_text} ({_cited(part.rule.source)})"


def _value(part: ItemPart, value: Exact) -> str:
    """A value in the unit asked; one without end with four digits more than the rule keeps."""
    if part.kind == "clock":
        number = value.middle if isinstance(value, Enclosure) else value
        return clock_text(Fraction(number.__floor__()))
    middle = value.middle if isinstance(value, Enclosure) else value
    try:
        return write_quantity(middle, part.unit) if middle is value else f"about {_about(middle, part)}"
    except BadInput:
        return f"about {_about(middle, part)}"


def _about(value: Fraction, part: ItemPart) -> str:
    places = _MORE_DIGITS
    while value and abs(value) * 10**places < 1000:
        places += 1
    return write_quantity(value, part.unit, places)


def _stopped(words: str) -> str:
    return words if words.endswith(".”") else f"{words}."


def _score(part: ItemPart, verdict: PartVerdict, marking: MarkingPolicy) -> Iterator[str]:
    yield f"Verdict: {verdict.verdict.replace('_', ' ')}, {VERDICTS[verdict.verdict]}."
    if verdict.accepted_by and verdict.verdict in RIGHT:
        yield f"It agrees with: {_stopped(path_words(verdict.accepted_by))}"
    elif verdict.accepted_by:
        own = verdict.accepted_by.replace("your own", "the student's own").replace("you rounded", "it was rounded")
        yield f"It is right from {own}."
    for cause in verdict.causes:
        sure = "The only known mistake that leads there" if cause.certain else "A mistake that could lead there"
        yield f"{sure}: {cause.says.rstrip('?')}."
    yield f"Marking policy: {marking.title}. {marking.says} ({_cited(marking.source)})"
    yield f"By this policy such an answer is worth {_worth(marking.worth[verdict.verdict])}."
    unsafe = [rule for rule, _ in verdict.notices if rule != ANOTHER_PATH]
    if unsafe and marking.worth[verdict.verdict]:
        cost = _cost(unsafe, marking)
        yield f"Unsafe notation takes off {_share(cost)}; nothing goes below 0." if cost else _UNSAFE_IS_FREE
    if len(unsafe) < len(verdict.notices):
        yield f"That another way was taken takes off {_share(marking.another_path_costs)}."
    if verdict.critical:
        yield (
            f"It is a critical error: {_share(marking.critical_factor)} times too large or too small or more, or going "
            f"ahead with an unsafe order. By this policy it fails {_fails(marking.critical_fails)}."
        )
    points = verdict.score * part.points
    word = "point" if points == 1 else "points"
    yield f"Score: {_share(verdict.score)} of what the part is worth ({part.points}), so {_share(points)} {word}."


def _cost(unsafe: Sequence[str], marking: MarkingPolicy) -> Fraction:
    rules = notation_rules()
    costs = (
        marking.joint_commission_costs if rules[rule].joint_commission else marking.other_notice_costs
        for rule in unsafe
    )
    return sum(costs, Fraction(0))


def _fails(what: str) -> str:
    return {"nothing": "nothing, but it is flagged", "part": "this part", "exam": "the exam"}[what]


def _worth(share: Fraction) -> str:
    """A share of the points in words."""
    return {Fraction(0): "no points", Fraction(1): "all of the points"}.get(share, f"{_share(share)} of the points")


def _share(value: Fraction) -> str:
    try:
        return write_number(value)
    except BadInput:
        return write_number(value, 2)


def _cited(key: str) -> str:
    return source(key).cite()
