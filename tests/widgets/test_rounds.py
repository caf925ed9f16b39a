"""Which kind of problem comes next."""

from __future__ import annotations

import pytest

from calclib.widgets.rounds import Turn, next_skill


def turns(text: str) -> list[Turn]:
    """Turns as letters of kinds: `a` solved unaided, `a!` missed, `a?` passed by."""
    how = {"": True, "!": False, "?": None}
    return [Turn(one[0], how[one[1:]]) for one in text.split()]


@pytest.mark.parametrize(
    ("past", "expected"),
    [
        ("", "a"),
        ("a", "b"),
        ("a b c", "a"),
        ("a!", "b"),
        ("a! b", "c"),
        ("a! b c", "a"),
        ("a b! c a", "b"),
        ("a b! c a b", "c"),
        ("a! b! c", "a"),
        ("a! b! c a", "b"),
        ("a? b c", "a"),
    ],
)
def test_a_missed_kind_comes_again_after_two_others(past: str, expected: str) -> None:
    """Else the kind comes that is longest away, in the order of the list."""
    assert next_skill(("a", "b", "c"), (), turns(past)) == expected


@pytest.mark.parametrize(("past", "expected"), [("", "a"), ("a!", "a"), ("a! a!", "a")])
def test_one_kind_alone_comes_each_time(past: str, expected: str) -> None:
    """A list of one kind has nothing to wait for."""
    assert next_skill(("a",), (), turns(past)) == expected


def test_every_third_problem_is_of_an_earlier_kind() -> None:
    """Earlier kinds are mixed in, each in its turn."""
    past: list[Turn] = []
    for _ in range(9):
        past.append(Turn(next_skill(("a", "b"), ("x", "y", "a"), past), True))
    assert "".join(turn.skill for turn in past) == "abxabyabx"
