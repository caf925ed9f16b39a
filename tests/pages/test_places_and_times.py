"""Pages speak of parts, attempts and times as a student knows them."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.nbgrading import mark
from calclib.nbgrading.rule import Wish, rule
from calclib.pages import explanation, waiting
from calclib.records import class_folder, set_results
from calclib.records.part_letters import part_letters
from tests.nbgrading.conftest import NOW
from tests.pages.test_rulings_on_pages import page_of

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]


def test_parts_have_the_letters_of_the_notebook(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """On the page, in the list of what waits and in the explanation; a problem with one part has none."""
    notebook = class_folder(folder).rendered("week-3", "ann").read_text(encoding="utf-8")
    assert re.findall(r"\*\*(3\w)\.\*\* \*\*(.*?)\*\*", notebook)[1][0] == "3b"
    asked = dict(re.findall(r"\*\*(\d\w)\.\*\* \*\*(.*?)\*\*", notebook))
    hand_in("ann", dict.fromkeys(keys["ann"], "about a lot"))
    mark(folder, "week-3", now=NOW)
    page, told, explained = (page_of(folder), waiting(folder, "week-3").text, explanation(folder, "week-3", "ann"))
    for place, question in asked.items():
        assert f"{place}. {question}" in page
        assert f"problem {place}, " in told
        assert f"Part {place}, " in explained
    assert "(ann), problem 1\n" in told
    assert "Part 1" not in explained


def test_a_ruling_takes_the_letter_of_a_part(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """As the notebook prints it, in place of the part's name."""
    hand_in("ann", {})
    mark(folder, "week-3", now=NOW)
    slot = set_results(class_folder(folder), "week-3").sealed.slots[2]
    names = list(slot.points)
    done = rule(folder, "week-3", Wish("credit", {}, "Unclear.", problem=3, part="B"), now=NOW)
    assert done.ruling.part == names[1]


@pytest.mark.parametrize(("parts", "letters"), [(1, [""]), (2, ["a", "b"]), (27, [*"abcdefghijklmnopqrstuvwxyz", ""])])
def test_letters_end_with_the_alphabet(parts: int, letters: list[str]) -> None:
    """One part alone needs none."""
    assert list(part_letters(map(str, range(parts))).values()) == letters
