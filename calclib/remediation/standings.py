"""Where each student of a class stands in each set after its attempts, with the rule that decided."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from sqlalchemy import Connection

from calclib.class_files.roster import Student
from calclib.class_files.standing_rules import StandingRules
from calclib.gradebook.attempt_results import AttemptResult, attempt_results
from calclib.gradebook.results import SetResults, StudentResult
from calclib.gradebook.standing import Standing, standing_of
from calclib.records.coaching import Signature, Talk, coached_since, signatures, talks
from calclib.records.handed_out import latest_attempts
from calclib.records.lateness import attempt_dues, due_of
from calclib.records.planned import latest_marked, recorded_plans
from calclib.records.set_times import zone_of
from calclib.records.times_marked import first_marked
from calclib.releasing.further_attempts.tries import attempts_allowed, given_back
from calclib.remediation.who import may_pass


class After(StrEnum):
    """Where a student stands in a set; the words have the same names."""

    PASSED = "passed"
    WAITS = "waits"
    BOOKED = "booked"
    RETEST_OPEN = "retest_open"
    OUT_OF_TRIES = "out_of_tries"
    NOT_HANDED_IN = "not_handed_in"
    NO_NOTEBOOK = "no_notebook"


class Requirement(StrEnum):
    """Whether the dosage requirement is met; the words have the same names."""

    MET = "met"
    NOT_MET = "not_met"
    OPEN = "open"
    NONE = "none"


@dataclass(frozen=True)
class InSet:
    """Where one student stands in one set.

    Attributes:
        set_name: The set.
        after: Where the student stands.
        attempt: The attempt that passed; else the last that was marked, 0 for none.
        percent: The score of the attempt that counts, None where nothing was marked.
        cut: Per cent that pass.
        allowed: How many attempts the student has in all, with what the roster allows and what was given back.
        extra: How many of these are beyond the blueprint's.
        remediation_due: The day by which remediation is due, None if none is.
        remediated: Whether somebody recorded remediation after the last attempt was marked.
        planned: Whether a plan was written after the last attempt.
        talks: What was written about the student in this set.
        retest: When the further attempt is due that the student has now, None if it isn't said.
        zone: The zone in which times of the set are told.
    """

    set_name: str
    after: After
    attempt: int
    percent: Fraction | None
    cut: Fraction
    allowed: int
    extra: int
    remediation_due: dt.date | None = None
    remediated: bool = False
    planned: bool = False
    talks: tuple[Talk, ...] = ()
    retest: dt.datetime | None = None
    zone: dt.tzinfo = dt.UTC


@dataclass(frozen=True)
class StudentStanding:
    """Where one student stands in all sets.

    Attributes:
        student: The student.
        sets: The sets, in the order in which they went out.
        requirement: Whether the dosage requirement is met.
        pseudonym: What stands for the student in records.
        signed: Who signed last where the student stands, None if nobody did.
    """

    student: Student
    sets: tuple[InSet, ...]
    requirement: Requirement
    pseudonym: str = ""
    signed: Signature | None = None

    @property
    def sign(self) -> str:
        """What stands for where the student stands: another text as soon as an attempt, its outcome or a rule does."""
        sets = [(one.set_name, one.after.value, one.attempt, str(one.percent), str(one.cut)) for one in self.sets]
        return hashlib.sha256(repr((self.requirement.value, sets)).encode()).hexdigest()

    @property
    def signed_as_it_is(self) -> bool:
        """Whether what was signed is where the student stands now."""
        return self.signed is not None and self.signed.standing == self.sign


def class_standing(
    connection: Connection, every: Sequence[SetResults], rules: StandingRules
) -> tuple[StudentStanding, ...]:
    """Return where each student stands, in the order of the roster.

    Args:
        connection: The class's database.
        every: The results of each set.
        rules: What the school asks.
    """
    said = talks(connection)
    by_set = [_Set(connection, results, rules, said) for results in every]
    signed = signatures(connection)
    found = []
    for place, one in enumerate(every[0].students if every else ()):
        sets = tuple(each.standing(each.results.students[place]) for each in by_set)
        name = one.pseudonym
        found.append(StudentStanding(one.student, sets, requirement_of(sets, rules), name, signed.get(name)))
    return tuple(found)


def requirement_of(sets: Iterable[InSet], rules: StandingRules) -> Requirement:
    """Return whether the dosage requirement is met by what a student reached in the sets that it asks for."""
    asked = {one.set_name: one.after for one in sets if rules.required is None or one.set_name in rules.required}
    missing = set(rules.required or ()) - asked.keys()
    if not asked and not missing:
        return Requirement.NONE
    if After.OUT_OF_TRIES in asked.values():
        return Requirement.NOT_MET
    met = not missing and all(after is After.PASSED for after in asked.values())
    return Requirement.MET if met else Requirement.OPEN


class _Set:
    """What is the same for all students of a set."""

    def __init__(
        self,
        connection: Connection,
        results: SetResults,
        rules: StandingRules,
        said: Mapping[str, tuple[Talk, ...]],
    ) -> None:
        self.results, self.rules, self.said = results, rules, said
        self.name = results.sealed.name
        self.attempts = attempt_results(connection, results)
        self.back = given_back(connection, self.name)
        self.handed_out = latest_attempts(connection, self.name)
        self.marked = latest_marked(connection, self.name)
        self.first_marked = first_marked(connection, self.name)
        self.dues = attempt_dues(connection, self.name)
        self.plans = recorded_plans(connection, self.name)

    def standing(self, one: StudentResult) -> InSet:
        """Return where a student stands in this set."""
        last, out = self.marked.get(one.pseudonym, 0), self.handed_out.get(one.student.id, 0)
        allowed = attempts_allowed(self.results.sealed, one.student, one.pseudonym, self.back)
        tries = self.attempts.get(one.student.id, ())
        after = self._after(one, tries, last, out, allowed)
        mine = self.said.get(one.pseudonym, ())
        fails = after in (After.BOOKED, After.RETEST_OPEN, After.OUT_OF_TRIES)
        return InSet(
            set_name=self.name,
            after=after,
            attempt=_passed_at(tries, one) if after is After.PASSED else last,
            percent=self.results.percent(one) if one.parts else None,
            cut=self.results.sealed.cut_score,
            allowed=allowed,
            extra=allowed - self.results.sealed.attempts,
            remediation_due=self._remediation_due(one, last) if fails and after is not After.OUT_OF_TRIES else None,
            remediated=coached_since(mine, self.name, self.first_marked.get((one.pseudonym, last))),
            planned=(one.pseudonym, last) in self.plans,
            talks=tuple(talk for talk in mine if talk.set_name == self.name),
            retest=self._retest(one, out) if after is After.BOOKED else None,
            zone=zone_of(self.results.sealed),
        )

    def _after(self, one: StudentResult, tries: Sequence[AttemptResult], last: int, out: int, allowed: int) -> After:
        if not out:
            return After.NO_NOTEBOOK
        if not last:
            return After.NOT_HANDED_IN
        standing = standing_of(self.results, one)
        if standing is Standing.PASSES:
            return After.PASSED
        undecided = (Standing.UNDECIDED, Standing.FAILURE_WAITS)
        waits = may_pass(self.results, one, standing) or any(each.standing in undecided for each in tries)
        if standing in undecided or waits:
            return After.WAITS
        if out > last:
            return After.BOOKED
        return After.RETEST_OPEN if last < allowed else After.OUT_OF_TRIES

    def _remediation_due(self, one: StudentResult, last: int) -> dt.date | None:
        days, marked = self.rules.remediation_days, self.first_marked.get((one.pseudonym, last))
        if days is None or marked is None:
            return None
        return marked.astimezone(zone_of(self.results.sealed)).date() + dt.timedelta(days=days)

    def _retest(self, one: StudentResult, out: int) -> dt.datetime | None:
        of_attempt = self.dues.get((one.pseudonym, out))
        return due_of(self.results.sealed, one.student, out, None, of_attempt).time


def _passed_at(tries: Sequence[AttemptResult], one: StudentResult) -> int:
    passed = [each.attempt for each in tries if each.standing is Standing.PASSES]
    return min(passed, default=one.attempt)
