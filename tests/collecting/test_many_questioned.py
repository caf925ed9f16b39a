"""Whoever floods another's name with hand-ins fills no disk, and hides none: what is not kept is named."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.cli.notices import MOST_PRINTED
from calclib.collecting import collect
from calclib.judging_papers import RulingRequest, make_ruling
from calclib.pages import waiting
from calclib.records.questioned import MOST_OF_ONE_STUDENT
from tests.cli.test_faculty_commands import run
from tests.collecting.test_exchange import DAY, LATER, SET, exchange, submit
from tests.small_class.started import NOW

__all__ = ["exchange"]

LISTED = "calclib review lists it."
NOT_LISTED = "isn't listed for review: 20 hand-ins in the name of Ann Ash (ann) wait already"


def forged(exchange: Path, folder: Path, count: int) -> None:
    """So many different notebooks that Ben hands in under Ann's name, a minute after another."""
    data = json.loads(class_folder(folder).rendered(SET, "ann").read_bytes())
    path = exchange / "data.ipynb"
    for number in range(count):
        data["metadata"]["number"] = number
        path.write_text(json.dumps(data), encoding="utf-8")
        submit(exchange, path, "aash", NOW + DAY * (number + 1) / 1440, owner="ben")
    path.unlink()


def kept(folder: Path) -> int:
    """How many hand-ins in Ann's name are kept."""
    return len(list(class_folder(folder).questioned(SET, "ann").glob("*.json")))


def test_what_is_beyond_is_named_and_is_taken_once_others_are_settled(folder: Path, exchange: Path) -> None:
    """Each with its account, folder and time; nobody reads that review lists what it doesn't."""
    forged(exchange, folder, MOST_OF_ONE_STUDENT + 3)
    notes = collect(folder, SET, exchange, now=LATER).notes
    assert sum(LISTED in note for note in notes) == MOST_OF_ONE_STUDENT == kept(folder) == 20
    beyond = [note for note in notes if NOT_LISTED in note]
    assert len(beyond) == 3
    assert all("'ben'" in note and "aash+week-3+" in note and "UTC" in note for note in beyond)
    said = waiting(folder, SET).text
    assert "20 hand-ins in the name of Ann Ash (ann) wait, the most that are kept: settle them" in said
    sign = next(class_folder(folder).questioned(SET, "ann").glob("*.json")).stem
    wish = RulingRequest("hand_in", {"sign": sign, "outcome": "left"}, "Ben's.", student="ann")
    make_ruling(folder, SET, wish, now=LATER)
    notes = collect(folder, SET, exchange, now=LATER).notes
    assert kept(folder) == MOST_OF_ONE_STUDENT + 1
    assert sum(NOT_LISTED in note for note in notes) == 2


def test_very_many_are_one_line_and_a_file(folder: Path, exchange: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As all notices: the file names each."""
    forged(exchange, folder, MOST_PRINTED + 10)
    monkeypatch.setattr("calclib.cli.commands.marking._now", lambda: LATER)
    said = run("collect", str(folder), SET, str(exchange)).output
    assert f"{MOST_PRINTED + 10} notices, too many to print, are in" in said
    written = (class_folder(folder).notices / f"{SET}-collect.txt").read_text(encoding="utf-8")
    assert written.count(NOT_LISTED) == MOST_PRINTED + 10 - MOST_OF_ONE_STUDENT
    assert kept(folder) == MOST_OF_ONE_STUDENT


def test_notebooks_within_anothers_hand_in_are_named_too(folder: Path, tmp_path: Path) -> None:
    """Twenty-five of Ann's in what Ben handed in: five are named as not kept, with their paths."""
    data = json.loads(class_folder(folder).rendered(SET, "ann").read_bytes())
    for number in range(MOST_OF_ONE_STUDENT + 5):
        data["metadata"]["number"] = number
        path = tmp_path / "in" / "ben" / f"ann_{SET} ({number}).ipynb"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(data), encoding="utf-8")
        os.utime(path, (NOW.timestamp() + 60 + number,) * 2)
    notes = collect(folder, SET, tmp_path / "in", now=LATER).notes
    beyond = [note for note in notes if "isn't listed for review: 20 hand-ins in the name of ann wait" in note]
    assert len(beyond) == 5
    assert all("ben/ann_week-3 (" in note and "Ben Birch (ben)" in note for note in beyond)


def test_a_notebook_that_is_not_the_students_own_is_kept_beside_and_named(
    folder: Path, hand_in: Callable[..., Path], tmp_path: Path
) -> None:
    """Where twenty wait already: the student's own stands, and the sentence says where the other lies."""
    (hand_in("ann", {}))
    for number in range(MOST_OF_ONE_STUDENT + 2):
        path = tmp_path / "in" / "ann" / f"{SET}.ipynb"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps({"nbformat": 4, "cells": [], "metadata": {"number": number}}), encoding="utf-8")
        os.utime(path, (NOW.timestamp() + 60 + number,) * 2)
        notes = collect(folder, SET, tmp_path / "in", now=LATER + DAY * number).notes
        listed = number < MOST_OF_ONE_STUDENT
        assert any(NOT_LISTED in note and "kept as earlier/ann/" in note for note in notes) != listed
        assert any("the student's own stands" in note for note in notes) == listed
