"""One attempt, judged, and which of several counts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.collecting.notebooks_to_mark import HandedIn
from calclib.judging_papers.judged_paper import JudgedPaper
from calclib.records.part_marks import Fails, MarkedPaper, StoredRows


@dataclass(frozen=True)
class Attempt:
    """One attempt, judged: its share lost for being late, its rows, and whether a person must say if it is late."""

    handed: HandedIn
    judged: JudgedPaper
    late: Fraction
    time_waits: bool = False

    @property
    def points(self) -> Fraction:
        """Points of all answers."""
        earned = [mark.earned for mark in self.judged.marks if mark.score]
        # Nearly all points are whole, and whole numbers add up in no time.
        whole = sum(points.numerator for points in earned if points.denominator == 1)
        return sum((points for points in earned if points.denominator != 1), Fraction(whole))

    @property
    def earned(self) -> Fraction:
        """Points of the attempt, what is lost for being late taken off."""
        return self.points * (1 - self.late)

    def rows(self, *, counts: bool) -> StoredRows:
        """Return what is stored of the attempt.

        Args:
            counts: Whether it is the attempt that counts.
        """
        paper, judged = self.handed.paper, self.judged
        return MarkedPaper(paper.pseudonym, paper.attempt, judged.submission, judged.marks, counts).rows()

    def is_new(self, known: Mapping[int, StoredRows]) -> bool:
        """Return whether its notebook is none that was marked before.

        Args:
            known: What is stored of the student's attempts, by their number.
        """
        rows = known.get(self.handed.paper.attempt)
        return rows is None or rows[0][0]["submission"] != self.judged.submission

    def rank(self, cut: Fraction) -> tuple[int, Fraction, Fraction]:
        """Return what makes an attempt the best: that it passes, then that it may, then its points.

        Points of an attempt with an error that fails the whole set, or may, only break ties; but one that passes unless
        a person confirms its error keeps them, so that it is seen and decided where no other attempt passes.

        Args:
            cut: The points that pass.
        """
        fails = {mark.fails for mark in self.judged.marks}
        passes = self.earned >= cut
        if Fails.EXAM_WAITS in fails and passes and Fails.EXAM not in fails:
            return 1, self.earned, self.earned
        if fails & {Fails.EXAM, Fails.EXAM_WAITS}:
            return 0, Fraction(0), self.earned
        return 2 if passes else 0, self.earned, self.earned


def kept_attempt(attempts: Sequence[Attempt], keep: str, cut: Fraction) -> Attempt:
    """Return the attempt that counts: "best", "last" or "first"; of equally good ones the earlier.

    Args:
        attempts: The attempts, in their order.
        keep: The rule of the set.
        cut: The points that pass.
    """
    if keep == "first":
        return attempts[0]
    if keep == "last":
        return attempts[-1]
    return max(attempts, key=lambda one: one.rank(cut)) if len(attempts) > 1 else attempts[0]


def mark_changed(before: StoredRows | None, after: StoredRows) -> bool:
    """Return whether a mark changed, and not the words alone that go with it.

    Args:
        before: What is stored of an attempt, None if nothing is.
        after: What is to be stored of it.
    """
    return before is None or before[0] != after[0]
