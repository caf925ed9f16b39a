"""Which problems are suspect, and that a mastery test that most pass makes none so."""

from __future__ import annotations

import random
from fractions import Fraction

import pytest

from calclib.analysis.copies import Sheet
from calclib.analysis.item_statistics import ItemStatistics, item_statistics
from calclib.analysis.problems import Problem
from calclib.analysis.suspects import (
    Sign,
    Suspect,
    failed_by_the_able,
    negative_beyond_chance,
    often_ruled_on,
    shared_wrong_answers,
)
from calclib.records import Ruling, Slot

CUT = Fraction(9, 10)


def problems(*right: bool) -> list[Problem]:
    """A student's problems, each worth the same."""
    return [Problem(n, "rates", Fraction(int(one)), one) for n, one in enumerate(right, start=1)]


def slot(kind: str = "quantity") -> Slot:
    """A problem of one part."""
    return Slot(1, "pump-rate", "Pump rate", "rates", {"rate": Fraction(1)}, {"rate": kind})


def test_a_mastery_test_that_most_pass_has_no_suspect() -> None:
    """A hundred students of 95% each on ten items: values lie about 0; of fifty classes at most two are named."""
    chance, named, negative = random.Random(11), 0, 0
    for _ in range(50):
        rows = [[chance.random() < 0.95 for _ in range(10)] for _ in range(100)]
        statistics = item_statistics([[int(one) for one in row] for row in rows])
        negative += min(one.discrimination or 0 for one in statistics) < 0
        named += bool(negative_beyond_chance(dict(enumerate(statistics, start=1))))
        assert failed_by_the_able([problems(*row) for row in rows], CUT) == ()
    assert named <= 2
    assert negative > 40


@pytest.mark.parametrize(
    ("students", "value", "found"),
    [
        (29, -0.9, False),
        (30, -0.41, False),
        (30, -0.43, True),
        (200, -0.16, False),
        (200, -0.17, True),
        (60, 0.0, False),
    ],
)
def test_a_negative_value_counts_beyond_chance(students: int, value: float, found: bool) -> None:
    """Only with 30 students, and the fewer there are, the further below 0 it has to be."""
    suspects = negative_beyond_chance({4: ItemStatistics(students, Fraction(1, 2), value)})
    assert [one.slot for one in suspects] == ([4] if found else [])


def test_a_wrong_key_is_found_by_the_able() -> None:
    """Five who have nine others right and this one wrong are a sign; four are too few, and weak students are none."""
    able, weak = problems(*[True] * 9, False), problems(*[False] * 10)
    assert failed_by_the_able([able] * 5 + [weak] * 20, CUT) == (Suspect(10, Sign.ABLE_FAIL, 5, 5),)
    assert failed_by_the_able([able] * 4 + [weak] * 20, CUT) == ()
    assert failed_by_the_able([able] * 4 + [problems(*[True] * 10)] * 5, CUT) == ()


def test_a_wrong_answer_that_many_share_is_a_sign() -> None:
    """By how many times it is off, since every student has other numbers; three in twenty, and never two."""
    place = (1, "rate")
    sheets = [Sheet(str(n), {place: Fraction(10 + n)}, {}) for n in range(20)]
    off = [Sheet(str(n), {place: Fraction(50 + n)}, {place: (50 + n) * Fraction(22, 10)}) for n in range(3)]
    scattered = [Sheet(str(n), {place: Fraction(50)}, {place: Fraction(7 * n + 1)}) for n in range(9)]
    assert shared_wrong_answers([*sheets, *off], [slot()]) == (Suspect(1, Sign.SHARED_WRONG, 3, 23, "rate"),)
    assert shared_wrong_answers([*sheets, *off[:2], *scattered], [slot()]) == ()


def test_times_are_alike_by_minutes() -> None:
    """An hour late for everyone is one wrong answer, though no two times are the same number of times too late."""
    place = (1, "rate")
    late = [Sheet(str(n), {place: Fraction(60 * n + 5)}, {place: Fraction(60 * n + 65)}) for n in range(1, 5)]
    assert shared_wrong_answers(late, [slot("clock")]) == (Suspect(1, Sign.SHARED_WRONG, 4, 4, "rate"),)


def test_several_rulings_are_a_sign() -> None:
    """Three on one problem; two are not, and one on the whole set speaks of no problem."""
    three = [Ruling(n, "answer", 2, "", f"p{n}", {}, "", "", "") for n in range(3)]
    others = [Ruling(8, "text", 1, "", "", {}, "", "", ""), Ruling(9, "marking", 0, "", "", {}, "", "", "")]
    assert often_ruled_on([*three, *others, others[0]], [1, 2]) == (Suspect(2, Sign.RULINGS, 3, 3),)
