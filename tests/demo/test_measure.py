"""The measure of naming: counted by hand on a few answers."""

from __future__ import annotations

from fractions import Fraction

from calclib.demo.measure import NAMES, Judged, is_hard, measured
from calclib.demo.simulated_students import Planted
from calclib.demo.students.behaviour import human_errors
from calclib.faults.fault import KINDS

FORGOT = Planted("error", "conversion-forgotten", True, "time")


def test_recall_and_precision() -> None:
    """A mistake named right, one not named, one named wrongly, and one outside of the list that is blamed."""
    quality = measured(
        [
            Judged("pump-rate", FORGOT, False, ((frozenset({"used unconverted"}), True),)),
            Judged("pump-rate", FORGOT, False, ()),
            Judged("pump-rate", FORGOT, False, ((frozenset({"inverted"}), True),)),
            Judged("pump-rate", Planted("error", "guess", True), False, ((frozenset({"decimal slip"}), True),)),
            Judged("pump-rate", Planted("error", "guess", True), False, ((frozenset({"decimal slip"}), False),)),
            Judged("pump-rate", Planted("right"), True, ()),
            Judged("pump-rate", Planted("right"), False, ()),
        ]
    )
    assert (quality.hard, quality.found, quality.recall) == (3, 1, Fraction(1, 3))
    assert (quality.named, quality.right, quality.precision) == (3, 1, Fraction(1, 3))
    assert (quality.outside, quality.blamed) == (2, 1)
    assert (quality.sound, quality.refused) == (2, 1)


def test_mistakes_that_look_alike_share_their_names() -> None:
    """Where another mistake leads to the same answer, its name is right too."""
    alike = Planted("error", "conversion-forgotten", True, "time", also=("decimal-slip",))
    assert measured([Judged("pump-rate", alike, False, ((frozenset({"decimal slip"}), True),))]).precision == 1


def test_names_are_real() -> None:
    """Every planted mistake is of the students' list, every name one that the judge can say."""
    assert set(NAMES) <= set(human_errors())
    said = {name for names in NAMES.values() for name in names}
    set_ups = {"set-up: missing", "set-up: inverted", "set-up: wrong number"}
    assert said <= set(KINDS) | set_ups | {"slip of the finger", "wrong day"}


def test_soft_and_double_mistakes_are_not_hard() -> None:
    """Early rounding and two mistakes at once are not counted against the judge."""
    assert is_hard(FORGOT)
    assert not is_hard(Planted("error", "early-rounding", True))
    assert not is_hard(Planted("error", "conversion-forgotten+decimal-slip", False))
