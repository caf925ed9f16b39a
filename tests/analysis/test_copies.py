import random
from fractions import Fraction

import pytest

from calclib.analysis import Sheet, shared_numbers
from calclib.analysis.copies import _at_least

PROBLEMS = 10


def honest(chance: random.Random, students: int, space: int, wrong: float) -> list[Sheet]:
    """A class in which all work alone: keys and wrong values come from the same few numbers."""
    sheets = []
    for n in range(students):
        keys = {(slot, "x"): Fraction(chance.randrange(1, space)) for slot in range(1, PROBLEMS + 1)}
        errors = {place: Fraction(chance.randrange(1, space)) for place in keys if chance.random() < wrong}
        sheets.append(Sheet(f"s{n}", keys, {place: value for place, value in errors.items() if value != keys[place]}))
    return sheets


def copied(sheets: list[Sheet], one: int, other: int, problems: int) -> list[Sheet]:
    """Let one student hand in the right answers to another's numbers."""
    taken = {place: key for place, key in list(sheets[other].keys.items())[:problems] if sheets[one].keys[place] != key}
    changed = Sheet(sheets[one].student, sheets[one].keys, {**sheets[one].wrong, **taken})
    return [changed if n == one else sheet for n, sheet in enumerate(sheets)]


@pytest.mark.parametrize("students", [10, 30, 120])
def test_planted_copies_are_found(students: int) -> None:
    """Six answers that fit another's numbers are enough in a class of any usual size, and no other pair is named."""
    chance = random.Random(7)
    sheets = copied(honest(chance, students, 400, 0.2), 3, 8, 6)
    (pair,) = shared_numbers(sheets)
    assert (pair.student, pair.other) == ("s3", "s8")
    assert len(pair.matches) >= 5
    assert pair.chance < 0.001


@pytest.mark.parametrize("space", [20, 60, 400])
@pytest.mark.parametrize("students", [12, 40])
def test_honest_classes_raise_no_alarm(students: int, space: int) -> None:
    """Also where the numbers are few, so that many are shared, and where half of the answers are wrong."""
    chance = random.Random(f"{students} {space}")
    assert not any(shared_numbers(honest(chance, students, space, 0.5)) for _ in range(40))


def test_two_matches_are_never_enough() -> None:
    """However unlikely they are: one honest class in a hundred thousand would show these two."""
    rest = honest(random.Random(1), 60, 10**7, 0.5)
    alone = Sheet("s0", rest[0].keys, {})
    sheets = copied([alone, *rest[1:]], 0, 1, 2)
    assert shared_numbers(sheets) == ()
    (pair,) = shared_numbers(sheets, least=2)
    assert (pair.student, pair.other, pair.chance < 1e-4) == ("s0", "s1", True)


def test_parts_of_one_problem_count_once() -> None:
    """They follow from the same numbers, so they are no independent matches."""
    keys = {(1, part): Fraction(n) for n, part in enumerate("abcdef", start=10)}
    other = {place: key + 100 for place, key in keys.items()}
    rest = [Sheet(f"s{n}", {place: key + 200 + n for place, key in keys.items()}, {}) for n in range(30)]
    assert shared_numbers([Sheet("a", keys, other), Sheet("b", other, {}), *rest]) == ()


def test_a_key_that_many_have_weighs_little() -> None:
    """A wrong answer that is half of the class's key fits somebody by chance."""
    common = {(slot, "x"): Fraction(100) for slot in range(1, 6)}
    half = [Sheet(f"s{n}", common, {}) for n in range(15)]
    rest = [Sheet(f"t{n}", {place: Fraction(n) for place in common}, {}) for n in range(15)]
    one = Sheet("a", {place: Fraction(999) for place in common}, common)
    assert shared_numbers([one, *half, *rest]) == ()


def test_the_tail_is_that_of_independent_trials() -> None:
    """Against values worked by hand: two coins, and three trials of one tenth."""
    assert _at_least(1, [0.5, 0.5]) == 0.75
    assert _at_least(2, [0.1] * 3) == pytest.approx(0.028)
    assert _at_least(0, []) == 1


def test_an_empty_class_has_no_pairs() -> None:
    """Nor has a class of one."""
    assert shared_numbers([]) == ()
    assert shared_numbers([Sheet("a", {}, {})]) == ()
