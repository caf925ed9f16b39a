"""Set-ups typed in the practice box."""

from __future__ import annotations

from calclib.widgets.engine import practice_engine
from calclib.widgets.practice import PracticeBox, struck_out


def test_cancelled_units_are_struck_letter_by_letter() -> None:
    """A cancelled unit keeps its letters, each with a stroke, and nothing else is changed."""
    assert struck_out(r"\frac{5\ \cancel{\text{mL}}}{2}") == "\\frac{5\\ \\text{m\u0336L\u0336}}{2}"


def test_a_typed_setup_is_shown_back_and_judged() -> None:
    """The set-up stands under the answer as mathematics, with what it shows; an empty field says nothing."""
    box = PracticeBox(("drop-rate",), "a set-up", practice_engine())
    assert box.item is not None
    given = {one.name: one.text for one in box.item.givens}
    box.check()
    assert "Set-up:" not in box.shown_setups.widget.value

    box.setups["drops"].value = f"{given['volume']} / {given['time']}"
    box.check()

    assert "\\frac" in box.shown_setups.widget.value
    assert "drop factor" in box.shown_setups.widget.value


def test_a_setup_is_never_read_as_markup() -> None:
    """Signs of markup in a set-up reach the page escaped."""
    box = PracticeBox(("drop-rate",), "a set-up", practice_engine())
    box.setups["drops"].value = "<img src=x onerror=alert(1)> 5 mL"

    box.check()

    assert "<img" not in box.shown_setups.widget.value
