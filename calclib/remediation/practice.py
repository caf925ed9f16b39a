"""Practice faded from shown to a gap to alone: items aimed at a mistake, with numbers that the student never had."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calclib.releasing.distinct_draws import numbers_of
from calclib.releasing.seal import example

if TYPE_CHECKING:
    from calclib.analysis.problems import Mistake
    from calclib.items import Item
    from calclib.remediation.needs import Need

_TURNS = 30
"""After so many draws what was found is taken, aimed or not."""
_BEGINNINGS = 6
_WANTED = 5


@dataclass(frozen=True)
class Practice:
    """The practice of one skill.

    Attributes:
        shown: An item with its worked solution.
        gap: One of which the set-up is given but for a number.
        alone: Those that the student does alone.
        check: The one that is asked at the end.
    """

    shown: Item | None = None
    gap: Item | None = None
    alone: tuple[Item, ...] = ()
    check: Item | None = None


class PracticePool:
    """Practice items of a class, drawn when they are first needed: classmates with the same need may share them.

    Args:
        rounding: Name of the rounding policy.
        seed: Gives the seed of the n-th item of an item model.
    """

    def __init__(self, rounding: str, seed: Callable[[str, int], str]) -> None:
        self._rounding, self._seed = rounding, seed
        self._items: dict[tuple[str, int], Item] = {}

    def practice(self, need: Need, had: Collection[tuple[str, str]], turn: int) -> Practice:
        """Return the practice of one skill.

        Args:
            need: What the student needs.
            had: Item model and numbers of everything that the student was handed out.
            turn: Any number of the student's: with which item the choice begins.
        """
        found = self._chosen(need, had, turn % _BEGINNINGS) if need.model else []
        places: list[Item | None] = [*found, *[None] * (_WANTED - len(found))]
        shown, gap, first, check, second = places
        return Practice(shown, gap, tuple(one for one in (first, second) if one), check)

    def _chosen(self, need: Need, had: Collection[tuple[str, str]], begin: int) -> list[Item]:
        """Items with different numbers, those that the mistake can be made in before others."""
        seen = {numbers for model, numbers in had if model == need.model}
        aimed: list[Item] = []
        others: list[Item] = []
        for n in range(begin, begin + _TURNS):
            item = self._item(need.model, n)
            numbers = numbers_of(item)
            if numbers in seen:
                continue
            seen.add(numbers)
            (aimed if _can_be_made(need.mistake, item) else others).append(item)
            if len(aimed) == _WANTED:
                break
        return [*aimed, *others][:_WANTED]

    def _item(self, model: str, n: int) -> Item:
        if (model, n) not in self._items:
            self._items[model, n] = example(model, self._rounding, self._seed(model, n))
        return self._items[model, n]


def _can_be_made(mistake: Mistake | None, item: Item) -> bool:
    """Whether a mistake leads to another answer in an item; a slip of the finger can be made anywhere."""
    if mistake is None:
        return True
    every = [fault for part in item.parts for fault in part.faults if fault.hard]
    kinds = {kind for fault in every for kind in (fault.fault, *fault.also)}
    return mistake.fault in kinds or not kinds
