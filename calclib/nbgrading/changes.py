"""Who gains and who loses where marks change that were given before, or that a ruling gives to another notebook."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.records.roster import Student


@dataclass(frozen=True)
class AnswerChange:
    """What marking again made of one answer: points and verdict before and after."""

    slot: int
    part: str
    before: Fraction
    after: Fraction
    verdict_before: str
    verdict_after: str


@dataclass(frozen=True)
class Change:
    """A student whose marks change although the notebook is the one that was marked before, or is another by a ruling.

    Attributes:
        student: The student.
        before: Points before, what was lost for being late taken off.
        after: Points after.
        answers: The answers whose marks change.
        before_of: Points of the whole set before.
        after_of: Points of the whole set after: less where a question was declared void.
    """

    student: Student
    before: Fraction
    after: Fraction
    answers: tuple[AnswerChange, ...]
    before_of: Fraction
    after_of: Fraction

    @property
    def gain(self) -> Fraction:
        """By how much the share of the points grows; below 0 for a loss."""
        return _share(self.after, self.after_of) - _share(self.before, self.before_of)


def _share(points: Fraction, of: Fraction) -> Fraction:
    return points / of if of else Fraction(0)
