from __future__ import annotations

import time
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.reading import CellText, Unread, read_answer_cell

CELLS = tomllib.loads((Path(__file__).parent / "answer_cells.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", [pytest.param(row, id=ascii(row["source"])) for row in CELLS["found"]])
def test_the_typed_text_of_a_cell_is_found_as_decided(row: dict[str, Any]) -> None:
    """Text and line of each source are those that the table decides."""
    assert read_answer_cell(row["source"], "answer_1") == CellText(row["text"], row["line"])


@pytest.mark.parametrize("row", [pytest.param(row, id=ascii(row["source"])) for row in CELLS["unread"]])
def test_a_cell_without_one_plain_text_says_where_it_stops(row: dict[str, Any]) -> None:
    """Computed, split or contradicting texts go before a person."""
    found = read_answer_cell(row["source"], "answer_1")
    assert isinstance(found, Unread)
    assert found.position == row["position"]
    assert found.text == row["source"]


def test_without_a_name_the_only_assignment_is_the_answer() -> None:
    """A cell whose name is not known is still read if it can mean only one text."""
    assert read_answer_cell('whatever = "125"') == CellText("125", 1)
    assert isinstance(read_answer_cell('a = "1"\nb = "2"'), Unread)


@given(st.text(st.characters(exclude_characters='\\"\n\r', exclude_categories=["Cs"])))
def test_what_stands_between_quotes_comes_back(text: str) -> None:
    """A text between plain quotes is found sign by sign."""
    assert read_answer_cell(f'answer_1 = "{text}"', "answer_1") == CellText(text, 1)


@given(st.text())
def test_python_s_own_way_of_writing_a_text_comes_back_or_is_refused(text: str) -> None:
    """A text as Python writes it is found as Python has it, or refused for its escapes; never another text."""
    found = read_answer_cell(f"answer_1 = {text!r}", "answer_1")
    assert isinstance(found, Unread) or found == CellText(text, 1)


@given(st.text())
def test_any_source_gives_a_text_or_a_reason(source: str) -> None:
    """No source of a cell raises."""
    assert isinstance(read_answer_cell(source, "answer_1"), CellText | Unread)


@pytest.mark.parametrize(
    "line",
    [
        'a = "' + "\u201d" * 990,
        'a = "' + "\u201d x" * 300,
        "a = \u201c" + "\u201dx" * 490,
        "a = '" + "\\'" * 490,
        "a = " + '"' * 990,
        "a" + " " * 900 + "=5",
    ],
)
def test_cells_made_to_be_slow_are_not(line: str) -> None:
    """A cell full of the worst lines is read or refused within 5 ms (the best of several tries on a busy machine)."""
    source = "\n".join([line] * (4_000 // (len(line) + 1)))
    times = []
    for _ in range(20):
        began = time.perf_counter()
        read_answer_cell(source, "a")
        times.append(time.perf_counter() - began)
    assert min(times) <= 0.005


def test_a_cell_that_is_too_long_is_refused_at_once() -> None:
    """The size that is looked at is bounded."""
    assert isinstance(read_answer_cell("x" * 4_001), Unread)
    assert isinstance(read_answer_cell("\n" * 3_000 + "a = 5"), Unread)
