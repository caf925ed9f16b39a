"""Routes and frequencies in an order's words, from a closed list."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.formulary import INJECTED, Route
from calclib.formulary.order_words import doses_a_day_named, routes_named


@pytest.mark.parametrize(
    ("text", "routes"),
    [
        ("by mouth", (Route.ORAL,)),
        ("IV push", (Route.IV,)),
        ("IV over 15 min, to be diluted", (Route.IV,)),
        ("slow IV through a central line", (Route.IV,)),
        ("IM, one dose", (Route.IM,)),
        ("by injection", INJECTED),
        ("for local anesthesia", (Route.INFILTRATION,)),
        ("IVP", ()),
        ("into the eye", ()),
    ],
)
def test_a_route_is_the_words_at_the_beginning(text: str, routes: tuple[Route, ...]) -> None:
    """Words of the list are known; others leave the route open."""
    assert routes_named(text) == routes


@pytest.mark.parametrize(
    ("text", "times"),
    [
        ("every 8 h", 3),
        ("every 12 h, the next dose now", 2),
        ("once daily before breakfast", 1),
        ("twice daily with meals", 2),
        ("3 times daily", 3),
        ("at bedtime", 1),
        ("3 times a week", None),
        ("now, one dose", None),
        ("every 0 h", None),
    ],
)
def test_how_often_is_read(text: str, times: int | None) -> None:
    """What is not for a day says nothing of a day."""
    assert doses_a_day_named(text) == (None if times is None else Fraction(times))
