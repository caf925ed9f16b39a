import multiprocessing
import random
import shutil
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import MetaData, select

from calclib.class_files import class_folder
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.records import reading
from calclib.releasing import hand_out, start_class
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

pytestmark = pytest.mark.skipif("fork" not in multiprocessing.get_all_start_methods(), reason="needs fork")

KILLS = 15
# Ids that nbgrader gives to its rows are random.
IDS = {"id", "assignment_id", "notebook_id", "cell_id"}


def killed(work: Callable[[], object], longest: float, chance: random.Random) -> bool:
    """Start some work in a process of its own and kill it at some time; tell whether it was still at work."""
    # The child shares what is imported already, so that the time until the kill is spent in the work itself.
    child = multiprocessing.get_context("fork").Process(target=work)
    child.start()
    time.sleep(chance.uniform(0, longest))
    at_work = child.is_alive()
    child.kill()
    child.join()
    return at_work


def undisturbed(work: Callable[[], object]) -> float:
    """How long the work takes in such a process, with some to spare."""
    start = time.perf_counter()
    child = multiprocessing.get_context("fork").Process(target=work)
    child.start()
    child.join()
    assert child.exitcode == 0
    return 1.1 * (time.perf_counter() - start)


def rows(folder: Path) -> dict[str, list[str]]:
    """All rows of the database, but for random ids."""
    with reading(class_folder(folder)) as connection:
        tables = MetaData()
        tables.reflect(connection)
        return {
            name: sorted(str({k: v for k, v in row.items() if k not in IDS}) for row in found)
            for name, table in tables.tables.items()
            for found in [connection.execute(select(table)).mappings()]
        }


def files(folder: Path) -> dict[str, bytes]:
    """All files but the database and what a killed process left half-written."""
    found = (path for path in folder.rglob("*") if path.is_file() and not path.name.startswith(".new-"))
    return {str(path.relative_to(folder)): path.read_bytes() for path in found if "gradebook" not in path.name}


def survives(work: Callable[[Path], object], start: Path, tmp_path: Path, seed: int) -> None:
    """Kill the work many times at random, then let it end: all is as if it had run once."""
    calm, shaken = (Path(shutil.copytree(start, tmp_path / name)) for name in ("calm", "shaken"))
    longest = undisturbed(lambda: work(calm))
    chance = random.Random(seed)
    hit = sum(killed(lambda: work(shaken), longest, chance) for _ in range(KILLS))
    assert hit > 0
    work(shaken)
    assert files(shaken).keys() == files(calm).keys()
    same = {name: data for name, data in files(calm).items() if name != "nbgrader_config.py"}
    assert {name: files(shaken)[name] for name in same} == same
    assert rows(shaken) == rows(calm)


@pytest.fixture
def filled(folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, Any]]) -> Path:
    """A class in which all have handed in."""
    for student, answers in keys.items():
        hand_in(student, answers | ({"answer_1": "about a lot"} if student == "ben" else {}))
    return folder


@pytest.mark.parametrize("seed", [1, 2])
def test_marking_may_be_killed_at_any_moment(filled: Path, tmp_path: Path, seed: int) -> None:
    """Nothing is lost, nothing is there twice, neither in the gradebook nor in the history."""
    survives(lambda folder: mark(folder, "week-3", now=NOW), filled, tmp_path, seed)


def test_marking_again_after_a_change_may_be_killed(filled: Path, hand_in: Callable[..., Path], tmp_path: Path) -> None:
    """Old marks stand whole until the new ones do."""
    mark(filled, "week-3", now=NOW)
    hand_in("ann", {})
    survives(lambda folder: mark(folder, "week-3", now=NOW), filled, tmp_path, 3)


def test_a_ruling_may_be_killed(filled: Path, tmp_path: Path) -> None:
    """Ruling and marks are there together or not at all; a repeated command after one that ended is a second ruling."""
    mark(filled, "week-3", now=NOW)
    chance = random.Random(4)
    calm, shaken = (Path(shutil.copytree(filled, tmp_path / name)) for name in ("calm", "shaken"))
    wish = RulingRequest("credit", {}, "Unclear.", problem=1)
    longest = undisturbed(lambda: make_ruling(calm, "week-3", wish, now=NOW))
    for _ in range(KILLS):
        killed(lambda: make_ruling(shaken, "week-3", wish, now=NOW), longest, chance)
        found = rows(shaken)
        ruled = len(found["calclib_ruling"])
        assert len([row for row in found["calclib_history"] if "'ruled'" in row]) == ruled
        waiting = [row for row in found["grade"] if "'needs_manual_grade': True" in row]
        assert len(waiting) == (0 if ruled else 1)


@pytest.mark.parametrize("seed", [5, 6])
def test_handing_out_may_be_killed_at_any_moment(tmp_path: Path, seed: int) -> None:
    """Every student has one notebook, which is the one that was recorded."""
    (tmp_path / "roster.csv").write_text(ROSTER)
    order = tmp_path / "week-3.toml"
    order.write_text(BLUEPRINT)
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    survives(lambda folder: hand_out(folder, order, now=NOW), tmp_path / "class", tmp_path, seed)
