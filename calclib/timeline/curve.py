"""Exact piecewise-linear functions of time."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from calclib.errors import BadInput
from calclib.wording.facts import fact


@dataclass(frozen=True)
class PiecewiseLinear:
    """A function of time that runs straight between its points.

    Args:
        points: (minute, value), in order of time. Two points at one minute are a jump: a bag that is changed.
    """

    points: tuple[tuple[Fraction, Fraction], ...]

    def at(self, minute: int | Fraction) -> Fraction:
        """The exact value at a minute; at a jump, the value after it.

        Raises:
            BadInput: The minute lies outside of the curve.
        """
        first, last = self.points[0][0], self.points[-1][0]
        if not first <= minute <= last:
            raise BadInput(fact("errors_timeline.outside_of_curve", first=str(first), last=str(last)))
        after = bisect_right(self.points, minute, key=lambda point: point[0])
        t0, v0 = self.points[after - 1]
        if t0 == minute or after == len(self.points):
            return v0
        t1, v1 = self.points[after]
        return v0 + (v1 - v0) * (minute - t0) / (t1 - t0)

    @property
    def last(self) -> Fraction:
        """The value at the end."""
        return self.points[-1][1]

    def first_time_at_least(self, value: int | Fraction) -> Fraction | None:
        """The first minute at which the curve has come up to a value; None if it never does."""
        t0, v0 = self.points[0]
        for t1, v1 in self.points:
            if v1 >= value:
                return t1 if t1 == t0 or v1 == v0 else t0 + (t1 - t0) * max(value - v0, Fraction(0)) / (v1 - v0)
            t0, v0 = t1, v1
        return None


def curve_through(points: list[tuple[Fraction, Fraction]]) -> PiecewiseLinear:
    """A curve through points in order of time, without the ones that add nothing."""
    kept: list[tuple[Fraction, Fraction]] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) >= 2 and _is_straight(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return PiecewiseLinear(tuple(kept))


def _is_straight(
    one: tuple[Fraction, Fraction], two: tuple[Fraction, Fraction], three: tuple[Fraction, Fraction]
) -> bool:
    (t1, v1), (t2, v2), (t3, v3) = one, two, three
    return t1 < t2 < t3 and (v2 - v1) * (t3 - t2) == (v3 - v2) * (t2 - t1)
