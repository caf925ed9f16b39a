"""A disputed mark explained on one page of plain words, from what was recorded."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from calclib.answers import VERDICTS, MarkingPolicy, PartVerdict
from calclib.answers.feedback.explaining import explained, explained_as_recorded
from calclib.answers.keyed_judging import judge_keyed
from calclib.class_files import class_folder
from calclib.class_files.names import visible
from calclib.errors import BadInput
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import PartResult, SetResults, StudentResult, attempt_in_words, set_results
from calclib.gradebook.standing import standing_in_words
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
from calclib.wording import Fact, fact, said, sentence
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
        raise BadInput(f"No student of the roster has the id '{visible(student)}'.")
    if not one.parts:
        raise BadInput(
            f"Nothing of {one.student.name} ({student}) was marked in this set: nothing was handed in, or it wasn't "
            "collected and marked yet."
        )
    numbers = [slot.number for slot in results.sealed.slots]
    if problem is not None and problem not in numbers:
        raise BadInput(f"The set has no problem {problem}: its problems are {numbers[0]} to {numbers[-1]}.")
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
            slots={slot.number: slot for slot in results.sealed.slots},
        )
    lines = [*_head(results, one)]
    for item in items:
        lines += _problem(item, [part for part in one.parts if part.mark.slot == item.slot], page)
    lines += _rulings(rulings, one.pseudonym, problem)
    lines += ["", "What was done, and when"]
    for line in own_history(results.sealed, made, events):
        lines += _wrapped(line)
    appeal = appeal_in_words(results.sealed)
    if appeal:
        lines += ["", "Appeals", *_wrapped(appeal)]
    lines += ["", "For the record"]
    for line in for_the_record(results.sealed, one, items, events):
        lines += _wrapped(line)
    return "\n".join(lines) + "\n"


def _head(results: SetResults, one: StudentResult) -> Iterator[str]:
    sealed = results.sealed
    yield f"{one.student.name} ({one.student.id}): {sealed.title} ({sealed.name})"
    attempt = attempt_in_words(sealed, one)
    if attempt:
        yield attempt
    late = f", {points_text(one.penalty)} taken off for being late" if one.penalty else ""
    score = f"{points_text(one.earned)} of {points_text(sealed.points)} points"
    yield f"{score} ({percent_text(results.percent(one))}){late}."
    yield from textwrap.wrap(standing_in_words(results, one), _WIDE)
    zone = zone_of(sealed)
    if one.time is not None:
        yield f"Handed in {time_in_words(one.time, zone)}."
    late_words = late_in_words(sealed, one, zone)
    if late_words:
        yield from textwrap.wrap(late_words, _WIDE)
    if one.aside:
        yield f"The notebook was set aside: {sentence(for_the_student(one.aside))}"


def _problem(sealed: SealedItem, parts: Sequence[PartResult], page: _Page) -> Iterator[str]:
    item = recorded_item(sealed, page.drawn_by, page.keys)
    item = accepting_by_rulings(item, sealed.slot, page.rulings, page.pseudonym)
    verdicts = _judged_again(sealed, item, parts, page)
    yield from ("", f"Problem {sealed.slot}")
    if sealed.keyed_since:
        numbers = " and ".join(f"ruling {ruling.number}" for ruling in page.keys.keying.of(sealed.model_id))
        yield from _wrapped(f"Re-keyed by {numbers}, from the numbers that were handed out.")
    for note in sealed.notes:
        yield from _wrapped(said("rekeyed.noted", note=note))
    for result in parts:
        mark = result.mark
        verdict = verdicts.get(mark.part)
        yield ""
        if len(page.slots[sealed.slot].points) > 1:
            yield f"  Part {page.slots[sealed.slot].place(mark.part)}, {mark.part.replace('_', ' ')}"
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
        yield from _wrapped(f"Score: {_score(result)}")
        for ruling in rulings_noted(mark, page.rulings):
            day, decided = said("ruling.day", at=ruling.at), sentence(ruling_fact(ruling))
            yield from _wrapped(f"Ruling {ruling.number} of {day}: {decided} Reason: {ruling.reason}")
        if number := mark.detail.get("ruling_passed_over"):
            yield from _wrapped(said("ruling.passed_over", number=number))


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
    yield from _wrapped(f"Question: {part.asked} {part.rule_text}".strip())
    typed = fact("explain.typed", text=mark.typed) if mark.typed.strip() else fact("explain.typed_nothing")
    yield from _wrapped(sentence(typed))
    yield from _wrapped(f"Accepted: {part.answer}")
    yield from _wrapped(_recorded_verdict(result))


def _recorded_verdict(result: PartResult) -> str:
    mark = result.mark
    aside = reason_of(mark)
    told = recorded_message(mark.detail, looked_at=not result.open)
    message = sentence(for_the_student(aside)) if aside else told
    return f"Recorded verdict: {mark.verdict.replace('_', ' ')}. {message}".strip()


def _score(result: PartResult) -> str:
    mark = result.mark
    if not mark.points:
        return "the question doesn't count, so there are no points for it."
    total = f"{points_text(result.earned)} of {points_text(mark.points)} {'point' if mark.points == 1 else 'points'}"
    by_hand = ", by hand in the gradebook" if result.manual is not None or result.extra else ""
    comment = f" A person wrote: {result.comment}" if result.comment else ""
    return f"{total}{by_hand}{', awaiting review' if result.open else ''}.{comment}"


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


def _rulings(rulings: Sequence[Ruling], pseudonym: str, problem: int | None) -> Iterator[str]:
    yield from ("", "Rulings of faculty")
    here = [
        ruling
        for ruling in rulings
        if ruling.pseudonym in ("", pseudonym)
        and (problem is None or not ruling.problems or problem in ruling.problems)
    ]
    if not here:
        yield "  None."
    for ruling in here:
        by = f" by {ruling.by}" if ruling.by else ""
        who = "this student" if ruling.pseudonym else "everyone"
        day = said("ruling.day", at=ruling.at)
        yield from _wrapped(
            f"{ruling.number}. {day}{by}, {sentence(ruled_on(ruling))}, {who}: "
            f"{sentence(ruling_fact(ruling))} Reason: {ruling.reason}"
        )


def _wrapped(text: str) -> list[str]:
    return [
        line
        for paragraph in unseen_shown(text).split("\n")
        for line in textwrap.wrap(paragraph, _WIDE, initial_indent="  ", subsequent_indent="    ") or []
    ]
