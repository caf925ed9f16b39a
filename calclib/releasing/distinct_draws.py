"""Draws for one student that nobody else of the class has."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from calclib.errors import CalclibError
from calclib.records.sealed import SealedSet, numbers_hash
from calclib.records.sealed_slots import Slot
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.items import Item

# A small item model has some dozens of draws: after so many turns the least used numbers are taken.
_TURNS = 12
_TURNS_FOR_THE_WHOLE = 60

# In a further attempt a problem is looked for that fits too, longer where what was found is harder or easier.
_TURNS_TO_FIT = 40
_TURNS_WHILE_FAR = 400

Draw = Callable[[Slot, int], "Item"]


class Fit(NamedTuple):
    """How well a problem fits into a place, the least the best.

    Attributes:
        first: What goes before that few others have the same numbers.
        then: What goes after it.
        far: Whether it is no match, so that one is looked for longer.
    """

    first: tuple[int, ...] = ()
    then: int = 0
    far: bool = False


Fits = Callable[[Slot, "Item"], Fit]


def _any_fits(_slot: Slot, _item: Item) -> Fit:
    return Fit()


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


def distinct_items(sealed: SealedSet, draw: Draw, uses: NumbersInUse, fits: Fits | None = None) -> list[Item]:
    """Draw one item a slot: nobody else has the full set of numbers, and as few as possible any one of them.

    Args:
        sealed: The set.
        draw: Draws the student's item of a slot; the second argument counts the turns, from 0.
        uses: What is given away; the student's numbers are added.
        fits: How well a problem fits into its place; None where any does.

    Raises:
        CalclibError: the set's item models have too few different numbers for the class.
    """
    turns = _TURNS_TO_FIT if fits else _TURNS
    items = [_best(slot, draw, uses, fits or _any_fits, turns) for slot in sealed.slots]
    turn = turns
    while numbers_hash(map(numbers_of, items)) in uses.whole:
        if turn == turns + _TURNS_FOR_THE_WHOLE:
            raise CalclibError(fact("errors_releasing.too_few_numbers", name=sealed.name))
        index = turn % len(items)
        items[index] = draw(sealed.slots[index], turn)
        turn += 1
    uses.add([(slot, numbers_of(item)) for slot, item in zip(sealed.slots, items, strict=True)])
    return items


def _best(slot: Slot, draw: Draw, uses: NumbersInUse, fits: Fits, turns: int) -> Item:
    """The first draw that fits and that nobody has, else the one that comes nearest."""

    def off(item: Item) -> tuple[bool, tuple[int, ...], int, int]:
        fit = fits(slot, item)
        return fit.far, fit.first, uses.count(slot.number, numbers_of(item)), fit.then

    best = draw(slot, 0)
    least = off(best)
    for turn in range(1, _TURNS_WHILE_FAR):
        far, first, used, then = least
        if not (far or any(first) or used or then) or (turn >= turns and not far):
            break
        item = draw(slot, turn)
        if (found := off(item)) < least:
            best, least = item, found
    return best
