"""A disputed mark explained on one page of plain words, from what was recorded."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from calclib.answers import VERDICTS, MarkingPolicy, PartVerdict
from calclib.answers.feedback.explaining import explained, explained_as_recorded
from calclib.answers.judging_by_keys import judge_keyed
from calclib.class_files import class_folder
from calclib.class_files.names import visible
from calclib.errors import BadInput
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import PartResult, SetResults, StudentResult, attempt_in_words, set_results
from calclib.gradebook.standing import standing_told
from calclib.items import Item
from calclib.judging_papers import KeySources, accepting_by_rulings, key_sources, recorded_item, rulings_noted
from calclib.pages.appeal import appeal_in_words
from calclib.pages.own_history import for_the_record, own_history
from calclib.pages.times import late_in_words
from calclib.quantity.writing import percent_text, points_text
from calclib.records import (
    Ruling,
    SealedItem,
    Slot,
    in_force,
    marking_in_force,
    reading,
    ruled_on,
    ruling_fact,
    rulings_of,
    sealed_paper,
)
from calclib.records.history import events_of, papers_made
from calclib.records.set_aside import reason_of
from calclib.records.set_aside_facts import for_the_student
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import Fact, fact, of_kind, said, sentence
from calclib.wording.messages import recorded_message

_WIDE = 100
# Said once a page, though each part of a problem has them.
_ONCE = frozenset(
    {
        "explain.problem",
        "explain.own_numbers",
        "explain.not_needed",
        "explain.rounding_policy",
        "explain.marking_policy",
    }
)


@dataclass
class _Page:
    """By what a set is judged, and what the page says already."""

    marking: MarkingPolicy
    keys: KeySources
    rulings: tuple[Ruling, ...]
    pseudonym: str
    drawn_by: str
    slots: Mapping[int, Slot]
    said: set[str] = field(default_factory=set)


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
        raise BadInput(fact("errors_releasing.not_on_roster", student=visible(student)))
    if not one.parts:
        raise BadInput(fact("errors_pages.nothing_marked", name=one.student.name, student=student))
    numbers = [slot.number for slot in results.sealed.slots]
    if problem is not None and problem not in numbers:
        raise BadInput(fact("errors_pages.no_problem", problem=problem, first=numbers[0], last=numbers[-1]))
    with reading(where) as connection:
        paper = sealed_paper(connection, set_name, one.pseudonym, one.attempt)
        assert paper is not None, "what was marked was handed out"
        items = [item for item in paper.items if problem in (None, item.slot)]
        rulings = rulings_of(connection, set_name)
        made = papers_made(connection, set_name, one.pseudonym)
        events = events_of(connection, set_name, one.pseudonym)
        page = _Page(
            marking=marking_in_force(connection, results.sealed),
            keys=key_sources(connection, results.sealed, (item.drawn_by for item in items)),
            rulings=in_force(rulings),
            pseudonym=one.pseudonym,
            drawn_by=paper.library,
            slots={slot.number: slot.of_attempt(one.pseudonym, one.attempt) for slot in results.sealed.slots},
        )
    lines = [*_head(results, one)]
    for item in items:
        lines += _problem(item, [part for part in one.parts if part.mark.slot == item.slot], page)
    lines += _rulings(rulings, one.pseudonym, problem, results.sealed.slots)
    lines += ["", said("explain.what_was_done")]
    for line in own_history(results.sealed, made, events):
        lines += _wrapped(line)
    appeal = appeal_in_words(results.sealed)
    if appeal:
        lines += ["", said("explain.appeals"), *_wrapped(appeal)]
    lines += ["", said("explain.for_the_record")]
    for line in for_the_record(results.sealed, one, items, events):
        lines += _wrapped(line)
    return "\n".join(lines) + "\n"


def _head(results: SetResults, one: StudentResult) -> Iterator[str]:
    sealed = results.sealed
    student = fact("report.who", name=one.student.name, id=one.student.id)
    yield said("explain.head", student=student, title=sealed.title, set=sealed.name)
    attempt = attempt_in_words(sealed, one)
    if attempt:
        yield attempt
    points, of, percent = points_text(one.earned), points_text(sealed.points), percent_text(results.percent(one))
    if one.penalty:
        yield said("explain.points_late", points=points, of=of, percent=percent, penalty=points_text(one.penalty))
    else:
        yield said("explain.points", points=points, of=of, percent=percent)
    yield from textwrap.wrap(sentence(standing_told(results, one)), _WIDE)
    zone = zone_of(sealed)
    if one.time is not None:
        yield said("explain.handed_in", time=time_in_words(one.time, zone))
    late_words = late_in_words(sealed, one, zone)
    if late_words:
        yield from textwrap.wrap(late_words, _WIDE)
    if one.aside:
        yield said("explain.set_aside", why=for_the_student(one.aside))


def _problem(sealed: SealedItem, parts: Sequence[PartResult], page: _Page) -> Iterator[str]:
    item = recorded_item(sealed, page.drawn_by, page.keys)
    item = accepting_by_rulings(item, sealed.slot, page.rulings, page.pseudonym)
    verdicts = _judged_again(sealed, item, parts, page)
    yield from ("", said("explain.problem_number", number=sealed.slot))
    if sealed.keyed_since:
        made = page.keys.keying.of(sealed.model_id)
        numbers = tuple(fact("explain.ruling_number", number=ruling.number) for ruling in made)
        yield from _wrapped(said("explain.rekeyed", rulings=numbers))
    for note in sealed.notes:
        yield from _wrapped(said("rekeyed.noted", note=note))
    for result in parts:
        mark = result.mark
        verdict = verdicts.get(mark.part)
        yield ""
        slot = page.slots[sealed.slot]
        if len(slot.points) > 1:
            yield f"  {said('explain.part', place=slot.place(mark.part), part=slot.words(mark.part))}"
        worked = sealed.worked(mark.part)
        if verdict is None and mark.verdict in VERDICTS:
            verdict_words, policy = _recorded_verdict(result), page.keys.rounding
            lines = explained_as_recorded(item, mark.part, mark.typed, verdict_words, policy, worked_lines=worked)
            yield from _indented(iter(lines), page)
        elif verdict is None:
            yield from _never_judged(item, result)
        else:
            # The points of a set stand in its own records; the item knows its weights alone.
            lines = explained(item, verdict, page.marking, page.keys.rounding, worked_lines=worked)
            yield from _indented((line for line in lines if line.kind != "explain.score"), page)
        yield from _wrapped(said("explain.score_line", score=_score(result)))
        for ruling in rulings_noted(mark, page.rulings):
            number, day, what = ruling.number, fact("ruling.day", at=ruling.at), ruling_fact(ruling)
            yield from _wrapped(said("explain.ruling_made", number=number, day=day, what=what, reason=ruling.reason))
        if passed_over := mark.detail.get("ruling_passed_over"):
            yield from _wrapped(said("ruling.passed_over", number=passed_over))


def _judged_again(sealed: SealedItem, item: Item, parts: Sequence[PartResult], page: _Page) -> dict[str, PartVerdict]:
    """The verdicts in full, by part, where they are those that were recorded."""
    texts = {result.mark.part: result.mark.typed for result in parts}
    judged = judge_keyed(item, texts, page.marking, page.keys.ways(sealed))
    again = {verdict.part: verdict for verdict in judged}
    return {
        result.mark.part: again[result.mark.part]
        for result in parts
        if again[result.mark.part].verdict == result.mark.verdict
    }


def _never_judged(item: Item, result: PartResult) -> Iterator[str]:
    """For a cell that is missing, or a notebook that was set aside."""
    mark = result.mark
    part = item.part(mark.part)
    if part.rule_text:
        yield from _wrapped(said("explain.question_and_rule", asked=part.asked, rule=part.rule_text))
    else:
        yield from _wrapped(said("explain.question", asked=part.asked))
    typed = fact("explain.typed", text=mark.typed) if mark.typed.strip() else fact("explain.typed_nothing")
    yield from _wrapped(sentence(typed))
    yield from _wrapped(said("explain.accepted", answer=part.answer))
    yield from _wrapped(_recorded_verdict(result))


def _recorded_verdict(result: PartResult) -> str:
    mark = result.mark
    aside = reason_of(mark)
    told = recorded_message(mark.detail, looked_at=not result.open)
    message = sentence(for_the_student(aside)) if aside else told
    return said("explain.recorded_verdict", name=of_kind("verdict_name", mark.verdict), message=message).strip()


def _score(result: PartResult) -> Fact:
    mark = result.mark
    if not mark.points:
        return fact("explain.does_not_count")
    told = fact("explain.points_of", points=points_text(result.earned), of=points_text(mark.points))
    if result.manual is not None or result.extra:
        told = fact("explain.by_hand", points=told)
    if result.open:
        told = fact("explain.awaiting_review", points=told)
    score = fact("explain.ended", points=told)
    return fact("explain.person_wrote", score=score, comment=result.comment) if result.comment else score


def _indented(facts: Iterator[Fact], page: _Page) -> Iterator[str]:
    blank = False
    for one in facts:
        line = sentence(one)
        if not line:
            blank = True
            continue
        if one.kind in _ONCE:
            if line in page.said:
                continue
            page.said.add(line)
        if blank:
            yield ""
        blank = False
        yield from _wrapped(line)


def _rulings(rulings: Sequence[Ruling], pseudonym: str, problem: int | None, slots: Sequence[Slot]) -> Iterator[str]:
    yield from ("", said("explain.rulings"))
    here = [
        ruling
        for ruling in rulings
        if ruling.pseudonym in ("", pseudonym)
        and (problem is None or not ruling.problems or problem in ruling.problems)
    ]
    if not here:
        yield from _wrapped(said("explain.no_rulings"))
    for ruling in here:
        who = fact("explain.this_student" if ruling.pseudonym else "explain.everyone")
        number, day, where = ruling.number, fact("ruling.day", at=ruling.at), ruled_on(ruling, slots)
        what, by, reason = ruling_fact(ruling), ruling.by, ruling.reason
        told = fact("explain.ruling_of", number=number, day=day, where=where, who=who, what=what, reason=reason)
        if by:
            told = fact(
                "explain.ruling_by", number=number, day=day, by=by, where=where, who=who, what=what, reason=reason
            )
        yield from _wrapped(sentence(told))


def _wrapped(text: str) -> list[str]:
    return [
        line
        for paragraph in unseen_shown(text).split("\n")
        for line in textwrap.wrap(paragraph, _WIDE, initial_indent="  ", subsequent_indent="    ") or []
    ]
