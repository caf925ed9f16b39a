"""Hints in three rungs: each says more, and none gives the number away."""

from __future__ import annotations

import re

import pytest

from calclib.chains.hints import RUNGS
from calclib.chains.shown import GAP
from calclib.items import Item, draw_item, solution_of
from calclib.models import item_model
from tests.items.drawn import MODELS, drawn_items, model

HOURS_AND_MINUTES = "There are 60 minutes in an hour. Past midnight, count to 2400, then from 0000."
"""A hint for all times of day, whatever the answer."""


def test_the_first_rung_says_what_matters() -> None:
    """The first rung names what is asked, the values that are needed and those that are not."""
    chosen = item_model("drop-rate-from-hourly-rate")
    item = draw_item(chosen, "hint", given={"rate": "125 mL/h", "bag": "500 mL", "drop_factor": "15 gtt/mL"})

    assert solution_of(item, chosen).hint("drops", 1) == (
        "Find the drop rate, in gtt/min.",
        "You need: ordered rate (125 mL/h); drop factor (15 gtt/mL).",
        "You do not need: volume of the bag (500 mL).",
    )


def test_the_second_rung_has_its_gap_where_it_went_wrong() -> None:
    """The gap stands at the given or conversion that went wrong; the other steps stand whole."""
    chosen = item_model("drop-rate")
    item = draw_item(chosen, "hint", given={"volume": "1 L", "time": "8 h", "drop_factor": "15 gtt/mL"})
    solution = solution_of(item, chosen)

    whole = solution.hint("drops", 3)
    assert whole == (
        "infusion time = 8 h x 60 min/1 h, in min",
        "volume to infuse = 1 L x 1,000 mL/1 L, in mL",
        "drop rate = volume to infuse x 15 gtt/mL / infusion time, in gtt/min",
    )
    assert solution.hint("drops", 2, step="time", given="min_per_h") == (
        f"infusion time = 8 h x {GAP}, in min",
        *whole[1:],
    )
    assert solution.hint("drops", 2, step="drops", given="drop_factor") == (
        *whole[:2],
        f"drop rate = volume to infuse x {GAP} / infusion time, in gtt/min",
    )


def test_a_misread_given_has_its_gap_where_it_is_used() -> None:
    """Where only the given is known, the gap stands in the first step that uses it."""
    chosen = item_model("drop-rate")
    item = draw_item(chosen, "hint", given={"volume": "1 L", "time": "480 min", "drop_factor": "15 gtt/mL"})

    assert solution_of(item, chosen).hint("drops", 2, given="volume")[0] == (
        f"volume to infuse = {GAP} x 1,000 mL/1 L, in mL"
    )


@pytest.mark.parametrize("name", MODELS)
def test_no_rung_gives_the_answer(name: str) -> None:
    """No hint holds the answer or a result on the way, unless the stem itself states that text."""
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        stated = [given.text for given in item.givens]
        for part in item.parts:
            printed = re.search(rf"(?<![\d.,]){re.escape(part.answer)}", item.stem)  # sizes to choose from
            secrets = set() if printed else {part.answer} - {text for text in stated if part.answer in text}
            for rung in RUNGS:
                for place in _places(item, part.name):
                    for line in solution.hint(part.name, rung, step=place[0], given=place[1]):
                        if line == HOURS_AND_MINUTES:
                            continue
                        shown = _without(line, stated)
                        assert not any(_holds(shown, secret) for secret in secrets if secret[:1].isdigit()), line
                        assert " = about" not in line and "Answer" not in line


def _holds(line: str, number: str) -> bool:
    return re.search(rf"(?<![\d.,]){re.escape(number)}(?![\d.,])", line) is not None


def _places(item: Item, part: str) -> list[tuple[str, str]]:
    return [("", ""), *dict.fromkeys((f.step, f.given) for f in item.part(part).faults)]


def _without(line: str, stated: list[str]) -> str:
    """A line without the texts of the stem and without fractions: conversions and strengths."""
    for text in sorted(stated, key=len, reverse=True):
        line = line.replace(text, "")
    return re.sub(r"[\d.,]+ [^ /]+/[\d.,]+ \w+", "", line)


@pytest.mark.parametrize("name", MODELS)
def test_a_gap_for_every_fault_and_none_when_whole(name: str) -> None:
    """For every fault the second rung shows exactly where something is missing; the third leaves nothing out."""
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        for part in item.parts:
            whole = solution.hint(part.name, 3)
            assert not any(GAP in line for line in whole)
            for step, given in _places(item, part.name):
                lines = solution.hint(part.name, 2, step=step, given=given)
                changed = [line for line, other in zip(lines, whole, strict=True) if line != other]
                assert any(GAP in line for line in lines) or _is_a_rounding(lines), (step, given, lines)
                assert len(changed) <= 1 and all(GAP in line for line in changed)


def _is_a_rounding(lines: tuple[str, ...]) -> bool:
    """A step that only rounds has nothing to leave open but its rule, which the stem prints."""
    return any("round" in line for line in lines)


WITH_DISTRACTORS = [name for name in MODELS if any(given.role == "distractor" for given in model(name).givens.values())]


@pytest.mark.parametrize("name", WITH_DISTRACTORS)
def test_distractors_are_named_as_such(name: str) -> None:
    """A value that is stated without being used is said to be one, and never said to be needed."""
    for item in drawn_items(name):
        solution = solution_of(item, model(name))
        distractors = [given for given in item.givens if given.role == "distractor"]
        assert distractors
        for part in item.parts:
            needed, *others = [line for line in solution.hint(part.name, 1) if line.startswith("You")] or [""]
            for given in distractors:
                assert f"{given.says} ({given.text})" not in needed
                assert any(given.text in line for line in others)
