"""A disputed mark explained on one page of plain words, from what was recorded."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from calclib.answers import MarkingPolicy
from calclib.answers.verdict import VERDICTS
from calclib.errors import BadInput
from calclib.items import Item, ItemPart, item_from_record
from calclib.pages.templating import percent_text, points_text
from calclib.quantity.writing import write_number, write_quantity
from calclib.records import (
    PartResult,
    Ruling,
    SetResults,
    StudentResult,
    class_folder,
    day_in_words,
    history_of,
    marking_in_force,
    policy_sources,
    reading,
    ruling_in_words,
    rulings_of,
    sealed_paper,
    set_results,
)
from calclib.records.names import visible

_WIDE = 100
_DIGITS = 6
_OWN_VERDICTS = {
    "missing": "the answer cell is not in the notebook; a person looks",
    "set_aside": "the whole notebook was set aside; a person looks",
}


@dataclass(frozen=True)
class _Policies:
    marking: MarkingPolicy
    marking_cited: str
    rounding: str
    rounding_says: str
    rounding_cited: str


def explanation(folder: Path, set_name: str, student: str, problem: int | None = None) -> str:
    """Return why a student's answers have the marks that they have.

    Args:
        folder: The class folder.
        set_name: The set.
        student: The student's id.
        problem: Number of the problem; None for the whole set.

    Raises:
        BadInput: no such set, student or problem, or nothing of it was marked.
    """
    where = class_folder(folder)
    results = set_results(where, set_name)
    one = next((one for one in results.students if one.student.id == student), None)
    if one is None:
        raise BadInput(f"No student of the roster has the id '{visible(student)}'.")
    if not one.parts:
        raise BadInput(f"Nothing of {one.student.name} ({student}) was marked in this set yet: run calclib mark first.")
    numbers = [slot.number for slot in results.sealed.slots]
    if problem is not None and problem not in numbers:
        raise BadInput(f"The set has no problem {problem}: its problems are {numbers[0]} to {numbers[-1]}.")
    with reading(where) as connection:
        paper = sealed_paper(connection, set_name, one.pseudonym, one.attempt)
        rulings = rulings_of(connection, set_name)
        history = history_of(connection, set_name, one.pseudonym)
        marking = marking_in_force(connection, results.sealed)
        rounding_says, rounding_cited, marking_cited = policy_sources(connection, results.sealed)
    policies = _Policies(marking, marking_cited, results.sealed.rounding, rounding_says, rounding_cited)
    assert paper is not None, "what was marked was handed out"
    lines = [*_head(results, one)]
    for sealed in paper.items:
        if problem in (None, sealed.slot):
            parts = [part for part in one.parts if part.mark.slot == sealed.slot]
            item = item_from_record(sealed.record)
            lines += [*_problem(sealed.slot, item, sealed.worked, parts, policies)]
    lines += [*_policies(policies)]
    lines += [*_rulings(rulings, one.pseudonym, problem)]
    lines += ["", "What was done, and when", *(f"  {line}" for line in history)]
    return "\n".join(lines) + "\n"


def _head(results: SetResults, one: StudentResult) -> Iterator[str]:
    sealed = results.sealed
    attempt = f", attempt {one.attempt}" if sealed.attempts > 1 or one.attempt > 1 else ""
    yield f"{one.student.name} ({one.student.id}): {sealed.title} ({sealed.name}){attempt}"
    late = f", {points_text(one.penalty)} taken off for being late" if one.penalty else ""
    score = f"{points_text(one.earned)} of {points_text(sealed.points)} points"
    yield f"{score} ({percent_text(results.percent(one))}){late}."
    if one.time is not None:
        yield f"Handed in {one.time.day} {one.time:%B %Y, %H:%M} UTC."
    if one.aside:
        yield f"The notebook was set aside: {one.aside}"


def _problem(
    number: int, item: Item, worked: Mapping[str, str], parts: Sequence[PartResult], policies: _Policies
) -> Iterator[str]:
    yield from ("", f"Problem {number}, with this student's own numbers")
    for paragraph in item.stem.split("\n\n"):
        yield from _wrapped(paragraph.strip())
    for result in parts:
        yield from _part(item.part(result.mark.part), result, worked, policies)


def _part(part: ItemPart, result: PartResult, worked: Mapping[str, str], policies: _Policies) -> Iterator[str]:
    mark, detail = result.mark, result.mark.detail
    yield ""
    yield from _wrapped(f"Asked: {part.asked} {part.rule_text}".strip())
    yield from _wrapped(f"Typed: {_typed(mark.typed)}")
    read = detail.get("reading") or {}
    if read.get("reason"):
        yield from _wrapped(f"Not read: {read['reason']} (at character {int(read.get('position', 0)) + 1})")
    elif read.get("shown"):
        yield from _wrapped(f"Read as: {read['shown']}")
    yield from _wrapped(f"Right answer: {part.answer}{_before_rounding(part)}")
    for line in _accepted(part):
        yield from _wrapped(f"Accepted: {line}")
    for line in worked.get(part.name, "").splitlines():
        yield from _wrapped(f"Worked: {line}")
    word = mark.verdict.replace("_", " ")
    yield from _wrapped(
        f"Verdict: {word}. That is: {VERDICTS.get(mark.verdict) or _OWN_VERDICTS.get(mark.verdict, '')}."
    )
    if detail.get("accepted_by"):
        yield from _wrapped(f"It is accepted by: {detail['accepted_by']}.")
    if detail.get("message"):
        yield from _wrapped(f"The student was told: {detail['message']}")
    for notice in mark.notices:
        yield from _wrapped(f"Unsafe notation ({str(notice['rule']).replace('_', ' ')}): {notice['source']}.")
    for line in _score(result, policies.marking):
        yield from _wrapped(f"Score: {line}")
    for ruling in detail.get("rulings", ()):
        why = f"Ruling {ruling['number']} of {day_in_words(ruling['at'])}: {ruling['says']} Reason: {ruling['reason']}"
        yield from _wrapped(why)
    if detail.get("ruling_passed_over"):
        yield from _wrapped(str(detail["ruling_passed_over"]))


def _typed(text: str) -> str:
    return f"“{text}”" if text.strip() else "nothing"


def _before_rounding(part: ItemPart) -> str:
    if part.kind != "quantity" or not isinstance(part.exact, Fraction) or part.exact == part.key:
        return ""
    return f" (before rounding about {write_number(part.exact, _DIGITS)})"


def _accepted(part: ItemPart) -> Iterator[str]:
    """Each accepted answer with the path that leads to it."""
    if part.kind == "choice":
        yield f"{part.accepted_choice}, by the comparison"
        return
    for one in part.accepted:
        if part.kind == "clock":
            yield f"{part.answer}, by: {one.by}"
        elif one.low == one.high:
            yield f"{_quantity(one.low, part.unit)}, by: {one.by}"
        else:
            yield f"{_quantity(one.low, part.unit)} to {_quantity(one.high, part.unit)}, by: {one.by}"
    if part.kind == "quantity":
        yield "the same value in another unit, converted exactly"
        for exact, by in part.other_exact:
            if isinstance(exact, Fraction):
                yield f"digits of {_quantity(exact, part.unit)} before rounding, by: {by}"


def _quantity(value: Fraction, unit: str) -> str:
    try:
        return write_quantity(value, unit)
    except BadInput:
        return f"about {write_quantity(Fraction(write_number(value, _DIGITS).replace(',', '')), unit)}"


def _score(result: PartResult, policy: MarkingPolicy) -> Iterator[str]:
    mark = result.mark
    if mark.verdict in policy.worth:
        worth = policy.worth[mark.verdict]
        sentence = (
            f"by the marking policy “{policy.name}” this verdict is worth {points_text(100 * worth)}% of the points"
        )
        costs = _costs(mark.notices, policy)
        if costs:
            sentence += f", less {points_text(100 * costs)}% for unsafe notation"
        if mark.fails != "nothing":
            sentence += f"; the error is critical and fails the {'whole set' if mark.fails == 'exam' else 'answer'}"
        elif mark.score < max(worth - costs, Fraction(0)) and not mark.detail.get("rulings"):
            sentence += "; number and unit were both looked at, and the lesser counts"
        yield f"{sentence}."
    if not mark.points:
        yield "the question doesn't count, so there are no points for it."
        return
    total = f"{points_text(result.earned)} of {points_text(mark.points)}"
    by_hand = " by hand in the gradebook" if result.manual is not None or result.extra else ""
    yield f"{total} {'point' if mark.points == 1 else 'points'}{by_hand}{', awaiting review' if result.open else ''}."
    if result.comment:
        yield f"a person wrote: {result.comment}"


def _costs(notices: Sequence[Mapping[str, Any]], policy: MarkingPolicy) -> Fraction:
    from calclib.reading import notation_rules

    known = notation_rules()
    listed = [known[n["rule"]].joint_commission for n in notices if n["rule"] in known]
    costs = (policy.joint_commission_costs if one else policy.other_notice_costs for one in listed)
    return sum(costs, Fraction(0))


def _policies(policies: _Policies) -> Iterator[str]:
    yield from ("", "The policies")
    yield from _wrapped(f"Marking: {policies.marking.name}. {policies.marking.says} Source: {policies.marking_cited}.")
    yield from _wrapped(f"Rounding: {policies.rounding}. {policies.rounding_says} Source: {policies.rounding_cited}.")


def _rulings(rulings: Sequence[Ruling], pseudonym: str, problem: int | None) -> Iterator[str]:
    here = [
        ruling
        for ruling in rulings
        if ruling.pseudonym in ("", pseudonym) and (problem is None or ruling.slot in (0, problem))
    ]
    yield from ("", "Rulings of faculty")
    if not here:
        yield "  None."
    for ruling in here:
        by = f" by {ruling.by}" if ruling.by else ""
        place = f"problem {ruling.slot}" if ruling.slot else "the set"
        if ruling.part:
            place += f", {ruling.part.replace('_', ' ')}"
        who = "this student" if ruling.pseudonym else "everyone"
        yield from _wrapped(
            f"{ruling.number}. {day_in_words(ruling.at)}{by}, {place}, {who}: "
            f"{ruling_in_words(ruling)} Reason: {ruling.reason}"
        )


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _WIDE, initial_indent="  ", subsequent_indent="    ", break_long_words=True) or [""]
