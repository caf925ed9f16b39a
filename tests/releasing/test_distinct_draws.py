"""Which draw a student is given: numbers that nobody has, else those that the fewest have."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import pytest

from calclib.errors import CalclibError
from calclib.records.sealed import SealedSet
from calclib.records.sealed_slots import Slot
from calclib.releasing.distinct_draws import NumbersInUse, distinct_items, numbers_of

SLOT = Slot(1, "m", "M", "s", {"p": Fraction(1)}, {"p": "quantity"})


def item(number: int) -> Any:
    """An item that states one number."""
    return SimpleNamespace(givens=(SimpleNamespace(name="volume", text=f"{number} mL"),))


def sealed(slots: int = 1) -> SealedSet:
    """A set of so many problems."""
    return SimpleNamespace(name="week-3", slots=(SLOT,) * slots)  # type: ignore[return-value]


def in_use(counts: dict[int, int], whole: Sequence[int] = ()) -> NumbersInUse:
    """How many students have which number; of `whole` it is all that they have."""
    found = NumbersInUse({1: {numbers_of(item(number)): count for number, count in counts.items()}}, set())
    for number in whole:
        found.add([(SLOT, numbers_of(item(number)))])
    return found


@pytest.mark.parametrize(
    ("drawn", "counts", "taken"),
    [
        # The first one is nobody's.
        ([5, 6], {}, 5),
        # The first is taken, the second is nobody's.
        ([5, 6], {5: 1}, 6),
        # All are taken, 7 least often.
        ([5, 6, 7, 6], {5: 3, 6: 2, 7: 1}, 7),
    ],
)
def test_the_numbers_that_the_fewest_have_are_given(drawn: list[int], counts: dict[int, int], taken: int) -> None:
    """The first that nobody has; where there is none, the least used of the turns."""
    uses = in_use(counts)
    (given,) = distinct_items(sealed(), lambda _, turn: item(drawn[min(turn, len(drawn) - 1)]), uses)
    assert given.givens[0].text == f"{taken} mL"
    assert uses.count(1, numbers_of(given)) == counts.get(taken, 0) + 1


def test_nobody_has_another_students_full_set() -> None:
    """Where the least used numbers make a set that somebody has, it is drawn on; and given up with a sentence."""
    uses = in_use({}, whole=[5])
    (given,) = distinct_items(sealed(), lambda _, turn: item(5 if turn < 15 else 6), uses)
    assert given.givens[0].text == "6 mL"
    with pytest.raises(CalclibError, match="too few different numbers for this class"):
        distinct_items(sealed(), lambda _, turn: item(5 if turn % 2 else 6), uses)
