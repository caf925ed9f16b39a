"""Why a disputed answer has the score that it has, as facts of `explain.toml`, a line each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from calclib.answers.feedback.messages import shown_words
from calclib.answers.marking_policy import MarkingPolicy
from calclib.answers.verdict import ANOTHER_PATH, RIGHT, PartVerdict
from calclib.errors.messages import BadInput
from calclib.items.item import Item, ItemPart
from calclib.models.model import SETUP
from calclib.models.stated import clock_text
from calclib.quantity.enclosure import Enclosure, Exact
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.writing import conversion_words, write_number, write_quantity
from calclib.reading.notation import notation_rules
from calclib.reading.records import Blank, Unread
from calclib.sources.catalogue import source
from calclib.wording.facts import Fact, fact, of_kind

_MORE_DIGITS = 4
_GAP = fact("explain.gap")
_NOTHING = fact("explain.typed_nothing")


def explained(
    item: Item,
    verdict: PartVerdict,
    marking: MarkingPolicy,
    policy: RoundingPolicy,
    *,
    ruling: str = "",
    worked_lines: Sequence[Fact] = (),
) -> tuple[Fact, ...]:
    """Return what explains one mark, a fact for each line.

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
        _GAP,
        *_answer(verdict),
        _GAP,
        *_accepted(item, part, policy),
        _GAP,
        *_score(part, verdict, marking),
    ]
    if ruling:
        lines += [_GAP, fact("explain.ruling", ruling=ruling)]
    return (*lines, *_worked(worked_lines))


def explained_as_recorded(
    item: Item, part: str, typed: str, said: str, policy: RoundingPolicy, *, worked_lines: Sequence[Fact] = ()
) -> tuple[Fact, ...]:
    """Return what explains a mark which an earlier version gave, and which this one would give otherwise.

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
    recorded = fact("explain.recorded", said=said)
    lines = [*_question(item, asked), _GAP, _typed(typed), _GAP, *_accepted(item, asked, policy), _GAP, recorded]
    return (*lines, *_worked(worked_lines))


def _worked(lines: Sequence[Fact]) -> tuple[Fact, ...]:
    if not lines:
        return ()
    return (_GAP, fact("explain.worked_solution"), *(fact("explain.worked_line", line=line) for line in lines))


def _typed(text: str) -> Fact:
    return fact("explain.typed", text=text) if text.strip() else _NOTHING


def _question(item: Item, part: ItemPart) -> Iterator[Fact]:
    yield fact("explain.problem", stem=item.stem)
    yield from (fact("explain.drawing", alt=drawing.alt) for drawing in item.pictures)
    if part.rule_text:
        yield fact("explain.question_and_rule", asked=part.asked, rule=part.rule_text)
    else:
        yield fact("explain.question", asked=part.asked)
    numbers = [given for given in item.givens if any(letter.isdigit() for letter in given.text)]
    stated = tuple(f"{given.says} {given.text}" for given in numbers if given.role != "distractor")
    yield fact("explain.own_numbers", numbers=stated)
    spare = tuple(f"{given.says} {given.text}" for given in numbers if given.role == "distractor")
    if spare:
        yield fact("explain.not_needed", numbers=spare)


def _answer(verdict: PartVerdict) -> Iterator[Fact]:
    reading = verdict.reading
    yield _typed(reading.text)
    if isinstance(reading, Blank):
        yield fact("explain.nothing_answered")
    elif isinstance(reading, Unread):
        not_read = fact("explain.not_read", reason=reading.why, place=reading.position + 1)
        yield fact("explain.kept_from_judging", reason=reading.why) if verdict.error else not_read
    else:
        yield fact("explain.read_as", reading=shown_words(reading))
        for rule, cited in verdict.notices:
            if rule == ANOTHER_PATH:
                yield fact("explain.only_by_another_way", policy=cited)
            else:
                yield fact("explain.unsafe_notation", why=of_kind("notation_why", rule), source=cited)


def _accepted(item: Item, part: ItemPart, policy: RoundingPolicy) -> Iterator[Fact]:
    if part.kind == "choice":
        yield fact("explain.accepted_choice", choice=part.accepted_choice or "")
        for choice, by in part.other_choices:
            yield fact("explain.accepted_by", value=choice, way=by)
    elif part.kind == SETUP:
        yield fact("explain.accepted_setup", unit=part.unit, answer=part.answer)
    else:
        for accepted in part.accepted:
            yield fact("explain.accepted_by", value=_value(part, accepted.low), way=accepted.by)
        if part.kind == "quantity":
            yield fact("explain.other_units")
        if part.exact is not None:
            yield fact("explain.before_rounding", value=_value(part, part.exact))
        for value, by in part.other_exact:
            yield fact("explain.before_rounding_by", way=by, value=_value(part, value))
    for name, text in item.equivalences.items():
        eq = replace(equivalences()[name], value=Fraction(text))
        cited = _cited(equivalences()[name].source)
        yield fact("explain.conversion", conversion=conversion_words(eq), source=cited)
    yield fact("explain.rounding_policy", title=policy.title, says=policy.says, source=_cited(policy.source))
    if part.rule is not None:
        yield fact("explain.rounding_rule", rule=part.rule_text, source=_cited(part.rule.source))


def _value(part: ItemPart, value: Exact) -> str | Fact:
    """A value in the unit asked; one without end with four digits more than the rule keeps."""
    if part.kind == "clock":
        number = value.middle if isinstance(value, Enclosure) else value
        return clock_text(Fraction(number.__floor__()))
    middle = value.middle if isinstance(value, Enclosure) else value
    try:
        return write_quantity(middle, part.unit) if middle is value else _about(middle, part)
    except BadInput:
        return _about(middle, part)


def _about(value: Fraction, part: ItemPart) -> Fact:
    places = _MORE_DIGITS
    while value and abs(value) * 10**places < 1000:
        places += 1
    return fact("explain.about", value=write_quantity(value, part.unit, places))


_STUDENTS = {"way.own_marked": "way.students_own_marked", "way.own_rounded": "way.students_own_rounded"}


def _score(part: ItemPart, verdict: PartVerdict, marking: MarkingPolicy) -> Iterator[Fact]:
    name, meaning = of_kind("verdict_name", verdict.verdict), of_kind("verdict_kind", verdict.verdict)
    yield fact("explain.verdict", name=name, meaning=meaning)
    if verdict.accepted_by and verdict.verdict in RIGHT:
        yield fact("explain.agrees_with", way=verdict.accepted_by)
    elif verdict.accepted_by:
        kind, fields = verdict.accepted_by
        yield fact("explain.right_from", way=Fact(_STUDENTS.get(kind, kind), fields))
    for cause in verdict.causes:
        yield fact("explain.only_mistake" if cause.certain else "explain.possible_mistake", clause=cause.what)
    yield fact("explain.marking_policy", title=marking.title, says=marking.says, source=_cited(marking.source))
    yield fact("explain.worth", share=_worth(marking.worth[verdict.verdict]))
    unsafe = [rule for rule, _ in verdict.notices if rule != ANOTHER_PATH]
    if unsafe and marking.worth[verdict.verdict]:
        cost = _cost(unsafe, marking)
        costs = fact("explain.notation_costs", share=_share(cost))
        yield costs if cost else fact("explain.notation_is_free")
    if len(unsafe) < len(verdict.notices):
        yield fact("explain.another_way_costs", share=_share(marking.another_path_costs))
    if verdict.critical:
        fails = _FAILS[marking.critical_fails]
        yield fact("explain.critical", factor=_share(marking.critical_factor), fails=fails)
    points = verdict.score * part.points
    count = 1 if points == 1 else 2
    yield fact("explain.score", share=_share(verdict.score), of=part.points, points=_share(points), count=count)


def _cost(unsafe: Sequence[str], marking: MarkingPolicy) -> Fraction:
    rules = notation_rules()
    costs = (
        marking.joint_commission_costs if rules[rule].joint_commission else marking.other_notice_costs
        for rule in unsafe
    )
    return sum(costs, Fraction(0))


_FAILS = {
    "nothing": fact("explain.fails_nothing"),
    "part": fact("explain.fails_part"),
    "exam": fact("explain.fails_exam"),
}


def _worth(share: Fraction) -> Fact:
    """A share of the points in words."""
    if share in (0, 1):
        return fact("explain.all_points" if share else "explain.no_points")
    return fact("explain.share_of_points", share=_share(share))


def _share(value: Fraction) -> str:
    try:
        return write_number(value)
    except BadInput:
        return write_number(value, 2)


def _cited(key: str) -> str:
    return source(key).cite()
