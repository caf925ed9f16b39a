import datetime as dt
import json
import multiprocessing
import os
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import calclib
from calclib.class_files import class_folder
from calclib.cli import main
from calclib.cli.main import COMMANDS as EVERY_COMMAND
from calclib.collecting import collect
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import write_feedback, write_report
from calclib.pages.after_exam.accreditation import write_accreditation
from calclib.pages.after_exam.plans import write_plans
from calclib.pages.after_exam.standing_page import write_standing
from calclib.pages.after_exam.student_record import write_student_record
from calclib.records.history import EventKind
from calclib.releasing import hand_out
from calclib.releasing.coached import record_talk
from calclib.releasing.erasing.erase import erase
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.releasing.zips import zip_each
from calclib.remediation.signing import sign_standing
from tests.releasing import test_killed_going_out, test_little_room
from tests.small_class.killed import counted, files, full_at, killed_at, rows
from tests.small_class.started import BLUEPRINT, NOW

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="needs fork")

LATER = NOW + dt.timedelta(days=3)
HOUR = dt.timedelta(hours=1)
# So many of the points at which each command may be killed are tried where not all are.
SAMPLE = 5

Work = Callable[[Path], object]


@pytest.fixture
def inbox(tmp_path: Path, folder: Path) -> Path:
    """What came in: Ann's paper twice, a forged one in her name, Ben's and Cat's."""
    inbox = tmp_path / "in"
    for hours, (path, student, text) in enumerate(
        [
            ("ann/week-3.ipynb", "ann", "1 gtt/min"),
            ("ann/week-3 (1).ipynb", "ann", "2 gtt/min"),
            ("ann/week-3 (2).ipynb", "", ""),
            ("ben/week-3.ipynb", "ben", "3 gtt/min"),
            ("cat/week-3.ipynb", "cat", ""),
        ],
        start=1,
    ):
        notebook = {"nbformat": 4, "cells": [], "metadata": {}}
        if student:
            notebook = json.loads(class_folder(folder).rendered("week-3", student).read_text(encoding="utf-8"))
            for cell in notebook["cells"]:
                if "".join(cell["source"]).startswith("answer_1 ="):
                    cell["source"] = [f'answer_1 = "{text}"']
        target = inbox / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(json.dumps(notebook), encoding="utf-8")
        when = (NOW + dt.timedelta(hours=hours)).timestamp()
        os.utime(target, (when, when))
    return inbox


@pytest.fixture
def marked(folder: Path, inbox: Path) -> Path:
    """The class with all of it collected, marked and reported, and with a ruling."""
    collect(folder, "week-3", inbox, now=LATER)
    mark(folder, "week-3", now=LATER)
    make_ruling(folder, "week-3", RulingRequest("credit", {}, "Ann Ash found it unclear.", problem=1), now=LATER)
    write_feedback(folder, "week-3")
    write_report(folder, "week-3")
    return folder


def survives(work: Work, start: Path, tmp_path: Path, *, full: bool) -> None:
    """Kill the work before each of its changes, or some of them, and run it again: all is as if it had run once."""
    calm = Path(shutil.copytree(start, tmp_path / "calm"))
    points = counted(lambda: work(calm))
    expected = files(calm), rows(calm)
    assert points > (0 if full else SAMPLE)
    tried = range(1, points + 1) if full else range(1, points + 1, -(-points // SAMPLE))
    for number in tried:
        shaken = Path(shutil.copytree(start, tmp_path / f"shaken-{number}"))
        assert killed_at(lambda: work(shaken), number)  # noqa: B023 - it runs within this turn
        work(shaken)
        found = files(shaken), rows(shaken)
        for here, there in zip(found, expected, strict=True):
            assert {k: v for k, v in here.items() if k != "nbgrader_config.py"} == {
                k: v for k, v in there.items() if k != "nbgrader_config.py"
            }, number
        shutil.rmtree(shaken)


def collected(folder: Path) -> object:
    """The folder beside the class is collected."""
    return collect(folder, "week-3", folder.parent / "in", now=LATER)


def erased(folder: Path) -> object:
    """Ann is erased; a run after one that got to the end finds nothing of her."""
    return erase(folder, "ann", now=LATER)


def full_tier(request: pytest.FixtureRequest) -> bool:
    """Whether all points are tried."""
    return bool(request.config.getoption("--full"))


def test_collecting_is_finished_by_the_next_run(
    folder: Path, inbox: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    """Wherever it is killed: each notebook lies where it belongs, with its own time."""
    survives(collected, folder, tmp_path, full=full_tier(request))


def test_erasing_is_finished_by_the_next_run(marked: Path, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """Wherever it is killed, nothing of the student is left after the next run."""
    survives(erased, marked, tmp_path, full=full_tier(request))


@pytest.mark.parametrize("at", [0.2, 0.5, 0.8])
def test_a_report_after_a_killed_erasure_brings_nobody_back(marked: Path, tmp_path: Path, at: float) -> None:
    """It finishes the erasure first."""
    calm = Path(shutil.copytree(marked, tmp_path / "calm"))
    points = counted(lambda: erased(calm))
    assert killed_at(lambda: erased(marked), max(int(points * at), 12))
    write_feedback(marked, "week-3")
    write_report(marked, "week-3")
    left = b"".join(path.read_bytes() for path in marked.rglob("*") if path.is_file())
    assert b"Ann Ash" not in left
    assert not list(marked.rglob("ann"))


def test_a_page_written_while_its_student_is_erased_goes_too(marked: Path) -> None:
    """Whoever erases in the middle of writing the pages finds none of them back."""

    def meanwhile(done: int, _of: int, _who: str) -> None:
        if done == 1:
            erase(marked, "cat", now=LATER)

    write_feedback(marked, "week-3", progress=meanwhile)
    assert not list(marked.rglob("cat"))


WORKS: dict[str, Work] = {
    "mark": lambda folder: mark(folder, "week-3", now=LATER),
    "report": lambda folder: (write_feedback(folder, "week-3"), write_report(folder, "week-3")),
    "zip": lambda folder: zip_each(folder, "week-3", folder / "zips", feedback=False),
    "remedy": lambda folder: write_plans(folder, "week-3", now=LATER),
    "standing": lambda folder: write_standing(folder, now=LATER),
    "standing for several terms": lambda folder: write_accreditation((folder,), folder.with_suffix(".xlsx")),
    "student-record": lambda folder: write_student_record(folder, "ann", folder / "ann.zip"),
}


@pytest.mark.full
@pytest.mark.parametrize("name", WORKS)
def test_other_commands_are_finished_by_the_next_run(name: str, marked: Path, tmp_path: Path) -> None:
    """Nothing is there twice, and nothing half."""
    shutil.rmtree(marked / "feedback")
    shutil.rmtree(marked / "autograded")
    survives(WORKS[name], marked, tmp_path, full=True)


VOID = RulingRequest("void", {}, "Not taught.", problem=2)
BY = {"by": "Cy Cole", "note": "Worked through problem 2.", "now": LATER}
# A second run of these is a second ruling, attempt or line; the first is to be there whole or not at all.
ONCE: dict[str, Work] = {
    "rule": lambda folder: make_ruling(folder, "week-3", VOID, now=LATER),
    "again": lambda folder: give_another_attempt(folder, "week-3", now=LATER, students=("ben",)),
    "coached": lambda folder: record_talk(folder, "week-3", "ben", kind=EventKind.COACHED, **BY),
    "appeal": lambda folder: record_talk(folder, "week-3", "ben", kind=EventKind.APPEALED, **BY),
    "standing --sign": lambda folder: sign_standing(folder, by="Cy Cole", now=LATER),
}
QUICK_ONCE = ("coached", "appeal", "standing --sign")


def lasting(folder: Path) -> tuple[list[str], ...]:
    """What is only ever added to."""
    found = rows(folder)
    return found["calclib_ruling"], found["calclib_paper"], found["calclib_history"]


@pytest.mark.parametrize(
    "name", [one if one in QUICK_ONCE else pytest.param(one, marks=pytest.mark.full) for one in ONCE]
)
def test_what_is_added_once_is_there_whole_or_not_at_all(name: str, marked: Path, tmp_path: Path) -> None:
    """A command that was killed has either been done or can be done once more."""
    work = ONCE[name]
    calm = Path(shutil.copytree(marked, tmp_path / "calm"))
    points = counted(lambda: work(calm))
    before, after = lasting(marked), lasting(calm)
    assert before != after
    for number in range(1, points + 1):
        shaken = Path(shutil.copytree(marked, tmp_path / f"shaken-{number}"))
        assert killed_at(lambda: work(shaken), number)  # noqa: B023 - it runs within this turn
        assert lasting(shaken) in (before, after), number
        shutil.rmtree(shaken)


# These write nothing of their own: what a command of the desk changes is changed by the function of another command.
BY_OTHERS = {
    "demo": "start, hand-out, simulate, collect, mark, report, again, remedy",
    "desk": "rule, remedy",
}
# These read, and print what they found; those of a class are among `LOOKS`, which are tried.
READ = {"items", "draw", "judge", "policies", "formulary"}


def test_every_command_that_writes_is_killed_and_given_little_room() -> None:
    """A new command has its place among those that are tried here, or says that it only looks."""
    tried = {*WORKS, *ONCE, *COMMANDS, *test_killed_going_out.WORKS}
    killed = {name.split()[0] for name in tried}
    looks = {name.split()[0] for name in (*READ, *test_killed_going_out.LOOKS)}
    little_room = (*test_little_room.COMMANDS, *test_little_room.ONCE, *test_killed_going_out.COMMANDS)
    writing = set(EVERY_COMMAND) - looks - set(BY_OTHERS)
    assert writing - killed == set()
    assert writing - {name.split()[0] for name in little_room} == set()
    assert set(test_little_room.LOOKS) == set(test_killed_going_out.LOOKS)
    assert not killed & looks
    named = {name for names in BY_OTHERS.values() for name in names.split(", ")}
    assert named <= killed


# What changes the records, and what of the tests above or beside this one kills it at each change.
WRITERS = {
    "collecting/questioned_hand_in": "collecting/test_taking_killed.py",
    "judging_papers/make_ruling": "rule",
    "judging_papers/mark_set": "mark",
    "pages/after_exam/plans": "remedy",
    "releasing/coached": "coached",
    "releasing/erasing/erase": "erase",
    "releasing/exchange_outbound": "release",
    "releasing/further_attempts/another_attempt": "again",
    "releasing/hand_out": "hand-out",
    "releasing/sign_off": "sign-off",
    "releasing/start": "start",
    "releasing/take_back": "take-back",
    "remediation/signing": "standing --sign",
}


def test_each_module_that_changes_records_is_killed() -> None:
    """Also one behind an option of a command that otherwise only reads or writes a page."""
    root = Path(calclib.__file__).parent
    begins = {
        path.relative_to(root).with_suffix("").as_posix()
        for path in root.rglob("*.py")
        if "with gradebook_transaction(" in path.read_text(encoding="utf-8")
    }
    # Under nbgrader's own command a zero of nbgrader's is taken back in one step, after `mark`.
    assert begins == {*WRITERS, "plugins/stock_autograde"}
    tests = Path(__file__).parents[1]
    tried = {*WORKS, *ONCE, *COMMANDS, *test_killed_going_out.WORKS}
    assert [one for one in WRITERS.values() if one not in tried and not (tests / one).is_file()] == []
    assert set(ONCE) == set(test_little_room.ONCE)


def gradebook_copies(folder: Path) -> dict[str, bytes]:
    """What the formgrader shows of each student, and what is noted of it."""
    return {name: data for name, data in files(folder).items() if name.startswith(("autograded", "rewriting"))}


@pytest.mark.parametrize(
    "replaced",
    [
        pytest.param(False, id="a ruling", marks=pytest.mark.full),
        pytest.param(True, id="a ruling on a replaced problem"),
    ],
)
def test_what_the_formgrader_shows_is_what_the_marks_say_after_a_killed_ruling(
    marked: Path, tmp_path: Path, replaced: bool, request: pytest.FixtureRequest
) -> None:
    """Wherever the ruling was killed, the next marking alone puts the notebooks right, whether or not it came to be."""
    number = 2
    if replaced:
        number = 1
        order = BLUEPRINT.replace("cut_score", 'attempts = 3\nkeep = "last"\ncut_score')
        (tmp_path / "again.toml").write_text(order, encoding="utf-8")
        hand_out(marked, tmp_path / "again.toml", now=LATER)
        give_another_attempt(marked, "week-3", now=LATER, students=("ann", "ben"))
        for student in ("ann", "ben"):
            path = tmp_path / "second" / student / "week-3.ipynb"
            path.parent.mkdir(parents=True)
            path.write_bytes(class_folder(marked).rendered("week-3", student).read_bytes())
        collect(marked, "week-3", tmp_path / "second", now=LATER + HOUR)
        mark(marked, "week-3", now=LATER + HOUR)
    wish = RulingRequest("credit", {}, "Unclear.", problem=number)

    def rule(folder: Path) -> object:
        return make_ruling(folder, "week-3", wish, now=LATER + HOUR)

    def next_run(folder: Path) -> object:
        return mark(folder, "week-3", now=LATER + HOUR)

    before, calm = gradebook_copies(marked), Path(shutil.copytree(marked, tmp_path / "calm"))
    points = counted(lambda: rule(calm))
    after, ruled = gradebook_copies(calm), len(rows(calm)["calclib_ruling"])
    assert set(before) == set(after)
    assert before != after
    tried = (
        range(1, points + 1)
        if full_tier(request)
        else sorted({*range(1, points + 1, -(-points // SAMPLE)), points - 1, points})
    )
    wrong = 0
    for place in tried:
        shaken = Path(shutil.copytree(marked, tmp_path / f"shaken-{place}"))
        assert killed_at(lambda: rule(shaken), place)  # noqa: B023 - it runs within this turn
        expected = after if len(rows(shaken)["calclib_ruling"]) == ruled else before
        wrong += gradebook_copies(shaken) != expected
        next_run(shaken)
        assert gradebook_copies(shaken) == expected, place
        shutil.rmtree(shaken)
    assert wrong, "no kill came between the notebooks and the marks"


COMMANDS = {
    "collect": lambda folder: ["collect", str(folder), "week-3", str(folder.parent / "in")],
    "erase": lambda folder: ["erase", str(folder), "ann", "--yes"],
    "report": lambda folder: ["report", str(folder), "week-3"],
}


@pytest.mark.parametrize("name", COMMANDS)
def test_a_full_disk_is_one_sentence(
    name: str, marked: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, request: pytest.FixtureRequest
) -> None:
    """Never a traceback, wherever the room ends."""
    shutil.rmtree(marked / "submissions")
    shutil.rmtree(marked / "feedback")
    monkeypatch.setattr(sys, "argv", ["calclib", *COMMANDS[name](marked)])
    calm = Path(shutil.copytree(marked, tmp_path / "kept"))
    shutil.rmtree(marked)
    numbers = range(1, 60) if full_tier(request) else (1, 4, 9)
    for number in numbers:
        shutil.copytree(calm, marked)
        code, said = full_at(main, number)
        said = "\n".join(line for line in said.splitlines() if line.startswith("calclib:") or "Traceback" in line)
        assert "Traceback" not in said
        assert code == 0 or (code == 1 and said.count("\n") == 0 and said.startswith("calclib: ")), (number, code, said)
        shutil.rmtree(marked)


def test_erasing_one_leaves_another_with_a_longer_id_alone(marked: Path) -> None:
    """ "ben" is no part of "ben.x", in no record and no file."""
    about = marked / "questioned" / "cat" / "week-3"
    about.mkdir(parents=True)
    line = {"kind": "other account", "owner": "ben.x", "account": "cat", "readable": True, "time": LATER.isoformat()}
    (about / "ab12cd34.json").write_text(json.dumps(line), encoding="utf-8")
    (marked / "submissions" / "ben.x").mkdir()
    make_ruling(marked, "week-3", RulingRequest("void", {}, "Asked by ben.x.", problem=2), now=LATER)
    make_ruling(marked, "week-3", RulingRequest("void", {}, "Asked by ben.", problem=3), now=LATER)
    erase(marked, "ben", now=LATER)
    assert (marked / "submissions" / "ben.x").is_dir()
    assert json.loads((about / "ab12cd34.json").read_text(encoding="utf-8")) == line
    reasons = " ".join(rows(marked)["calclib_ruling"])
    assert "Asked by ben.x." in reasons
    assert "Asked by ben." not in reasons.replace("ben.x.", "")
    assert "Ann Ash found it unclear." in reasons
