"""What is said of further attempts that were given: by `calclib again`, and at the desk."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from calclib.class_files.roster import Student
from calclib.records.lateness import Due
from calclib.records.set_times import time_in_words
from calclib.releasing.further_attempts.another_attempt import GivenAgain
from calclib.releasing.further_attempts.eligible import PASSES
from calclib.wording import Fact, fact, said

MOST_NAMED = 50


def again_lines(
    result: GivenAgain, zone: dt.tzinfo, *, named: bool, due: bool, commands: Mapping[str, str]
) -> Iterator[str]:
    """Give who has another attempt until when, what stands in it, what still waits, and who has none and why.

    Args:
        result: What was given.
        zone: The zone in which times are told.
        named: Whether the students were named, so that each who has none is told alone.
        due: Whether a due time was given.
        commands: The commands that lead on, by "again" and "review"; none where that is seen otherwise.
    """
    yield said("another_attempt.given", count=len(result.given), folder=str(result.folder))
    for student, attempt in result.given:
        until = _due(result.due[student.id], zone)
        yield said("another_attempt.student", who=who_told(student), number=attempt, due=until)
    if result.given and not due:
        yield said("another_attempt.no_due_given")
    if result.given:
        if command := commands.get("again"):
            yield said("another_attempt.see_parallel", command=command)
        for number, model in sorted(result.replaced.models.items()):
            yield said("another_attempt.replaced", number=number, model=model)
        for number in sorted(result.replaced.taken_out):
            yield said("another_attempt.taken_out", number=number)
    yield from _given_back(result.given_back)
    if result.unprepared:
        yield said("another_attempt.unprepared", students=_names(result.unprepared))
    if result.waiting:
        yield said("another_attempt.waiting", students=_names(result.waiting))
        if command := commands.get("review"):
            yield said("another_attempt.see_them", command=command)
    if named:
        for student, reason in result.refused:
            yield said("another_attempt.not_for_student", who=who_told(student), why=reason)
    else:
        yield from refused_lines(result.refused)


def refused_lines(refused: Sequence[tuple[Student, Fact]]) -> Iterator[str]:
    """Give how many have no other attempt, and why: who passes needs none; anybody else may be one whom one misses."""
    for why, count in Counter(why for _, why in refused).most_common():
        who = tuple(who_told(student) for student, reason in refused if reason == why)
        if why == PASSES:
            yield said("another_attempt.not_for", count=count, why=why)
        elif count <= MOST_NAMED:
            yield said("another_attempt.not_for_these", count=count, why=why, students=who)
        else:
            yield said("another_attempt.not_for_most", count=count, why=why, students=who[:MOST_NAMED])


def who_told(student: Student) -> Fact:
    """Return a student's name and id."""
    return fact("report.who", name=student.name, id=student.id)


def _names(students: Sequence[Student]) -> tuple[Fact, ...]:
    every = tuple(map(who_told, students))
    return every if len(every) <= MOST_NAMED else (*every[:MOST_NAMED], fact("after_exam.and_more"))


def _given_back(given_back: Iterable[tuple[Student, Mapping[int, tuple[int, ...]]]]) -> Iterator[str]:
    """Which attempts don't count as used, and for whom."""
    found: dict[tuple[int, tuple[int, ...]], list[Fact]] = {}
    for student, attempts in given_back:
        for attempt, by in attempts.items():
            found.setdefault((attempt, by), []).append(who_told(student))
    for (attempt, by), names in found.items():
        rulings = fact("another_attempt.rulings", numbers=tuple(map(str, by)))
        count, students = len(names), tuple(names)
        yield said("another_attempt.given_back", attempt=attempt, count=count, rulings=rulings, students=students)


def _due(due: Due, zone: dt.tzinfo) -> Fact:
    if due.time is None:
        return fact("another_attempt.without_due")
    return fact("another_attempt.due", time=time_in_words(due.time, zone))
