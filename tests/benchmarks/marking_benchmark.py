"""What handing out, marking and feedback cost, beside stock nbgrader and beside reading and writing JSON.

``python tests/benchmarks/marking_benchmark.py [--quick]``

Times are elapsed times; where stock starts kernels and waits for them, the processor time of all of it stands beside.
Only ratios within one run mean anything, and a machine that does other work blurs them. Nothing here is asserted.
"""

from __future__ import annotations

import argparse
import contextlib
import datetime as dt
import io
import json
import logging
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from sqlalchemy import insert, select

from calclib.demo.class_list import SET, demo_blueprint, demo_roster
from calclib.demo.run import run_demo
from calclib.nbgrading import hand_out, start_class
from calclib.nbgrading.gradebook import gradebook_transaction
from calclib.nbgrading.mark import mark, marked_within
from calclib.nbgrading.seal import sealed_or_found
from calclib.pages.feedback import feedback_page
from calclib.records import class_folder, policies_in_words, read_roster, reading, sealed_paper, set_results
from calclib.records.blueprint import read_blueprint
from calclib.records.catalogue import whole_catalogue
from calclib.records.sealed import numbers_hash, pseudonyms
from calclib.records.secrets_file import read_secret
from calclib.records.tables import ITEM, PAPER, PERSON

NOW = dt.datetime(2026, 11, 25, 8, 0, tzinfo=dt.UTC)
DRAWN = 24
STOCK = 6
CORE = 240
TURNS = 3


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    ours: str
    beside: str
    ratio: str
    goal: str


@dataclass(frozen=True)
class Spent:
    """Seconds that some work took: elapsed, and processor time, that of processes that it started and ended too."""

    elapsed: float
    processor: float

    def __truediv__(self, count: float) -> Spent:
        return Spent(self.elapsed / count, self.processor / count)

    def __sub__(self, other: Spent) -> Spent:
        return Spent(self.elapsed - other.elapsed, self.processor - other.processor)


def spent(work: Callable[[], object]) -> Spent:
    """Do some work and return what it took."""
    before = os.times()
    work()
    after = os.times()
    return Spent(after[4] - before[4], sum(after[:4]) - sum(before[:4]))


def best(work: Callable[[], object], turns: int = TURNS) -> Spent:
    """What the quickest of some turns took."""
    return min((spent(work) for _ in range(turns)), key=lambda one: one.processor)


def unmarked(folder: Path) -> None:
    """Take all marks out of a class, so that it is marked for the first time again."""
    tables = "grade comment submitted_notebook submitted_assignment calclib_mark calclib_answer calclib_set_aside"
    with gradebook_transaction(class_folder(folder)) as connection:
        for table in (*tables.split(), "calclib_history"):
            connection.exec_driver_sql(f"delete from {table}")  # noqa: S608 - names from the line above
    shutil.rmtree(folder / "autograded", ignore_errors=True)


def core(folder: Path) -> None:
    """Read, judge and write the gradebook: what `calclib mark` does, but for the formgrader's notebooks."""
    where = class_folder(folder)
    with gradebook_transaction(where) as connection:
        marked_within(connection, where, SET, now=NOW, undo=lambda _changes: False, files=False)


def larger(folder: Path, source: Path, students: int) -> None:
    """Make a class of many students out of a small one: records and notebooks are copied under new names."""
    folder.mkdir(parents=True)
    roster = folder / "roster.csv"
    lines = ["id,name", *(f"s{n:05},Student {n}" for n in range(students))]
    roster.write_text("\n".join(lines) + "\n")
    start_class(folder / "class", roster)
    seal_set(folder / "class")
    with reading(class_folder(source)) as connection:
        papers = [dict(row) for row in connection.execute(select(PAPER)).mappings()]
        items = [dict(row) for row in connection.execute(select(ITEM)).mappings()]
        people = {row.pseudonym: row.student_id for row in connection.execute(select(PERSON))}
    where = class_folder(folder / "class")
    with gradebook_transaction(where) as connection:
        names = pseudonyms(connection)
        for n in range(students):
            paper = papers[n % len(papers)]
            old, new = paper["pseudonym"], names[f"s{n:05}"]
            path = class_folder(source).submitted(SET, people[old])
            connection.execute(insert(PAPER).values(**paper | {"pseudonym": new, "numbers": numbers_hash([str(n)])}))
            connection.execute(insert(ITEM), [item | {"pseudonym": new} for item in items if item["pseudonym"] == old])
            if path.is_file():
                target = where.submitted(SET, f"s{n:05}")
                target.parent.mkdir(parents=True)
                target.write_text(path.read_text().replace(old, new))


def seal_set(folder: Path) -> None:
    """Seal the set in a new class without drawing for anybody."""
    blueprint = folder.parent / "blueprint.toml"
    blueprint.write_text(demo_blueprint())

    where = class_folder(folder)
    catalogue = whole_catalogue()
    order = read_blueprint(blueprint, catalogue)
    with gradebook_transaction(where) as connection:
        sealed_or_found(connection, where, order, catalogue, read_secret(where.secret), NOW)


def stock(folder: Path, students: int) -> tuple[Spent, Spent, float]:
    """What a submission takes of stock autograde with execution and of stock feedback, and the bytes of its page."""
    from nbgrader.converters import Autograde, GenerateFeedback
    from traitlets.config import Config

    logging.disable(logging.ERROR)
    shutil.rmtree(folder / "feedback", ignore_errors=True)
    shutil.rmtree(folder / "autograded", ignore_errors=True)
    where = class_folder(folder)
    ids = [path.name for path in sorted((folder / "submissions").iterdir())][:students]
    config = Config()
    config.CourseDirectory.root = str(folder)
    config.CourseDirectory.assignment_id = SET
    config.CourseDirectory.course_id = where.course
    config.CourseDirectory.db_url = where.gradebook_url
    config.CourseDirectory.source_directory = "solutions"
    config.CourseDirectory.release_directory = "exercises"
    config.CourseDirectory.submitted_directory = "submissions"
    config.CourseDirectory.student_id_exclude = ",".join(
        path.name for path in (folder / "submissions").iterdir() if path.name not in ids
    )

    def run(kind: Any) -> None:
        from nbgrader.coursedir import CourseDirectory

        with quiet():
            app = kind(coursedir=CourseDirectory(config=config), config=config)
            app.start()

    graded = spent(lambda: run(Autograde)) / len(ids)
    told = spent(lambda: run(GenerateFeedback)) / len(ids)
    sizes = [path.stat().st_size for one in ids for path in (folder / "feedback" / one / SET).glob("*.html")]
    logging.disable(logging.NOTSET)
    return graded, told, sum(sizes) / max(len(sizes), 1)


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Let neither this process nor the kernels that it starts write to the terminal."""
    sys.stderr.flush()
    kept = os.dup(2)
    with Path(os.devnull).open("w") as nowhere:
        os.dup2(nowhere.fileno(), 2)
        try:
            yield
        finally:
            os.dup2(kept, 2)
            os.close(kept)


def json_again(folder: Path) -> None:
    """Read and write every submitted notebook with `json`, laid out as Jupyter does."""
    for path in sorted((folder / "submissions").glob(f"*/{SET}/{SET}.ipynb")):
        notebook = json.loads(path.read_text(encoding="utf-8"))
        path.write_text(json.dumps(notebook, indent=1, ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8")


def json_plain(folder: Path) -> None:
    """Read and write every submitted notebook with `json`, on one line."""
    target = folder / "plain.json"
    for path in sorted((folder / "submissions").glob(f"*/{SET}/{SET}.ipynb")):
        target.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8"))), encoding="utf-8")


def feedback(folder: Path) -> tuple[Spent, float]:
    """Time and bytes a page of feedback."""
    where = class_folder(folder)
    results = set_results(where, SET)
    with reading(where) as connection:
        words = policies_in_words(connection, results.sealed)
        sizes: list[int] = []

        def run() -> None:
            sizes.clear()
            for one in results.marked:
                paper = sealed_paper(connection, SET, one.pseudonym, one.attempt, faults=False)
                sizes.append(len(feedback_page(results, one, paper, words)))

        time = best(run)
    return time / len(sizes), sum(sizes) / len(sizes)


def handed_out(place: Path) -> Spent:
    """Time a student of handing out ten items, once the item models are compiled."""
    found = []
    for students in (1, DRAWN):
        folder = place / f"out-{students}"
        folder.mkdir()
        (folder / "roster.csv").write_text(demo_roster(students))
        (folder / "blueprint.toml").write_text(demo_blueprint())
        start_class(folder / "class", folder / "roster.csv")
        found.append(spent(lambda at=folder: hand_out(at / "class", at / "blueprint.toml", now=NOW)))  # type: ignore[misc]
    return found[1] / DRAWN


def scaled(source: Path, place: Path, students: int) -> tuple[float, float, float]:
    """Seconds in all of first marking and of marking again, and the peak of memory in MB, in a process of its own."""
    folder = place / f"class-{students}"
    larger(folder, source, students)
    run = subprocess.run(
        [sys.executable, __file__, "--one", str(folder / "class")], capture_output=True, text=True, check=True
    )
    first, again, memory = json.loads(run.stdout.splitlines()[-1])
    return first, again, memory


def one(folder: Path) -> None:
    """Mark one class twice and print times and memory, for `scaled`."""
    from calclib.nbgrading.gradebook import nbgrader_api

    nbgrader_api()
    first = spent(lambda: mark(folder, SET, now=NOW)).processor
    again = spent(lambda: mark(folder, SET, now=NOW)).processor
    print(json.dumps([first, again, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))


def rows(place: Path, quick: bool) -> list[Row]:
    """Measure everything."""
    out = handed_out(place)
    folder = place / "demo"
    with contextlib.redirect_stderr(io.StringIO()):
        run_demo(folder, DRAWN, "demo", now=NOW)
    (folder / "nbgrader_config.py").unlink()
    handed = len(
        [1 for s in read_roster(folder / "roster.csv").students if class_folder(folder).submitted(SET, s.id).is_file()]
    )
    page, size = feedback(folder)
    plain, again = best(lambda: json_plain(folder)) / handed, best(lambda: json_again(folder)) / handed
    larger(place / "core", folder, CORE)
    ours = marked_core(place / "core" / "class")
    graded, told, bytes_told = stock(folder, STOCK)
    found = [
        Row("hand out ten items, a student", ms(out), "", "", "60 ms"),
        Row(
            "marking core, a submission",
            ms(ours),
            f"stock autograde {ms(graded)}",
            f"{times(graded, ours)} times",
            "300 times",
        ),
        Row(
            "  the same",
            ms(ours),
            f"json, as Jupyter writes {ms(again)}",
            f"{times(ours, again)} times it",
            "6 at most",
        ),
        Row("  the same", ms(ours), f"json, on one line {ms(plain)}", f"{times(ours, plain)} times it", ""),
        Row("feedback, a page", ms(page), f"stock {ms(told)}", f"{times(told, page)} times", "5 ms, 15 times"),
        Row(
            "  its size",
            f"{size / 1000:.1f} KB",
            f"stock {bytes_told / 1000:.0f} KB",
            f"{bytes_told / size:.0f} times",
            "20 KB",
        ),
    ]
    base: float | None = None
    for students in (30, 300) if quick else (30, 300, 3000):
        first, second, memory = scaled(folder, place, students)
        each = first / students
        base = base or each
        words = f"marking again {second:.2f} s, memory {memory:.0f} MB"
        found.append(
            Row(f"mark {students:,} submissions, in all", f"{first:.2f} s", words, f"{each / base:.2f} each", "linear")
        )
    return found


def marked_core(folder: Path) -> Spent:
    """Time a submission of the marking core, beyond opening the gradebook."""
    core(folder)
    turns = []
    for _ in range(TURNS):
        unmarked(folder)
        turns.append(spent(lambda: core(folder)))
    opening = best(lambda: mark(folder, SET, now=NOW, only=[]))
    return (min(turns, key=lambda one: one.processor) - opening) / len(list((folder / "submissions").iterdir()))


def ms(time: Spent) -> str:
    """A time in milliseconds: elapsed, and processor time where it differs."""
    elapsed, processor = 1000 * time.elapsed, 1000 * time.processor
    return f"{elapsed:,.1f} ms ({processor:,.1f})"


def times(larger: Spent, smaller: Spent) -> str:
    """How many times as long something takes, by elapsed and by processor time."""
    by = (larger.elapsed / smaller.elapsed, larger.processor / smaller.processor)
    form = ",.0f" if by[0] > 20 else ",.1f"
    return f"{by[0]:{form}} ({by[1]:{form}})"


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="leave the largest class out")
    parser.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        one(asked.one)
        return
    with tempfile.TemporaryDirectory() as scratch:
        found = rows(Path(scratch), asked.quick)
    print("Elapsed time, and processor time in brackets; for whole classes processor time.\n")
    print("| what | ours | beside it | ratio | goal |\n|---|---|---|---|---|")
    for row in found:
        print(f"| {row.what} | {row.ours} | {row.beside} | {row.ratio} | {row.goal} |")


if __name__ == "__main__":
    main()
