"""Commands that start a class, give out and take back, killed at each change; and a gradebook that can't grow."""

import datetime as dt
import json
import multiprocessing
import os
import pwd
import secrets
import shutil
import sys
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook
from sqlalchemy import Engine, event

from calclib.class_files import class_folder
from calclib.cli import main
from calclib.collecting import collect
from calclib.collecting.can_accept import acceptance
from calclib.demo.example import write_example
from calclib.demo.filling_in import fill_in
from calclib.judging_papers import mark
from calclib.pages import explanation, waiting
from calclib.pages.accommodations import accommodation_lines
from calclib.pages.book import write_book
from calclib.pages.export import export
from calclib.pages.preview import write_preview_page
from calclib.records import history_of, reading
from calclib.releasing import hand_out, start_class
from calclib.releasing.exam_environment import write_exam_environment
from calclib.releasing.exchange_outbound import release
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.releasing.preview import preview
from calclib.releasing.sign_off import sign_off
from calclib.releasing.take_back import take_back
from calclib.releasing.zips import zip_each
from tests.small_class.killed import counted, files, killed_at, rights, rows
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="needs fork")

LATER = NOW + dt.timedelta(days=3)
SAMPLE = 3

Work = Callable[[Path], object]


def place_of(folder: Path, account: str) -> None:
    """A class in which Ann has an account of this machine, and an exchange beside its files."""
    (folder / "roster.csv").write_text(ROSTER.replace("aash", account), encoding="utf-8")
    (folder / "exchange").mkdir()


def course_of(place: Path) -> None:
    """A course of one lesson."""
    (place / "course").mkdir()
    cell = {"cell_type": "markdown", "metadata": {}, "source": ["# Lesson 1: Rates"]}
    (place / "course" / "01-rates.ipynb").write_text(json.dumps({"cells": [cell]}), encoding="utf-8")


def released(folder: Path) -> object:
    """All that have an account get theirs."""
    return release(folder, "week-3", folder / "exchange", now=LATER)


WORKS: dict[str, Work] = {
    "start": lambda folder: start_class(folder / "class", folder / "roster.csv"),
    "hand-out": lambda folder: hand_out(folder / "class", folder / "week-3.toml", now=NOW),
    "sign-off": lambda folder: sign_off(folder / "class", folder / "week-3.toml", by="Cy Cole", now=NOW),
    "take-back": lambda folder: take_back(folder / "class", "week-3", now=LATER),
    "export": lambda folder: export(folder / "class", "week-3", folder / "results.csv"),
    "export to a workbook": lambda folder: export(folder / "class", "week-3", folder / "results.xlsx"),
    "preview": lambda folder: write_preview_page(preview(folder / "class", folder / "week-3.toml")),
    "simulate": lambda folder: fill_in(
        class_folder(folder / "class"), "week-3", folder / "downloads", "seed", prepared=Decimal(1)
    ),
    "example": lambda folder: write_example(folder / "example"),
    "exam-machine": lambda folder: write_exam_environment(folder / "machine"),
    "release": lambda folder: released(folder / "class"),
    "site": lambda folder: write_book(folder / "course", folder / "pages"),
}
STARTED = ("hand-out", "sign-off", "preview")
WITHOUT_CLASS = ("start", "example", "exam-machine", "site")


@pytest.fixture
def fixed_secret(monkeypatch: pytest.MonkeyPatch) -> None:
    """A run that begins again may draw the same secret."""
    monkeypatch.setattr(secrets, "token_hex", lambda number: "5" * 2 * number)


def made(name: str, made_class: Path, place: Path) -> Path:
    """What a command begins with."""
    place.mkdir()
    (place / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (place / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
    if name in STARTED:
        start_class(place / "class", place / "roster.csv")
    elif name not in WITHOUT_CLASS:
        shutil.copytree(made_class, place / "class")
    if name == "site":
        course_of(place)
    if name == "release":
        place_of(place / "class", pwd.getpwuid(os.geteuid()).pw_name)
    return place


def cells_of(path: Path) -> list[list[object]]:
    """What a workbook holds; it also says when it was written."""
    return [[cell.value for cell in row] for sheet in load_workbook(path) for row in sheet.iter_rows()]


def left(place: Path) -> tuple[dict[str, bytes | list[list[object]]], dict[str, int], dict[str, list[str]]]:
    """All files with their rights, and all rows there are."""
    found = {
        path: cells_of(place / path) if path.endswith(".xlsx") else data
        for path, data in files(place).items()
        if not path.endswith("nbgrader_config.py")
    }
    return found, rights(place), rows(place / "class") if (place / "class" / "gradebook.db").is_file() else {}


IN_EACH_RUN = ("start", "hand-out", "take-back", "release")
"""Works that are stopped in each run; the others in the full tier."""


@pytest.mark.parametrize(
    "name", [name if name in IN_EACH_RUN else pytest.param(name, marks=pytest.mark.full) for name in WORKS]
)
def test_what_goes_out_is_finished_by_the_next_run(
    name: str, made_class: Path, tmp_path: Path, fixed_secret: None, request: pytest.FixtureRequest
) -> None:
    """Killed before any change, and run again: all is as if it had run once, and nothing is there twice."""
    if name == "release" and os.geteuid() and not shutil.which("setfacl"):
        pytest.skip("needs setfacl")
    work = WORKS[name]
    start = made(name, made_class, tmp_path / "start")
    calm = Path(shutil.copytree(start, tmp_path / "calm"))
    points = counted(lambda: work(calm))
    assert points > 1
    expected = left(calm)
    full = request.config.getoption("--full")
    # The last changes are those of the gradebook.
    some = sorted({*range(1, points + 1, -(-points // SAMPLE)), points})
    for number in range(1, points + 1) if full else some:
        shaken = Path(shutil.copytree(start, tmp_path / f"shaken-{number}"))
        assert killed_at(lambda: work(shaken), number)  # noqa: B023 - it runs within this turn
        work(shaken)
        assert left(shaken) == expected, number
        shutil.rmtree(shaken)


@pytest.fixture
def marked(made_class: Path, tmp_path: Path) -> Path:
    """A class in which Ben handed in, and that is marked."""
    place = made("again", made_class, tmp_path / "place")
    notebook = class_folder(place / "class").rendered("week-3", "ben")
    target = place / "in" / "ben" / "week-3.ipynb"
    target.parent.mkdir(parents=True)
    target.write_bytes(notebook.read_bytes().replace(b'answer_1 = \\"\\"', b'answer_1 = \\"3 gtt/min\\"'))
    os.utime(target, (NOW.timestamp() + 3600,) * 2)
    order = BLUEPRINT.replace("cut_score = 90", "cut_score = 90\nattempts = 3")
    (place / "week-3.toml").write_text(order, encoding="utf-8")
    hand_out(place / "class", place / "week-3.toml", now=NOW)
    collect(place / "class", "week-3", place / "in", now=LATER)
    mark(place / "class", "week-3", now=LATER)
    return place


def review(folder: Path) -> object:
    """What waits for a person."""
    can = acceptance(folder, "week-3")
    return waiting(folder, "week-3", notebook_fits=can.notebook, hand_in_fits=can.hand_in)


def history(folder: Path) -> object:
    """What was done."""
    with reading(class_folder(folder)) as connection:
        return history_of(connection, "week-3", zone=dt.UTC)


LOOKS: dict[str, Work] = {
    "explain": lambda folder: explanation(folder, "week-3", "ben"),
    "review": review,
    "accommodations": lambda folder: [*accommodation_lines(folder, "week-3")],
    "history": history,
}


@pytest.mark.parametrize("name", LOOKS)
def test_what_only_looks_changes_nothing(name: str, marked: Path) -> None:
    """There is no point at which a kill could hurt: not a file is opened for writing, no transaction is kept."""
    folder = marked / "class"
    before = left(marked)
    assert counted(lambda: LOOKS[name](folder)) == 0
    assert left(marked) == before


def test_a_notebook_that_was_not_recorded_goes_nowhere(marked: Path) -> None:
    """An attempt killed before it is recorded leaves a notebook that is neither zipped nor kept by handing out."""
    folder = marked / "class"
    before = class_folder(folder).rendered("week-3", "ben").read_bytes()

    def again() -> object:
        return give_another_attempt(folder, "week-3", now=LATER, students=("ben",))

    calm = Path(shutil.copytree(marked, marked.with_name("calm")))
    points = counted(lambda: give_another_attempt(calm / "class", "week-3", now=LATER, students=("ben",)))
    assert killed_at(again, points)
    path = class_folder(folder).rendered("week-3", "ben")
    assert path.read_bytes() != before
    with pytest.raises(Exception, match="isn't one that is recorded"):
        zip_each(folder, "week-3", folder / "zips", feedback=False)
    hand_out(folder, "week-3", now=LATER)
    assert json_of(path) == json_of_bytes(before)
    zip_each(folder, "week-3", folder / "zips", feedback=False)
    again()
    assert path.read_bytes() == class_folder(calm / "class").rendered("week-3", "ben").read_bytes()


def json_of(path: Path) -> list[str]:
    """The stems of a notebook."""
    return json_of_bytes(path.read_bytes())


def json_of_bytes(data: bytes) -> list[str]:
    """The stems of a notebook."""
    import json

    cells = json.loads(data)["cells"]
    return ["".join(cell["source"]) for cell in cells if cell["metadata"]["nbgrader"]["grade_id"].endswith("-stem")]


COMMANDS = {
    "mark": ["mark", "CLASS", "week-3", "--yes"],
    "rule": ["rule", "CLASS", "week-3", "--problem", "1", "--credit-all", "--reason", "x" * 900, "--yes"],
    "again": ["again", "CLASS", "week-3", "--student", "ben"],
    "sign-off": ["sign-off", "CLASS", "ORDER", "--by", "C" * 100],
    "hand-out": ["hand-out", "CLASS", "ORDER"],
    "take-back": ["take-back", "CLASS", "other", "--yes"],
    "erase": ["erase", "CLASS", "ben", "--yes"],
    "start": ["start", "CLASS", "--roster", "ROSTER"],
    "report": ["report", "CLASS", "week-3"],
}


def with_full_gradebook(command: Callable[[], object], room: int) -> tuple[int, str]:
    """Run a command while SQLite may add so many pages and no more; return its exit code and its errors."""
    answers = multiprocessing.get_context("fork").SimpleQueue()

    def child() -> None:
        import io
        import traceback

        sys.stderr, sys.stdout = io.StringIO(), io.StringIO()

        def bounded(connection: object, _record: object) -> None:
            cursor = connection.cursor()  # type: ignore[attr-defined]
            pages = cursor.execute("PRAGMA page_count").fetchone()[0]
            cursor.execute(f"PRAGMA max_page_count = {pages + room}")

        event.listen(Engine, "connect", bounded)
        code = 0
        try:
            command()
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        except BaseException:  # noqa: BLE001 - whatever comes out is what a person would see
            traceback.print_exc()
            code = 2
        answers.put((code, sys.stderr.getvalue()))

    process = multiprocessing.get_context("fork").Process(target=child)
    process.start()
    process.join()
    found: tuple[int, str] = answers.get()
    return found


@pytest.mark.parametrize("name", COMMANDS)
def test_a_gradebook_that_cannot_grow_is_one_sentence(
    name: str, marked: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """It is said in one sentence, and either all was done or no row changed."""
    other = BLUEPRINT.replace('set = "week-3"', 'set = "other"')
    (marked / "other.toml").write_text(other, encoding="utf-8")
    if name == "take-back":
        hand_out(marked / "class", marked / "other.toml", now=NOW)
    if name == "mark":
        path = marked / "class" / "submissions" / "ben" / "week-3" / "week-3.ipynb"
        path.write_bytes(path.read_bytes().replace(b"3 gtt/min", b"33 gtt/min" + b" " * 3000))
    if name == "start":
        more = "".join(f"s{number},Student {number},,,\n" for number in range(200))
        (marked / "roster.csv").write_text(ROSTER + more, encoding="utf-8")
    words = {"CLASS": str(marked / "class"), "ORDER": str(marked / "other.toml"), "ROSTER": str(marked / "roster.csv")}
    monkeypatch.setattr(sys, "argv", ["calclib", *(words.get(word, word) for word in COMMANDS[name])])
    kept = Path(shutil.copytree(marked, marked.with_name("kept")))
    full = request.config.getoption("--full")
    for room in range(6) if full else (0, 1):
        before = rows(marked / "class")
        code, said = with_full_gradebook(main, room)
        lines = [line for line in said.splitlines() if line.startswith("calclib:")]
        assert "Traceback" not in said
        assert code == 0 or (code == 1 and len(lines) == 1), (room, code, said)
        if code and name != "erase":
            assert rows(marked / "class") == before
        shutil.rmtree(marked)
        shutil.copytree(kept, marked)
