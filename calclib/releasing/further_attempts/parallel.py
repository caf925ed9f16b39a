"""What makes a drawn problem as hard as another of its item model, and how it differs from what a student had."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib.items.item import item_from_record
from calclib.records.sealed import SealedSet, sealed_paper
from calclib.records.sealed_slots import Slot
from calclib.records.tables import MARK, PAPER
from calclib.releasing.distinct_draws import Fit, numbers_of
from calclib.releasing.further_attempts.measured import NOTHING_MEASURED, Measured, measured
from calclib.releasing.further_attempts.story import story_of

if TYPE_CHECKING:
    from calclib.items import Item

_AS_MANY = Fraction(4, 5)
"""Of the mistakes that two problems allow, so large a share in common is taken for the same traps."""

Trap = tuple[str, str, str, str]


@dataclass(frozen=True)
class Form:
    """What of a drawn problem makes it as hard as another.

    Attributes:
        model: The item model.
        steps: How many lines the worked solution of each part has.
        conversions: The conversions between units that it takes.
        traps: The mistakes that lead to another answer: part, kind, step and given of each.
    """

    model: str
    steps: tuple[int, ...]
    conversions: frozenset[str]
    traps: frozenset[Trap]

    def off(self, other: Form) -> int:
        """Return in how many steps and conversions two problems of one item model differ."""
        steps = sum(abs(a - b) for a, b in zip(self.steps, other.steps, strict=False))
        return steps + len(self.conversions ^ other.conversions)

    def common(self, other: Form) -> Fraction:
        """Return the share of the mistakes that two problems have in common, 0 to 1."""
        every = self.traps | other.traps
        return Fraction(len(self.traps & other.traps), len(every)) if every else Fraction(1)


def form_of(item: Item) -> Form:
    """Return what makes a problem as hard as another."""
    traps = {
        (part.name, fault.fault, fault.step, fault.given)
        for part in item.parts
        for fault in part.faults
        if fault.hard and not fault.spare
    }
    steps = tuple(len(item.worked.get(part.name, ())) for part in item.parts)
    return Form(item.model_id, steps, frozenset(item.equivalences), frozenset(traps))


class Earlier:
    """What a student had in earlier attempts, against which a further one is drawn.

    Args:
        papers: The problems of each earlier attempt, by number of the problem, the first attempt first.
        known: How hard problems proved to be for the class.
    """

    def __init__(self, papers: Sequence[Mapping[int, Item]], known: Measured = NOTHING_MEASURED) -> None:
        self._papers, self._known = papers, known

    @cached_property
    def _numbers(self) -> frozenset[tuple[str, str]]:
        return frozenset((item.model_id, numbers_of(item)) for paper in self._papers for item in paper.values())

    @cached_property
    def _stories(self) -> frozenset[tuple[str, tuple[str, ...]]]:
        return frozenset((item.model_id, story_of(item)) for paper in self._papers for item in paper.values())

    @cached_property
    def _forms(self) -> dict[int, Form]:
        return {number: form_of(item) for paper in reversed(self._papers) for number, item in paper.items()}

    @cached_property
    def _first_stories(self) -> dict[int, tuple[str, ...]]:
        return {number: story_of(item) for paper in reversed(self._papers) for number, item in paper.items()}

    def fit(self, slot: Slot, item: Item) -> Fit:
        """Return how well a problem fits into a place of a further attempt.

        The numbers are new, then steps and conversions are those of the first attempt, then the story is new, then it
        proved as hard for the class as that of the first attempt, where that is known; once few others of the class
        have the numbers, the traps are the same.
        """
        form, first = form_of(item), self._forms.get(slot.number)
        of_model = item.model_id
        same_numbers = (of_model, numbers_of(item)) in self._numbers
        story = story_of(item)
        same_story = bool(story) and (of_model, story) in self._stories
        if first is None or first.model != of_model:
            return Fit((same_numbers, 0, same_story, 0), 0)
        apart = self._known.apart(of_model, self._first_stories[slot.number], story)
        off = form.off(first)
        return Fit((same_numbers, off, same_story, apart), int(form.common(first) < _AS_MANY), same_numbers or off > 0)


def earlier_of(
    connection: Connection, set_name: str, pseudonym: str, attempt: int, known: Measured = NOTHING_MEASURED
) -> Earlier:
    """Return what a student had before an attempt.

    Args:
        connection: The class's database.
        set_name: The set.
        pseudonym: The student.
        attempt: Number of the attempt.
        known: How hard problems proved to be for the class.
    """
    return Earlier([_items(connection, set_name, pseudonym, number) for number in range(1, attempt)], known)


def _items(connection: Connection, set_name: str, pseudonym: str, attempt: int) -> dict[int, Item]:
    paper = sealed_paper(connection, set_name, pseudonym, attempt, as_handed_out=True)
    return {one.slot: item_from_record(one.record) for one in paper.items} if paper else {}


@dataclass(frozen=True)
class SlotCompared:
    """How a place of a further attempt compares with the first, over all who have both.

    Attributes:
        slot: The place.
        pairs: How many students have both.
        same_model: For how many it is the same item model.
        same_steps: For how many the solution has as many steps.
        same_conversions: For how many it takes the same conversions.
        common_traps: The average share of the mistakes in common, 0 to 1.
        new_numbers: For how many the numbers are new.
        new_story: For how many the story is new.
        right: How many had it right at the first attempt.
        marked: Of how many whose first attempt was marked.
        measured: For how many it is known how hard both problems proved to be for the class.
        harder: By how much the further attempt is harder for these on average, in points of 100; below 0, easier.
    """

    slot: Slot
    pairs: int
    same_model: int
    same_steps: int
    same_conversions: int
    common_traps: Fraction
    new_numbers: int
    new_story: int
    right: int
    marked: int
    measured: int = 0
    harder: Fraction = Fraction(0)


def compared_slots(connection: Connection, sealed: SealedSet, attempt: int) -> tuple[SlotCompared, ...]:
    """Return how each place of a further attempt compares with the first.

    Args:
        connection: The class's database.
        sealed: The set.
        attempt: Number of the further attempt.
    """
    wanted = select(PAPER.c.pseudonym).where(PAPER.c.set_name == sealed.name, PAPER.c.attempt == attempt)
    known = measured(connection)
    counts = {slot.number: _Counts(known) for slot in sealed.slots}
    for pseudonym in connection.execute(wanted.order_by(PAPER.c.pseudonym)).scalars().all():
        first, later = (_items(connection, sealed.name, pseudonym, number) for number in (1, attempt))
        for number in first.keys() & later.keys():
            counts[number].add(first[number], later[number])
    difficulty = _right_at_first(connection, sealed)
    return tuple(counts[slot.number].compared(slot, *difficulty.get(slot.number, (0, 0))) for slot in sealed.slots)


class _Counts:
    """The counts of one place."""

    def __init__(self, known: Measured) -> None:
        self.known, self.measured, self.harder = known, 0, Fraction(0)
        self.pairs = self.model = self.steps = self.conversions = self.numbers = self.story = 0
        self.traps = Fraction(0)

    def add(self, first: Item, later: Item) -> None:
        """Count one student."""
        a, b = form_of(first), form_of(later)
        self.pairs += 1
        self.model += a.model == b.model
        self.steps += a.model == b.model and a.steps == b.steps
        self.conversions += a.model == b.model and a.conversions == b.conversions
        self.traps += a.common(b)
        self.numbers += (a.model, numbers_of(first)) != (b.model, numbers_of(later))
        self.story += (a.model, story_of(first)) != (b.model, story_of(later))
        before = self.known.of_story(a.model, story_of(first))
        after = self.known.of_story(b.model, story_of(later))
        if before is not None and after is not None:
            self.measured += 1
            self.harder += 100 * (before - after)

    def compared(self, slot: Slot, right: int, marked: int) -> SlotCompared:
        """Return what was counted."""
        common = self.traps / self.pairs if self.pairs else Fraction(0)
        same = (self.model, self.steps, self.conversions)
        harder = self.harder / self.measured if self.measured else Fraction(0)
        counted = (self.numbers, self.story, right, marked, self.measured)
        return SlotCompared(slot, self.pairs, *same, common, *counted, harder=harder)


def _right_at_first(connection: Connection, sealed: SealedSet) -> dict[int, tuple[int, int]]:
    """How many had every part of a place right at the first attempt, and of how many, by its number."""
    wanted = select(MARK.c.pseudonym, MARK.c.slot, MARK.c.right).where(
        MARK.c.set_name == sealed.name, MARK.c.attempt == 1
    )
    every: dict[tuple[int, str], bool] = {}
    for row in connection.execute(wanted):
        every[row.slot, row.pseudonym] = every.get((row.slot, row.pseudonym), True) and row.right
    found: dict[int, tuple[int, int]] = {}
    for (slot, _), right in every.items():
        known = found.get(slot, (0, 0))
        found[slot] = known[0] + right, known[1] + 1
    return found
