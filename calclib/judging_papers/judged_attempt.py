"""One attempt, judged, and which of several counts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.collecting.handed_in import HandedIn
from calclib.judging_papers.judged_paper import JudgedPaper
from calclib.records.part_marks import Fails


@dataclass(frozen=True)
class Attempt:
    """One attempt, judged: its share lost for being late, and its rows."""

    handed: HandedIn
    judged: JudgedPaper
    late: Fraction

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

    @property
    def rank(self) -> tuple[Fraction, Fraction]:
        """What makes an attempt the best: its points, which only break ties where an error may fail the whole set."""
        failed = any(mark.fails in (Fails.EXAM, Fails.EXAM_WAITS) for mark in self.judged.marks)
        return Fraction(0) if failed else self.earned, self.earned


def kept_attempt(attempts: Sequence[Attempt], keep: str) -> Attempt:
    """Return the attempt that counts: "best", "last" or "first"; of equally good ones the earlier.

    For the best, the points of an attempt with an error that fails the whole set count only where no other earned any.
    """
    if keep == "first":
        return attempts[0]
    if keep == "last":
        return attempts[-1]
    return max(attempts, key=lambda one: one.rank) if len(attempts) > 1 else attempts[0]
