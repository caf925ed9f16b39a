"""A student's problems as statistics look at them: one outcome a problem, with the mistakes behind it.

Students have other numbers, and perhaps another item model after a bad problem was replaced. What is counted is the
place of the blueprint, its slot. The parts of a problem hang together, so that a problem is one observation.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.records.part_marks import PartMark
from calclib.records.sealed_slots import Slot


@dataclass(frozen=True)
class Mistake:
    """A known mistake that may explain one wrong answer.

    Attributes:
        slot: The problem.
        part: The part of the problem.
        fault: Kind of the mistake.
        step: The step of the worked solution in which it was made, "" if a given was misread.
        given: The given or equivalence that it concerns, "" if none.
        certain: Whether it is the only known mistake that leads to the answer.
        what: What was done, as the record of a fact.
    """

    slot: int
    part: str
    fault: str
    step: str
    given: str
    certain: bool
    what: Mapping[str, Any]


@dataclass(frozen=True)
class Problem:
    """What one student did with one problem.

    Attributes:
        slot: Place in the set, from 1.
        skill: The skill that the blueprint asks for there.
        share: Share of the points that was earned, 0 to 1.
        right: Whether every part is right.
        waits: Whether an answer still waits for a person, so that nothing can be said of the problem yet.
        wrong: The parts that are not right, in the order of the set.
        mistakes: The known mistakes that may explain them.
    """

    slot: int
    skill: str
    share: Fraction
    right: bool
    waits: bool = False
    wrong: tuple[str, ...] = ()
    mistakes: tuple[Mistake, ...] = ()


@dataclass(frozen=True)
class Settled:
    """How an answer stands after a person looked.

    Attributes:
        earned: Points as they stand.
        right: Whether the answer counts as right.
        waits: Whether it still waits for a person.
    """

    earned: Fraction
    right: bool
    waits: bool


def problems_of(
    slots: Sequence[Slot],
    marks: Iterable[PartMark],
    *,
    settled: Mapping[tuple[int, str], Settled] | None = None,
    left_out: Collection[int] = (),
) -> tuple[Problem, ...]:
    """Return what a student did with each problem of a set, in its order.

    Args:
        slots: The problems of the set.
        marks: The marks of one attempt of the student.
        settled: By problem and part, how an answer stands where more is known of it than its mark.
        left_out: Problems that say nothing, since everyone was credited or nobody's counts.
    """
    known = settled or {}
    by_slot: dict[int, list[PartMark]] = {}
    for mark in marks:
        by_slot.setdefault(mark.slot, []).append(mark)
    wanted = (slot for slot in slots if slot.number in by_slot and slot.number not in left_out)
    return tuple(_problem(slot, by_slot[slot.number], known) for slot in wanted)


def _problem(slot: Slot, marks: Sequence[PartMark], known: Mapping[tuple[int, str], Settled]) -> Problem:
    here = [(mark, known.get((mark.slot, mark.part)) or _as_marked(mark)) for mark in marks]
    worth = sum(slot.points.values(), Fraction(0))
    earned = sum((one.earned for _, one in here), Fraction(0))
    wrong = [mark for mark, one in here if not one.right]
    return Problem(
        slot=slot.number,
        skill=slot.skill,
        share=min(max(earned / worth, Fraction(0)), Fraction(1)) if worth else Fraction(0),
        right=not wrong,
        waits=any(one.waits for _, one in here),
        wrong=tuple(mark.part for mark in wrong),
        mistakes=tuple(mistake for mark in wrong for mistake in _mistakes(mark)),
    )


def _as_marked(mark: PartMark) -> Settled:
    return Settled(mark.earned, mark.right, mark.needs_person)


def _mistakes(mark: PartMark) -> Iterable[Mistake]:
    for cause in mark.causes:
        certain = bool(cause["certain"])
        step, given = str(cause.get("step", "")), str(cause.get("given", ""))
        yield Mistake(mark.slot, mark.part, str(cause["fault"]), step, given, certain, cause["what"])
