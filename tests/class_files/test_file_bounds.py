"""A blueprint, a marking policy, reviews and class.toml are read, or refused at once and in one sentence."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files.blueprint import blueprint_from_text
from calclib.class_files.catalogue import Catalogue
from calclib.class_files.class_folder import class_folder_from_text
from calclib.class_files.marking_file import own_marking_policy_from_text
from calclib.class_files.reviews import read_reviews
from calclib.class_files.toml_lines import line_of
from calclib.errors import BadInput

PATIENCE = 5
"""Seconds for a file: a hundred times what an honest one takes, on a machine that is busy."""

CATALOGUE = Catalogue(
    skills={"drop-rate": "drop rate"},
    topics={"drop-rate": "gravity_infusions"},
    rounding=frozenset({"tenths-and-wholes"}),
    marking=frozenset({"homework"}),
)
TOP = 'set = "week-3"\ntitle = "Week 3"\nrounding = "tenths-and-wholes"\nmarking = "homework"\n'
ITEM = '[[items]]\nitem = "drop-rate"\n'


def in_top(line: str) -> str:
    """A blueprint with this line above its table."""
    return f"{TOP}{line}\n{ITEM}"


BLUEPRINTS: dict[str, tuple[str, int | None]] = {
    "a thousand million problems": (f"{TOP}{ITEM}count = 1000000000\n", 7),
    "a number of thousands of digits": (f"{TOP}{ITEM}count = {'9' * 10_000}\n", 7),
    "a number of 1,900 digits": (f"{TOP}{ITEM}count = {'9' * 1_900}\n", 7),
    "a number in hexadecimal digits": (f"{TOP}{ITEM}count = 0x{'f' * 1_900}\n", 7),
    "a negative number of 1,900 digits": (f"{TOP}{ITEM}count = -{'9' * 1_900}\n", 7),
    "points of 1,900 decimals": (f"{TOP}{ITEM}points = 1.{'3' * 1_900}\n", 7),
    "points of 41 decimals": (f"{TOP}{ITEM}points = 1.{'3' * 41}\n", 7),
    "points that aren't a number": (f"{TOP}{ITEM}points = nan\n", 7),
    "points without end": (f"{TOP}{ITEM}points = inf\n", 7),
    "points with a power of ten": (f"{TOP}{ITEM}points = 1e999999999\n", 7),
    "points beyond every power of ten": (f"{TOP}{ITEM}points = 1e{'9' * 40}\n", 7),
    "a cut beyond every power of ten": (in_top(f"cut_score = -1e{'9' * 40}"), 5),
    "a hundred thousand tables": (TOP + ITEM * 100_000, None),
    "two thousand tables": (TOP + ITEM * 2_000, 5),
    "201 tables": (TOP + ITEM * 201, 5),
    "ten million characters": (in_top("# " + "x" * 998 + "\n") * 10_000, None),
    "a long line": (in_top("# " + "x" * 5_000), 5),
    "deep lists": (in_top("attempts = " + "[" * 1_900), None),
    "deep lists on many lines": (in_top("attempts = " + "[\n" * 30_000), None),
    "deep lists that end": (in_top("attempts = " + "[" * 9 + "]" * 9), 5),
    "deep tables": (in_top("attempts = " + "{ a = " * 300 + "1" + " }" * 300), None),
    "a long key": (in_top("a" * 1_000 + " = 1"), None),
    "many keys of one key": (in_top("a" + ".a" * 900 + " = 1"), None),
    "a long list": (in_top(f"attempts = [{'1,' * 500}]"), 5),
    "a long title": (TOP.replace("Week 3", "x" * 1_500) + ITEM, 2),
    "year 0": (in_top("due = 0000-01-01T00:00:00Z"), 5),
    "year 1, ahead of UTC": (in_top("due = 0001-01-01T00:00:00+05:00"), 5),
    "year 9999, behind UTC": (in_top("due = 9999-12-31T23:59:00-05:00"), 5),
    "year 10000": (in_top("due = 10000-01-01T00:00:00Z"), 5),
    "a year of another century": (in_top("due = 1026-12-01T23:59:00-05:00"), 5),
    "a month that isn't": (in_top("due = 2026-13-01T23:59:00-05:00"), 5),
    "an offset that isn't": (in_top("due = 2026-12-01T23:59:00-99:00"), 5),
    "an appeal in year 9999": (f'{TOP}[appeal]\nto = "A"\nby = 9999-12-31T23:59:00-05:00\n{ITEM}', 7),
    "a key of an appeal that doesn't print": (f'{TOP}[appeal]\n"a\\u0007" = "A"\n{ITEM}', None),
    "a line of blanks within a text": (in_top('title2 = """\n[' + " " * 1_900 + '\n"""'), None),
}


def refused(read: Callable[[], object], where: str, line: int | None) -> None:
    """Hold that a file is refused soon, in one printable line that isn't long, on its line if one is given."""
    start = time.monotonic()
    with pytest.raises(BadInput) as caught:
        read()
    assert time.monotonic() - start < PATIENCE
    assert caught.value.where == where
    assert str(caught.value).isprintable() and len(str(caught.value)) < 400
    assert line is None or caught.value.line == line, str(caught.value)


@pytest.mark.parametrize("name", BLUEPRINTS)
def test_a_blueprint_beyond_bounds_is_refused_at_once(name: str) -> None:
    """Size, depth, digits, dates and number of lines are bounded; the sentence names the line."""
    text, line = BLUEPRINTS[name]
    refused(lambda: blueprint_from_text(text, CATALOGUE), "blueprint.toml", line)


@pytest.mark.parametrize("year", [2000, 2026, 2199])
def test_dates_within_bounds_are_taken(year: int) -> None:
    """The first and the last year stand within the bounds."""
    due = blueprint_from_text(in_top(f"due = {year}-06-01T23:59:00-05:00"), CATALOGUE).due
    assert due is not None and due.isoformat() == f"{year}-06-02T04:59:00+00:00"


def test_as_many_lines_as_problems_are_taken() -> None:
    """200 tables, points of 40 digits and a comment of 1,900 characters are within bounds."""
    text = f"# {'x' * 1_900}\n" + TOP + ITEM * 199 + ITEM + f"points = 1.{'3' * 39}\n"
    assert blueprint_from_text(text, CATALOGUE).problems == 200


COMMON: dict[str, str] = {
    "a number of thousands of digits": "x = " + "9" * 10_000,
    "a number in hexadecimal digits": "x = 0x" + "f" * 1_900,
    "beyond every power of ten": "x = 1e" + "9" * 40,
    "deep lists": "x = " + "[" * 1_900,
    "deep lists on many lines": "x = " + "[\n" * 30_000,
    "many lines": "# x\n" * 100_000,
    "year 0": "x = 0000-01-01",
    "year 10000": "x = 10000-01-01",
    "a key that doesn't print": '"a\\u001b[2J" = 1',
    "a table for each review": "[[model]]\n" * 2_000,
    "a number where tables stand": "model = 5\nworth = 5\ncourse = 5",
    "a text where tables stand": 'model = "x"\nworth = "x"\ncourse = 5',
    "texts where tables stand": 'model = ["x"]\nworth = ["x"]\ncourse = ["x"]',
    "a list without end": "model = [" + "1,\n" * 20_000 + "]",
    "a name that doesn't print": '[[drug]]\nname = "hep\\u0007arin"\nby = "A"\non = "2026-03-01"',
    "a reviewer of two lines": '[[drug]]\nname = "heparin"\nby = "A\\nB"\non = "2026-03-01"',
    "a truth for a version": '[[model]]\nid = "a"\nversion = true\nby = "A"\non = "2026-03-01"',
    "a date that isn't": '[[drug]]\nname = "heparin"\nby = "A"\non = "10000-03-01"',
}


@pytest.mark.parametrize("name", COMMON)
def test_the_other_files_have_the_same_bounds(name: str, tmp_path: Path) -> None:
    """Marking policy, reviews and class.toml are refused likewise, each with its name."""
    text = COMMON[name]
    (tmp_path / "reviews.toml").write_text(text, encoding="utf-8")

    refused(lambda: own_marking_policy_from_text(text, where="marking.toml"), "marking.toml", None)
    refused(lambda: read_reviews(tmp_path), "reviews.toml", None)
    refused(lambda: class_folder_from_text(tmp_path, text), "class.toml", None)


@pytest.mark.parametrize("line", ["[" + " " * 1_990, "[" + "a " * 990, "[ a" + " " * 1_990 + "x", " " * 1_990 + "["])
def test_a_line_is_looked_for_in_linear_time(line: str) -> None:
    """No line within bounds makes the search for the head of a table slow."""
    start = time.monotonic()
    assert line_of(f"{line}\n" * 30 + "[[items]]\ncount = 2\n", "count", table="items") == 32
    assert time.monotonic() - start < PATIENCE
