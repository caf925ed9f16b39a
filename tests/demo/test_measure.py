"""The measure of naming: counted by hand on a few answers."""

from __future__ import annotations

from fractions import Fraction

from calclib.demo.measure import NAMES, NOT_ROUNDED, ROUNDED_WRONGLY, Judged, Said, is_named, measured, said_of
from calclib.demo.simulated_students import Planted
from calclib.demo.students.behavior import human_errors
from calclib.faults.fault import KINDS

FORGOT = Planted("error", "conversion-forgotten", True, "time")
GUESS = Planted("error", "guess", True)
BOTH = Planted("error", "conversion-forgotten+decimal-slip", False)
SURE = (Said("used unconverted", True),)
OTHER = (Said("inverted", True),)
PLANTED = [FORGOT, GUESS, Planted("error", "wrong-row", True), BOTH]
EVERYTHING = tuple(Said(kind, True) for kind in KINDS)


def test_counted_by_hand() -> None:
    """Named, not named, named wrongly, a guess that is blamed, and right answers."""
    quality = measured(
        [
            Judged("pump-rate", FORGOT, False, SURE),
            Judged("pump-rate", FORGOT, False, ()),
            Judged("pump-rate", FORGOT, False, OTHER),
            Judged("pump-rate", GUESS, False, (Said("decimal slip", True),)),
            Judged("pump-rate", GUESS, False, (Said("decimal slip", False),)),
            Judged("pump-rate", BOTH, False, OTHER),
            Judged("pump-rate", BOTH, False, SURE),
            Judged("pump-rate", Planted("right"), True, ()),
            Judged("pump-rate", Planted("right"), False, ()),
        ]
    )
    assert (quality.single, quality.found, quality.recall) == (5, 1, Fraction(1, 5))
    assert (quality.certain, quality.true, quality.precision) == (5, 2, Fraction(2, 5))
    assert (quality.double, quality.misled) == (2, 1)
    assert (quality.sound, quality.refused) == (2, 1)


def test_a_judge_that_says_nothing_names_nothing() -> None:
    """An abstention is a mistake that was not named, and no certainty is neither true nor false."""
    quality = measured(Judged("pump-rate", planted, False, ()) for planted in PLANTED)
    assert quality.recall == 0
    assert quality.precision is None


def test_a_judge_that_names_everything_for_certain_is_seldom_true() -> None:
    """One that always says the same for certain is true only where just that was planted."""
    for kind in KINDS:
        quality = measured(Judged("pump-rate", planted, False, (Said(kind, True),)) for planted in PLANTED)
        assert quality.certain == 4
        assert quality.precision is not None and quality.precision <= Fraction(1, 2)
    all_at_once = measured(Judged("pump-rate", planted, False, EVERYTHING) for planted in PLANTED)
    assert all_at_once.precision is not None and all_at_once.precision <= Fraction(1, 2)


def test_only_what_is_said_names_a_mistake() -> None:
    """A kind that leads to the same answer and is not said is no name, though it makes a certain cause true."""
    alike = Planted("error", "conversion-forgotten", True, "time", also=("decimal-slip",))
    said = (Said("inverted", True, frozenset({"used unconverted"})),)
    assert not is_named(Judged("pump-rate", alike, False, said))
    assert measured([Judged("pump-rate", alike, False, said)]).precision == 1
    by_another = Judged("pump-rate", alike, False, (Said("decimal slip", True),))
    assert not is_named(by_another)
    assert measured([by_another]).precision == 1


def test_rounding_is_named_by_the_verdict() -> None:
    """A number that is said to be rounded wrongly names a mistake of rounding, and no other."""
    said = said_of(ROUNDED_WRONGLY, [])
    assert is_named(Judged("pump-rate", Planted("error", "rounded-too-far", True), False, said, ROUNDED_WRONGLY))
    forgotten = Judged("pump-rate", FORGOT, False, said, ROUNDED_WRONGLY)
    assert not is_named(forgotten)
    assert measured([forgotten]).certain == 0
    before = Judged("pump-rate", Planted("error", "not-rounded", True), True, said_of(NOT_ROUNDED, []), NOT_ROUNDED)
    assert (is_named(before), measured([before]).let_through) == (True, 0)


def test_wrong_answers_judged_right_are_counted() -> None:
    """A mistake that is let through counts, but rounding on the way does not where a legitimate path allows it."""
    assert measured([Judged("pump-rate", FORGOT, True, (), "right")]).let_through == 1
    early = Planted("error", "early-rounding", True)
    assert measured([Judged("pump-rate", early, True, (), "right")]).single == 0
    assert measured([Judged("pump-rate", early, False, (), "wrong")]).single == 1


def test_names_are_real() -> None:
    """Every planted mistake is of the students' list, every name one that the judge can say."""
    assert set(NAMES) <= set(human_errors())
    said = {name for names in NAMES.values() for name in names}
    set_ups = {"set-up: missing", "set-up: inverted", "set-up: wrong number"}
    verdicts = {ROUNDED_WRONGLY, NOT_ROUNDED}
    assert said <= set(KINDS) | set_ups | verdicts | {"slip of the finger", "wrong day"}
