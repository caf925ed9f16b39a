"""Draws for one student that nobody else of the class has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calclib.errors import CalclibError
from calclib.records.sealed import SealedSet, Slot, numbers_hash
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.items import Item

# A small item model has some dozens of draws: after so many turns the least used numbers are taken.
_TURNS = 12
_TURNS_FOR_THE_WHOLE = 60

Draw = Callable[[Slot, int], "Item"]


@dataclass
class NumbersInUse:
    """Which numbers are given away: how often by slot and hash, and the full sets."""

    slots: dict[int, dict[str, int]]
    whole: set[str]

    def count(self, slot: int, numbers: str) -> int:
        """Return how many students have these numbers in this slot."""
        return self.slots.get(slot, {}).get(numbers, 0)

    def add(self, drawn: list[tuple[Slot, str]]) -> None:
        """Note one student's numbers."""
        for slot, numbers in drawn:
            counts = self.slots.setdefault(slot.number, {})
            counts[numbers] = counts.get(numbers, 0) + 1
        self.whole.add(numbers_hash(numbers for _, numbers in drawn))

    def shared(self) -> dict[int, int]:
        """Return, by slot, how many more students than different numbers there are, where there are any."""
        more = {slot: sum(counts.values()) - len(counts) for slot, counts in sorted(self.slots.items())}
        return {slot: count for slot, count in more.items() if count}


def numbers_of(item: Item) -> str:
    """Return a hash of the numbers that an item states; drug names and fluids don't count."""
    return numbers_hash(f"{given.name}={given.text}" for given in item.givens if any(c.isdigit() for c in given.text))


def distinct_items(sealed: SealedSet, draw: Draw, uses: NumbersInUse) -> list[Item]:
    """Draw one item a slot: nobody else has the full set of numbers, and as few as possible any one of them.

    Args:
        sealed: The set.
        draw: Draws the student's item of a slot; the second argument counts the turns, from 0.
        uses: What is given away; the student's numbers are added.

    Raises:
        CalclibError: the set's item models have too few different numbers for the class.
    """
    items = [_least_used(slot, draw, uses) for slot in sealed.slots]
    turn = _TURNS
    while numbers_hash(map(numbers_of, items)) in uses.whole:
        if turn == _TURNS + _TURNS_FOR_THE_WHOLE:
            raise CalclibError(fact("errors_releasing.too_few_numbers", name=sealed.name))
        index = turn % len(items)
        items[index] = draw(sealed.slots[index], turn)
        turn += 1
    uses.add([(slot, numbers_of(item)) for slot, item in zip(sealed.slots, items, strict=True)])
    return items


def _least_used(slot: Slot, draw: Draw, uses: NumbersInUse) -> Item:
    best = draw(slot, 0)
    fewest = uses.count(slot.number, numbers_of(best))
    for turn in range(1, _TURNS):
        if not fewest:
            break
        item = draw(slot, turn)
        count = uses.count(slot.number, numbers_of(item))
        if count < fewest:
            best, fewest = item, count
    return best
