"""Wrong answers that are right for another student's numbers: how often, and how likely by chance.

Every student has numbers of their own. A wrong answer that no known mistake explains, but that is the key to another
student's numbers, happens by chance; several of them to the same student hardly do. This is a reason to ask, never a
finding: it is worded so, and touches no mark.

The chance of one match is estimated from the class itself: how many others have that very key, and how often wrong
answers match keys between all other pairs. The chance of so many matches between two students is the upper tail of the
sum of independent trials (Poisson binomial), times the number of ordered pairs (Bonferroni).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

# Fewer could be a coincidence that any teacher would call one.
LEAST_MATCHES = 3
# At this level, after correction for all pairs, one honest class in a thousand would show a pair.
LEVEL = 0.001

Place = tuple[int, str]


@dataclass(frozen=True)
class Sheet:
    """One student's keys, and the wrong answers that no known mistake explains.

    Attributes:
        student: Any name of the student.
        keys: The right value of each question, by problem and part, in the unit asked.
        wrong: The wrong values that remain unexplained.
    """

    student: str
    keys: Mapping[Place, Fraction]
    wrong: Mapping[Place, Fraction]


@dataclass(frozen=True)
class SharedNumbers:
    """Two students of whom one gave several right answers to the other's numbers.

    Attributes:
        student: Who gave the answers.
        other: Whose numbers they fit.
        matches: The questions, one a problem.
        of: Problems with a wrong answer that remains unexplained.
        chance: How often so many matches would be expected in a class of this size in which all work alone, at most.
    """

    student: str
    other: str
    matches: tuple[Place, ...]
    of: int
    chance: float


def shared_numbers(
    sheets: Sequence[Sheet], *, least: int = LEAST_MATCHES, level: float = LEVEL
) -> tuple[SharedNumbers, ...]:
    """Return the pairs with more matches than chance explains, the least likely first.

    Args:
        sheets: The class.
        least: Matches in different problems that a pair has at least.
        level: The chance, corrected for the number of pairs, that a pair stays below.
    """
    keys = _students_by_key(sheets)
    pairs = len(sheets) * (len(sheets) - 1)
    matches = _matches(sheets, keys)
    total = sum(map(len, matches.values()))
    compared = sum(len(sheet.wrong) for sheet in sheets) * max(len(sheets) - 1, 1)
    found = []
    for (one, other), places in matches.items():
        problems = {place[0]: place for place in places}
        if len(problems) < least:
            continue
        # What the pair itself matches must not make matches look common.
        usual = (total - len(places) + 1) / max(compared, 1)
        chances = _chances(sheets[one], keys, len(sheets), usual)
        chance = min(1.0, pairs * _at_least(len(problems), list(chances.values())))
        if chance < level:
            names = sheets[one].student, sheets[other].student
            found.append(SharedNumbers(*names, tuple(sorted(problems.values())), len(chances), chance))
    return tuple(sorted(found, key=lambda pair: pair.chance))


def _students_by_key(sheets: Sequence[Sheet]) -> dict[Place, dict[Fraction, list[int]]]:
    keys: dict[Place, dict[Fraction, list[int]]] = {}
    for n, sheet in enumerate(sheets):
        for place, key in sheet.keys.items():
            keys.setdefault(place, {}).setdefault(key, []).append(n)
    return keys


def _matches(
    sheets: Sequence[Sheet], keys: Mapping[Place, Mapping[Fraction, list[int]]]
) -> dict[tuple[int, int], list[Place]]:
    matches: dict[tuple[int, int], list[Place]] = {}
    for n, sheet in enumerate(sheets):
        for place, value in sheet.wrong.items():
            for other in keys.get(place, {}).get(value, ()):
                if other != n:
                    matches.setdefault((n, other), []).append(place)
    return matches


def _chances(
    sheet: Sheet, keys: Mapping[Place, Mapping[Fraction, list[int]]], students: int, usual: float
) -> dict[int, float]:
    """The chance that a student's wrong answer to a problem fits a student taken at random, by problem."""
    chances: dict[int, float] = {}
    for place, value in sheet.wrong.items():
        # One of those who have the key may be the one who is looked at: the rest show how common the key is.
        others = max(len(keys.get(place, {}).get(value, ())) - 1, 0)
        chance = max(usual, others / max(students - 2, 1))
        left = chances.get(place[0], 0.0)
        chances[place[0]] = min(1.0, left + chance)
    return chances


def _at_least(count: int, chances: Sequence[float]) -> float:
    """The chance of at least `count` successes in independent trials."""
    exactly = [1.0] + [0.0] * len(chances)
    for done, chance in enumerate(chances):
        for successes in range(done + 1, 0, -1):
            exactly[successes] = exactly[successes] * (1 - chance) + exactly[successes - 1] * chance
        exactly[0] *= 1 - chance
    return sum(exactly[count:])
