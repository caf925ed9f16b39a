"""Who may have a further attempt by now, and why not: attempts left, work handed in, remediation on record."""

from __future__ import annotations

from sqlalchemy import Connection

from calclib.class_files.standing_rules import StandingRules
from calclib.gradebook.results import SetResults, StudentResult
from calclib.gradebook.standing import Standing, standing_of
from calclib.records.coaching import coached_since, talks
from calclib.records.handed_out import latest_attempts
from calclib.records.part_marks import marked_attempts
from calclib.records.sealed import SealedSet
from calclib.records.times_marked import first_marked
from calclib.releasing.further_attempts.tries import attempts_allowed, given_back
from calclib.wording import Fact, fact

PASSES = fact("handing_out.passes")


class Eligible:
    """Who may have a further attempt at a set.

    Args:
        connection: The class's database.
        results: The results of the set.
        sealed: The set as it is drawn from now.
        rules: What the school asks.
        below_cut: Whether only those may who don't pass.
    """

    def __init__(
        self, connection: Connection, results: SetResults, sealed: SealedSet, rules: StandingRules, *, below_cut: bool
    ) -> None:
        self._results, self._sealed, self._rules, self._below_cut = results, sealed, rules, below_cut
        name = results.sealed.name
        self._latest, self._marked = latest_attempts(connection, name), marked_attempts(connection, name)
        self._back, self._said = given_back(connection, name), talks(connection)
        self._first_marked = first_marked(connection, name)

    def last(self, one: StudentResult) -> int:
        """Return the number of the last attempt that was handed out to a student, 0 for none."""
        return self._latest.get(one.student.id, 0)

    def refusal(self, one: StudentResult) -> Fact | None:
        """Return why a student may not have a further attempt, which follows the name; None if the student may."""
        last = self.last(one)
        if not last:
            return fact("handing_out.no_notebook")
        allowed = attempts_allowed(self._sealed, one.student, one.pseudonym, self._back)
        if last >= allowed:
            return fact("handing_out.had_all", count=allowed) if allowed > 1 else fact("handing_out.had_the_only")
        if (one.pseudonym, last) not in self._marked:
            return fact("handing_out.not_marked", number=last)
        standing = standing_of(self._results, one)
        if self._below_cut and standing is Standing.PASSES:
            return PASSES
        if self._below_cut and standing is Standing.FAILURE_WAITS:
            return fact("handing_out.failure_waits")
        if self._rules.remediation and self.unprepared(one):
            return fact("handing_out.no_remediation", number=last)
        return None

    def unprepared(self, one: StudentResult) -> bool:
        """Return whether a student failed, and no remediation is on record since the last attempt was marked.

        An attempt that doesn't count as used, since a problem of it went wrong, asks for none.
        """
        if standing_of(self._results, one) not in (Standing.BELOW, Standing.FAILED):
            return False
        last = self.last(one)
        if last in self._back.get(one.pseudonym, {}):
            return False
        since = self._first_marked.get((one.pseudonym, last))
        return not coached_since(self._said.get(one.pseudonym, ()), self._results.sealed.name, since)
