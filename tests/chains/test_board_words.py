"""What a worked solution and a hint print, over every model of the bank: as a teacher writes on a board."""

from __future__ import annotations

import re

import pytest

from calclib.chains.hints import RUNGS
from calclib.chains.methods import METHODS
from calclib.items import draw_item, solution_of
from calclib.models import item_model
from tests.items.drawn import MODELS, drawn_items, model

NOT_ON_A_BOARD = {
    "a negative number is added": r"\+ -|- -",
    "a sign or a bracket hangs over nothing": r" x  |x \)| x =|\( | [/x] *$",
    "an article is doubled": r"\b(the|a|an) (the|a|an|what|how)\b",
    "a unit has more than three factors": r"\d [a-zA-Z]+ x [a-zA-Z%]+(?: x [a-zA-Z]+)*/|[a-zA-Z%]+(?:/[a-zA-Z%]+){3}",
    "a unit begins with 1": r"\d 1/[a-z]",
    "a name of the program shows": r"\w_\w|\b[a-z]+\.[a-z]+\b",
    "a decimal stands for so many hours a dose": r"doses?/h(?!our)\b.*about|about \S+ doses?/h\b",
    "a unit is said twice": r"\bin in\b|in (\w+), in \1\b",
    "a limit and a value are compared in the program's words": r"; so:|lies between|is to fit",
}


def _lines(name: str) -> list[str]:
    lines: list[str] = []
    for item in drawn_items(name)[:2]:
        solution = solution_of(item, model(name))
        for part in item.parts:
            lines += [line for method in METHODS for line in solution.worked(part.name, method=method)]
            lines += [line for rung in RUNGS for line in solution.hint(part.name, rung)]
    return lines


@pytest.mark.parametrize("name", MODELS)
def test_solutions_and_hints_are_as_on_a_board(name: str) -> None:
    """No line prints a compound constant, a negative addition, a doubled article, or a name of the program."""
    for line in _lines(name):
        for fault, pattern in NOT_ON_A_BOARD.items():
            assert not re.search(pattern, line), f"{fault}: {line}"


def test_a_falling_rate_is_subtracted() -> None:
    """A table that lowers a rate by a tenth leads to a subtraction, without a negative number."""
    chosen = item_model("heparin-hold")
    item = draw_item(chosen, "board", given={"rate": "2.6 mL/h", "aptt": "119 s"})

    assert solution_of(item, chosen).worked("rate")[:3] == (
        "Look up 119 s (96 to below 121 s): protocol rate change = 0.1 less",
        "rate before the change x protocol rate change = 2.6 mL/h x 0.1 = 0.26 mL/h",
        "new rate = 2.6 mL/h - 0.26 mL/h = 2.34 mL/h",
    )


def test_an_empirical_formula_is_shown_with_bare_numbers() -> None:
    """Cockcroft-Gault is written as it is taught: the constant 72 has no unit, and so has no other number."""
    chosen = item_model("creatinine-clearance")
    given = {"patient": "woman", "age": "85 years", "weight": "92.5 kg", "creatinine": "1.1 mg/dL"}
    item = draw_item(chosen, "board", given=given)

    assert solution_of(item, chosen).worked("clearance")[:3] == (
        "140 minus the age = 140 years - 85 years = 55 years",
        "Look up “woman”: factor for women or men = 0.85",
        "creatinine clearance = 55 x 92.5 x 0.85 / 1.1 / 72 = about 54.601 mL/min",
    )


def test_a_dose_that_nobody_names_stands_with_its_neighbor() -> None:
    """One dose is written with the amount of it, and an interval is no long decimal of doses an hour."""
    chosen = item_model("daily-dose-received")
    item = draw_item(chosen, "board", given={"order": "125 mg", "frequency": "every 6 h", "weight": "21 kg"})
    assert solution_of(item, chosen).worked("daily")[1] == "daily amount = 125 mg/1 dose x 4 doses/day = 500 mg/day"

    times = item_model("dose-times")
    item = draw_item(times, "board", given={"frequency": "every 6 h", "count": "6"})
    assert solution_of(item, times).worked("wait")[:3] == (
        "number of doses an hour = 1 dose/6 h",
        "doses after the first = 6 - 1 = 5",
        "time from the first to the last dose = 5 doses x 6 h/1 dose = 30 h",
    )
