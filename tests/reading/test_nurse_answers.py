"""Answers as students type them, read as an instructor would."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from calclib.models import bank
from calclib.reading import Reading, Unread, read_answer
from calclib.reading.context import NO_CONTEXT, Context
from calclib.reading.vocabulary import NAMES, unit_symbol

TABLE: dict[str, Any] = tomllib.loads(Path(__file__).with_name("nurse_answers.toml").read_text(encoding="utf-8"))
ALONE = [row for group, rows in TABLE.items() if group != "problem" for row in rows]
KNOWN = [
    (Context(frozenset(one.get("units", ())), frozenset(one.get("names", ())), one.get("percent", False)), *row)
    for one in TABLE["problem"].values()
    for row in one["rows"]
]
# Words of drug names that are words of other things too.
OTHER_WORDS = {"water", "with", "milk", "drops", "concentrate", "oral", "extended", "release", "units"}


def holds(typed: str, expected: str, context: Context) -> None:
    """What is read is shown as decided; what is not gives the decided reason and a place in the text."""
    found = read_answer(typed, "quantity", context=context)
    if isinstance(found, Reading):
        assert found.shown == expected
    else:
        assert isinstance(found, Unread)
        assert expected in found.reason
        assert 0 <= found.position <= len(typed)


def test_the_table_is_as_long_as_it_should_be() -> None:
    """At least 150 texts, among them those that must be asked about."""
    assert len({typed for typed, _ in ALONE}) >= 150
    assert sum(isinstance(read_answer(typed, "quantity"), Unread) for typed, _ in ALONE) >= 40


@pytest.mark.parametrize(("typed", "expected"), ALONE)
def test_an_answer_is_read_as_an_instructor_takes_it(typed: str, expected: str) -> None:
    """What can mean one thing is read so; what can mean two is asked about, with the reason."""
    holds(typed, expected, NO_CONTEXT)


@pytest.mark.parametrize(("context", "typed", "expected"), KNOWN)
def test_the_problem_tells_what_an_unclear_word_means(context: Context, typed: str, expected: str) -> None:
    """A word with several meanings is read by the one that the problem holds, if it holds only one."""
    holds(typed, expected, context)


def test_a_known_problem_changes_no_reading() -> None:
    """What is read without the problem is read alike with it, but C for cups."""
    for context, *_ in KNOWN:
        for typed, _ in ALONE:
            alone = read_answer(typed, "quantity")
            if isinstance(alone, Reading) and alone.unit != (("degC", 1),):
                assert read_answer(typed, "quantity", context=context) == alone


def test_the_drugs_of_the_bank_may_stand_beside_an_answer() -> None:
    """Every word of a drug's name in the bank's tables is a name to the reader, unless it is a word of other things."""
    words = {
        word.strip("()").lower()
        for model in bank().values()
        for rows in model.rows.values()
        for row in rows
        if isinstance(row.get("drug"), str)
        for word in row["drug"].replace("-", " ").split()
    }
    assert words
    unknown = {w for w in words if len(w) > 3 and w.isalpha() and w not in NAMES and unit_symbol(w) is None}
    assert unknown - OTHER_WORDS == set()


def test_a_name_is_no_unit_and_no_word_that_changes_a_number() -> None:
    """No name is read as something else."""
    for name in NAMES:
        assert unit_symbol(name) is None
