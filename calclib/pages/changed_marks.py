"""Whose marks change, in words: as `calclib mark` and `calclib rule` print it, and the desk shows it first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from calclib.class_files.roster import Student
from calclib.judging_papers.changes import AnswerChange, Change, Resubmitted
from calclib.judging_papers.further_attempts import FurtherAttempt
from calclib.judging_papers.make_ruling import RekeyNote
from calclib.pages.change_words import cause_told
from calclib.quantity.writing import percent_text, points_text
from calclib.records.rulings.rekeyed_items import KeyChange
from calclib.records.set_times import time_in_words
from calclib.wording import Fact, fact, of_kind, said, sentence

SHOWN = 200


def in_order(changes: Iterable[Change]) -> list[Change]:
    """Return the changes in the order of need: whose result changes, then who loses most, then who gains."""
    return sorted(changes, key=lambda one: (not one.result_changes, not one.gain, one.gain))


def change_lines(changes: Iterable[Change], *, others: bool = False) -> Iterator[str]:
    """Give who gains, who loses and whose pass/fail result changes, and by which answers.

    Args:
        changes: What changes for each.
        others: Whether it was said of others that their marks change.
    """
    every = in_order(changes)
    if not every:
        yield said("change.nobody_elses" if others else "change.nobodys")
        return
    *standing, gains = summary_lines(every)
    for line in standing:
        yield f"{line}."
    yield f"{gains}:"
    for one in every[:SHOWN]:
        yield f"  {change_told(one)}"
        for line in reasons_told(one):
            yield f"    {line}"
    if len(every) > SHOWN:
        yield f"  {said('change.more', count=len(every) - SHOWN)}"


def change_told(one: Change) -> str:
    """Return what changes for a student: score and result before and after."""
    return said("change.who_changes", who=_who(one), scores=scores_told(one))


def reasons_told(one: Change) -> Iterator[str]:
    """Give the answers by which a student's marks change, and what that comes from."""
    for answer in one.answers:
        yield sentence(_answer(answer))
    if one.causes:
        yield said("change.because", causes=tuple(map(cause_told, one.causes)))


def resubmitted_lines(resubmitted: Sequence[Resubmitted], zone: dt.tzinfo = dt.UTC) -> Iterator[str]:
    """Give whose marks change by another notebook, first those who may have read the answers before."""
    every = sorted(resubmitted, key=lambda one: (one.feedback is None, -one.change.gain))
    for one in every[:SHOWN]:
        who, scores = _who(one.change), scores_told(one.change)
        if one.attempt:
            yield said("change.resubmitted_attempt", who=who, attempt=one.attempt, scores=scores)
        else:
            yield said("change.resubmitted", who=who, scores=scores)
        if one.feedback is not None:
            yield f"  {_warning(one.feedback, one.time, zone)}"
    if len(every) > SHOWN:
        yield said("change.more_resubmitted", count=len(every) - SHOWN)


def further_lines(further: Sequence[FurtherAttempt]) -> Iterator[str]:
    """Give each attempt that is marked beside another, and which one counts."""
    for one in further[:SHOWN]:
        yield sentence(_further(one))
    if len(further) > SHOWN:
        yield said("change.more_further", count=len(further) - SHOWN)


def key_lines(keys: Sequence[tuple[KeyChange, Student | None]]) -> Iterator[str]:
    """Give whose right answers are others than as they were handed out, by question."""
    for one, student in keys:
        place = fact("change.key_place", number=one.slot)
        if one.part:
            place = fact("change.key_place_part", number=one.slot, part=one.part)
        students = fact("change.have_another_key", count=one.students, of=fact("change.students", count=one.of))
        told = said("change.another_key", place=place, students=students)
        if student is not None:
            told = said(
                "change.another_key_such_as",
                place=place,
                students=students,
                who=fact("change.who", name=student.name, id=student.id),
                before=one.before,
                after=one.after,
            )
        yield f"{told}."


def note_lines(notes: Sequence[RekeyNote]) -> Iterator[str]:
    """Give what faculty should know of single students' problems that are re-keyed."""
    for one in notes[:SHOWN]:
        who = fact("change.who", name=one.student.name, id=one.student.id)
        yield said("change.rekeyed", who=who, problem=one.problem, told=one.told)
    if len(notes) > SHOWN:
        yield said("change.more_rekeyed", count=len(notes) - SHOWN)


def summary_lines(changes: Sequence[Change]) -> Iterator[str]:
    """Give of how many the pass/fail result changes, and last how many gain, lose and keep their score."""
    fail = [(one.failed_before, one.failed_after) for one in changes]
    await_ = [(one.waited_before, one.waits_after) for one in changes]
    reach = [(one.reached_before, one.reached_after) for one in changes]
    if count := _come(fail):
        yield said("change.fail", count=count)
    if count := _cease(fail):
        yield said("change.fail_no_longer", count=count)
    if count := _come(await_):
        yield said("change.wait", count=count)
    if count := _cease(await_):
        yield said("change.wait_no_longer", count=count)
    if count := _come(reach):
        yield said("change.pass", count=count, cut=percent_text(changes[0].cut))
    if count := _cease(reach):
        yield said("change.pass_no_longer", count=count, cut=percent_text(changes[0].cut))
    gain, lose = (sum(sign * one.gain > 0 for one in changes) for sign in (1, -1))
    told = [fact("change.gain", count=gain), fact("change.lose", count=lose)]
    if same := len(changes) - gain - lose:
        told.append(fact("change.keep", count=same))
    yield said("change.scores", scores=tuple(told))


def _come(pairs: Sequence[tuple[bool, bool]]) -> int:
    return pairs.count((False, True))


def _cease(pairs: Sequence[tuple[bool, bool]]) -> int:
    return pairs.count((True, False))


def _who(one: Change) -> Fact:
    return fact("change.who", name=one.student.name, id=one.student.id)


def scores_told(one: Change) -> Fact:
    """Return a student's score before and after, and whether the result changes."""
    before, after = _score(one.before, one.before_of), _score(one.after, one.after_of)
    same = fact("change.as_before", before=before)
    scores = same if before == after else fact("change.from_to", before=before, after=after)
    return fact("change.scores", scores=(scores, *_standing(one)))


def _standing(one: Change) -> Iterator[Fact]:
    if one.failed_before != one.failed_after:
        yield fact("change.now_fails" if one.failed_after else "change.no_longer_fails")
    if one.waited_before != one.waits_after and not one.failed_after:
        yield fact("change.now_waits" if one.waits_after else "change.no_longer_waits")
    if one.reached_before != one.reached_after:
        yield fact("change.now_passes" if one.reached_after else "change.no_longer_passes")


def _further(one: FurtherAttempt) -> Fact:
    told: list[Fact] = [_score(one.points, one.of)]
    if one.change is not None:
        return fact("change.further_counts", who=_who(one.change), attempt=one.attempt, scores=scores_told(one.change))
    if one.fails in ("exam", "exam_waits"):
        told.append(fact("change.fails_the_set" if one.fails == "exam" else "change.would_fail_the_set"))
    who = fact("change.who", name=one.student.name, id=one.student.id)
    scores, attempt = fact("change.scores", scores=tuple(told)), one.attempt
    if one.again:
        return fact("change.resubmitted_beside", who=who, attempt=attempt, scores=scores, counts=one.counts)
    if attempt == one.counts:
        return fact("change.further_alone", who=who, attempt=attempt, scores=scores)
    return fact("change.further_beside", who=who, attempt=attempt, scores=scores, counts=one.counts)


def _answer(one: AnswerChange) -> Fact:
    before, after = points_text(one.before), points_text(one.after)
    told = fact("change.answer", place=one.place, part=one.words, before=before, after=after)
    if one.verdict_before != one.verdict_after:
        verdicts = [of_kind("verdict_name", one) for one in (one.verdict_before, one.verdict_after) if one]
        changed = verdicts[0] if len(verdicts) == 1 else fact("change.from_to", before=verdicts[0], after=verdicts[1])
        told = fact("change.answer_more", answer=told, verdicts=changed)
    if one.failed_before != one.failed_after:
        more = fact("change.answer_fails" if one.failed_after else "change.answer_no_longer_fails")
        return fact("change.answer_and", answer=told, more=more)
    if one.waited_before != one.waits_after:
        more = fact("change.answer_waits" if one.waits_after else "change.answer_no_longer_waits")
        return fact("change.answer_and", answer=told, more=more)
    return told


def _score(points: Fraction, of: Fraction) -> Fact:
    earned, most = points_text(points), points_text(of)
    if not of:
        return fact("change.score", points=earned, of=most)
    return fact("change.score_percent", points=earned, of=most, percent=percent_text(100 * points / of))


def _warning(feedback: dt.datetime, time: dt.datetime | None, zone: dt.tzinfo) -> str:
    written = time_in_words(feedback, zone)
    if time is None:
        return said("change.feedback_unknown", feedback=written)
    if feedback <= time:
        return said("change.feedback_before", feedback=written, time=time_in_words(time, zone))
    return said("change.feedback_after", feedback=written, time=time_in_words(time, zone))
