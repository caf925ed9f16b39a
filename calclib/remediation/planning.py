"""A class's plans after a set: what each student who failed needs, when it is done, and with which practice."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from calclib.analysis.problems import problems_of
from calclib.class_files.seeds import draw_seed
from calclib.gradebook.outcomes import student_problems
from calclib.gradebook.results import SetResults, StudentResult
from calclib.records.handed_out import numbers_had
from calclib.records.history import EventKind, HistoryLine
from calclib.records.lateness import attempt_dues, due_of
from calclib.records.part_marks import typed_marks
from calclib.records.planned import latest_marked, recorded_plans, undecided_since
from calclib.records.sealed import sealed_paper
from calclib.records.set_times import zone_of
from calclib.remediation.needs import Need, needs_of
from calclib.remediation.practice import Practice, PracticePool
from calclib.remediation.sessions import Session, sessions
from calclib.remediation.who import by_standing


@dataclass(frozen=True)
class Plan:
    """One student's plan.

    Attributes:
        one: The student's result.
        attempt: The attempt on which it is built: the last that was marked.
        needs: The skills, the one that lost most first.
        sessions: What is done when.
        until: The day of the retest, None if it isn't known.
    """

    one: StudentResult
    attempt: int
    needs: tuple[Need, ...]
    sessions: tuple[Session, ...]
    until: dt.date | None


@dataclass(frozen=True)
class Days:
    """The days of all plans of a run.

    Attributes:
        today: The first day.
        until: The day of the retest; None for the due time of each student's further attempt, if it was given.
        weekends: Whether Saturdays and Sundays are used.
    """

    today: dt.date
    until: dt.date | None = None
    weekends: bool = True


class Planning:
    """Makes the plans of a class.

    Args:
        connection: The class's database.
        results: The results of the set.
        secret: The course secret, from which practice is drawn.
        days: The days of all plans.
    """

    def __init__(self, connection: Connection, results: SetResults, secret: bytes, days: Days) -> None:
        self._connection, self._results, self._secret, self._days = connection, results, secret, days
        self._name = results.sealed.name
        self._pool = PracticePool(results.sealed.rounding, self._seed)
        self._latest = latest_marked(connection, self._name)
        self._dues = attempt_dues(connection, self._name)
        self._recorded = recorded_plans(connection, self._name)
        self.standing = by_standing(results, undecided_since(connection, self._name))

    def plan(self, one: StudentResult) -> Plan | None:
        """Return a student's plan, None where no points were lost in any skill."""
        attempt = self._latest.get(one.pseudonym, one.attempt)
        needs = self._needs(one, attempt)
        if not needs:
            return None
        until = self._days.until or self._due(one, attempt)
        when = sessions(len(needs), start=self._days.today, until=until, weekends=self._days.weekends)
        return Plan(one, attempt, needs, when, until)

    def practice(self, plan: Plan) -> Sequence[tuple[Need, Practice]]:
        """Return the practice of each skill of a plan, with numbers that the student never had."""
        had = numbers_had(self._connection, plan.one.pseudonym)
        student = plan.one.student.id
        seed = draw_seed(self._secret, set_name=self._name, student=student, item="plan", attempt=plan.attempt)
        turn = int(seed[:8], 16)
        return tuple((need, self._pool.practice(need, had, turn)) for need in plan.needs)

    def line(self, plan: Plan) -> HistoryLine | None:
        """Return what is recorded of a plan, None if just this was recorded before."""
        until = plan.until.isoformat() if plan.until else ""
        detail = {"attempt": plan.attempt, "until": until, "skills": "; ".join(need.skill for need in plan.needs)}
        if self._recorded.get((plan.one.pseudonym, plan.attempt)) == detail:
            return None
        return HistoryLine(EventKind.PLANNED, plan.one.pseudonym, detail)

    def _needs(self, one: StudentResult, attempt: int) -> tuple[Need, ...]:
        paper = sealed_paper(self._connection, self._name, one.pseudonym, attempt, faults=False)
        if paper is None or one.aside:
            return ()
        sealed = self._results.sealed
        if attempt == one.attempt:
            marks = tuple(part.mark for part in one.parts)
            earned = {(part.mark.slot, part.mark.part): part.earned for part in one.parts}
            return needs_of(sealed.slots, paper, student_problems(self._results, one), marks, earned)
        marks = typed_marks(self._connection, self._name, one.pseudonym, attempt)
        earned = {(mark.slot, mark.part): mark.earned for mark in marks}
        problems = problems_of(sealed.slots, marks, left_out=self._results.left_out)
        return needs_of(sealed.slots, paper, problems, marks, earned)

    def _due(self, one: StudentResult, attempt: int) -> dt.date | None:
        """The day on which the student's further attempt is due, None if none was given or it has no such day."""
        given = max((number for name, number in self._dues if name == one.pseudonym), default=0)
        if given <= attempt:
            return None
        due = due_of(self._results.sealed, one.student, given, None, self._dues[one.pseudonym, given]).time
        day = due.astimezone(zone_of(self._results.sealed)).date() if due else None
        return day if day and day > self._days.today else None

    def _seed(self, model: str, n: int) -> str:
        item = f"practice:{model}"
        return draw_seed(self._secret, set_name=self._name, student="", item=item, attempt=1, turn=n)
