"""Plans after a failed exam: who gets one, what stands in it, and that nobody's work is lost."""

from __future__ import annotations

import ast
import datetime as dt
import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calclib.class_files import class_folder
from calclib.judging_papers import mark
from calclib.pages.after_exam.plans import write_plans
from calclib.plugins import check_practice
from calclib.records import history_of, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing.distinct_draws import numbers_of
from calclib.releasing.erasing.erase import erase
from calclib.releasing.seal import example
from calclib.releasing.zips import zip_plans
from tests.small_class.started import NOW

LATER = NOW + dt.timedelta(days=1)
RETEST = dt.date(2026, 12, 4)


def cells(path: Path) -> list[dict[str, Any]]:
    """The cells of a notebook."""
    found: list[dict[str, Any]] = json.loads(path.read_bytes())["cells"]
    return found


def source(cell: dict[str, Any]) -> str:
    """The text of a cell."""
    return "".join(cell["source"])


def checks(path: Path) -> list[tuple[list[str], dict[str, Any]]]:
    """What each check cell of a notebook asks to be judged: item model, seed and part, and the rest by name."""
    found = []
    for cell in cells(path):
        if "import check_practice" in source(cell):
            call = ast.parse(source(cell)).body[-1].value  # type: ignore[attr-defined]
            words = {word.arg: word.value.value for word in call.keywords}
            found.append(([one.value for one in call.args], words))
    return found


def test_who_failed_gets_a_plan_of_its_own_mistakes(
    folder: Path,
    hand_in: Callable[..., Path],
    keys: dict[str, dict[str, str]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Ann passed and Cat waits for a person: neither has one. Ben's names the answer, the step, the lesson, the days.

    The practice is new to Ben, its cells judge it, a second run changes nothing, and what Ben typed is kept; erasing
    Ben removes it.
    """
    hand_in("ann", keys["ann"])
    wrong = {"answer_3": "1 mL", "answer_4": "999 mL/h", "answer_8": ""}
    hand_in("ben", keys["ben"] | wrong)
    unread = dict.fromkeys([f"answer_{n}" for n in range(3, 6)], "?? unreadable ??")
    hand_in("cat", keys["cat"] | unread)
    mark(folder, "week-3", now=NOW)
    where = class_folder(folder)

    written = write_plans(folder, "week-3", now=LATER, until=RETEST, weekends=False)

    assert [plan.one.student.id for plan in written.plans] == ["ben"]
    assert [one.student.id for one in written.standing.waiting] == ["cat"]
    assert sorted(path.name for path in (folder / "plans").iterdir()) == ["ben"]
    (plan,) = written.plans
    first = plan.needs[0]
    assert (first.skill, first.lost, first.of) == (
        "rate, volume and time of a secondary infusion, added volume counted", 4, 6,
    )  # fmt: skip
    assert first.wrong.mark.typed in {"1 mL", "999 mL/h"}
    page = re.sub(r"<[^>]+>", " ", where.plan("week-3", "ben", 1).read_text("utf-8"))
    for words in (
        "Points lost: 4 of 6",
        "section “Worked example: what to enter” with its worked example",
        "Thu, November 26",
        "Until the retest on Fri, December 4",
        "counts toward your score",
    ):
        assert words in page
    assert "Ann" not in page
    assert "Cat" not in page
    listed = written.listed.read_text("utf-8")
    assert "Cat Cedar (cat)" in listed.partition("Too early to say")[2]

    notebook = where.plan_notebook("week-3", "ben", 1)
    with reading(where) as connection:
        paper = sealed_paper(connection, "week-3", pseudonyms(connection)["ben"])
    assert paper is not None
    had = {item.numbers for item in paper.items}
    drawn = {tuple(args[:2]) for args, _ in checks(notebook)}
    items = [example(model, "tenths-and-wholes", seed) for model, seed in drawn]
    assert len(items) == 4 * len(plan.needs)
    assert len({numbers_of(item) for item in items} | had) == len(items) + len(had)
    (model, seed, part), words = checks(notebook)[0]
    key = example(model, "tenths-and-wholes", seed).part(part).answer
    check_practice(model, seed, part, **words, history=[f'{words["answer"]} = "{key}"'])
    assert "✓ Right." in capsys.readouterr().out
    check_practice(model, seed, part, **words, history=[f'{words["answer"]} = "1 mL"'])
    assert "Hint 1 of 3:" in capsys.readouterr().out

    (packed,) = zip_plans(folder, "week-3", folder / "zips").written
    with zipfile.ZipFile(packed) as archive:
        assert archive.namelist() == ["week-3/plan-1.html", "week-3/practice-1.ipynb"]

    before = notebook.read_bytes(), where.plan("week-3", "ben", 1).read_bytes()
    assert write_plans(folder, "week-3", now=LATER, until=RETEST, weekends=False).kept == ()
    assert (notebook.read_bytes(), where.plan("week-3", "ben", 1).read_bytes()) == before
    with reading(where) as connection:
        assert sum("plan after a failed attempt" in line for line in history_of(connection, "week-3")) == 1
    typed = before[0].replace(b'answer_1 = \\"\\"', b'answer_1 = \\"12 mL\\"')
    notebook.write_bytes(typed)
    again = write_plans(folder, "week-3", now=LATER)
    assert [one.id for one in again.kept] == ["ben"]
    assert notebook.read_bytes() == typed
    assert "Session 1" in where.plan("week-3", "ben", 1).read_text("utf-8")

    assert "plans" in erase(folder, "ben", now=LATER).folders
    assert not (folder / "plans" / "ben").exists()
    assert not written.listed.exists()
