"""`calclib site`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.cli.commands.site import site
from calclib.errors import BadInput


def test_it_writes_the_pages_and_names_the_one_to_open(tmp_path: Path) -> None:
    """A folder with a blank in its name is fine."""
    cells = [{"cell_type": "markdown", "metadata": {}, "source": ["# Lesson 1: Rates\n", "\n", "How fast?"]}]
    (tmp_path / "01-rates.ipynb").write_text(json.dumps({"cells": cells}), "utf-8")
    done = CliRunner().invoke(site, [str(tmp_path), "--to", str(tmp_path / "the book")])
    assert done.exit_code == 0
    assert f"2 pages written. Open {tmp_path / 'the book' / 'index.html'}" in done.output
    assert "How fast?" in (tmp_path / "the book" / "01-rates.html").read_text("utf-8")


def test_a_folder_without_lessons_is_one_sentence(tmp_path: Path) -> None:
    """Nothing is written."""
    done = CliRunner().invoke(site, [str(tmp_path / "none"), "--to", str(tmp_path / "book")])
    assert isinstance(done.exception, BadInput)
    assert "holds no lesson" in str(done.exception)
    assert not (tmp_path / "book").exists()


@pytest.mark.parametrize("words", [[], ["course"]])
def test_it_asks_for_what_is_missing(words: list[str]) -> None:
    """The course, and where the pages go."""
    assert CliRunner().invoke(site, words).exit_code == 2
