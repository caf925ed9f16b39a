"""Which problems a person should look at, and why: signs of a fault in the problem, not in the students.

A mastery test that most pass has little spread, so that low discrimination or an easy problem is no sign. These are:
a discrimination that is negative beyond chance, students who are able in everything else and fail here, a wrong answer
that many share and no known mistake explains, and several rulings.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import atanh, sqrt
from statistics import NormalDist

from calclib.analysis.copies import Sheet
from calclib.analysis.item_statistics import SOME_USE, ItemStatistics
from calclib.analysis.problems import Problem
from calclib.records.rulings.ruling import Ruling
from calclib.records.sealed_slots import Slot

FEWEST_ABLE = 5
FEWEST_RULINGS = 3
FEWEST_SHARED = 3
SHARED_BY = Fraction(1, 10)
"""Share of a class that gives the same unexplained wrong answer."""
_SAME = Fraction(101, 100)
_LEVEL = 0.01


class Sign(StrEnum):
    """Why a problem is suspect."""

    NEGATIVE = "negative"
    ABLE_FAIL = "able_fail"
    SHARED_WRONG = "shared_wrong"
    RULINGS = "rulings"


@dataclass(frozen=True)
class Suspect:
    """One reason to look at one problem.

    Attributes:
        slot: The problem.
        sign: The reason.
        count: How many of those whom it speaks of.
        of: How many these are: students, able students, or rulings.
        part: The part of the problem, "" for all of it.
    """

    slot: int
    sign: Sign
    count: int
    of: int
    part: str = ""


def negative_beyond_chance(statistics: Mapping[int, ItemStatistics]) -> tuple[Suspect, ...]:
    """Return the problems whose discrimination is negative, in a class of at least 30, by more than chance explains.

    The one-sided test of a correlation by Fisher's z, atanh(r) times the root of n - 3, at a level of 1% for all
    problems together (Bonferroni; both from memory). For one problem in a class of 30 that is about -0.42 or less.

    Args:
        statistics: Of each problem, by its number.
    """
    found = []
    limit = NormalDist().inv_cdf(1 - _LEVEL / max(len(statistics), 1))
    for slot, one in statistics.items():
        value = one.discrimination
        if value is None or one.students < SOME_USE or value >= 0:
            continue
        if value <= -1 or atanh(value) * sqrt(one.students - 3) < -limit:
            found.append(Suspect(slot, Sign.NEGATIVE, one.students, one.students))
    return tuple(found)


def failed_by_the_able(students: Iterable[Sequence[Problem]], cut: Fraction) -> tuple[Suspect, ...]:
    """Return the problems that at least half of the able students have wrong.

    Able for a problem is who reaches the cut score in all the others; fewer than five say nothing.

    Args:
        students: What each student did.
        cut: The share that passes.
    """
    able: dict[int, list[bool]] = {}
    for problems in students:
        total, count = sum((one.share for one in problems), Fraction(0)), len(problems)
        for one in problems:
            if count > 1 and not one.waits and (total - one.share) / (count - 1) >= cut:
                able.setdefault(one.slot, []).append(one.right)
    return tuple(
        Suspect(slot, Sign.ABLE_FAIL, right.count(False), len(right))
        for slot, right in sorted(able.items())
        if len(right) >= FEWEST_ABLE and 2 * right.count(False) >= len(right)
    )


def shared_wrong_answers(sheets: Sequence[Sheet], slots: Sequence[Slot]) -> tuple[Suspect, ...]:
    """Return the answers that several students have wrong alike, though no known mistake leads there.

    Numbers differ from student to student, so that alike is by how many times too large or small, within 1%; for a
    time, by how many minutes.

    Args:
        sheets: The keys and unexplained wrong answers of each student.
        slots: The problems.
    """
    clocks = {(slot.number, part) for slot in slots for part, kind in slot.kinds.items() if kind == "clock"}
    away: dict[tuple[int, str], list[Fraction]] = {}
    for sheet in sheets:
        for place, value in sheet.wrong.items():
            key = sheet.keys[place]
            if place in clocks:
                away.setdefault(place, []).append(value - key)
            elif key and value * key > 0:
                away.setdefault(place, []).append(value / key)
    found = []
    for place, values in sorted(away.items()):
        count = max(values.count(one) for one in values) if place in clocks else _alike(sorted(values))
        if count >= FEWEST_SHARED and count >= SHARED_BY * len(sheets):
            found.append(Suspect(place[0], Sign.SHARED_WRONG, count, len(sheets), place[1]))
    return tuple(found)


def _alike(ordered: Sequence[Fraction]) -> int:
    """How many of some ratios at the most lie within 1% of each other."""
    most = first = 0
    for last, value in enumerate(ordered):
        while value > ordered[first] * _SAME:
            first += 1
        most = max(most, last - first + 1)
    return most


def often_ruled_on(rulings: Iterable[Ruling], slots: Collection[int]) -> tuple[Suspect, ...]:
    """Return the problems on which at least three rulings are in force, whether for everyone or for one student.

    Args:
        rulings: The rulings in force.
        slots: The numbers of the problems that are looked at.
    """
    counts = dict.fromkeys(slots, 0)
    for ruling in rulings:
        for slot in ruling.problems:
            if slot in counts:
                counts[slot] += 1
    return tuple(Suspect(slot, Sign.RULINGS, count, count) for slot, count in counts.items() if count >= FEWEST_RULINGS)
