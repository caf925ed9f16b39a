"""What handing out, marking and feedback cost, beside stock nbgrader and beside reading and writing JSON.

``python tests/benchmarks/marking_benchmark.py [--quick]``

Each turn measures ours, stock and `json` one after the other, so that all meet the machine in the same state; a ratio
is taken within a turn, and for larger classes with stock measured before and after. Modules are loaded before. The
table gives the median of the turns, for elapsed and for processor time (stock starts kernels and waits for them; what
they use counts), and the least favorable turn. Nothing here is asserted.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import logging
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from typing import Any

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calclib.class_files import class_folder
from calclib.demo.class_list import SET, demo_blueprint, demo_roster
from calclib.gradebook import set_results
from calclib.gradebook.opening import gradebook_transaction
from calclib.judging_papers.mark_set import mark, marked_within
from calclib.pages.feedback import feedback_page
from calclib.records import policies_in_words, reading, sealed_paper
from calclib.releasing import hand_out, start_class
from tests.benchmarks.measured_classes import NOW, larger, simulated, unmarked

CLASS = 260
DRAWN = 24
STOCK = 4
TURNS = 5


@dataclass(frozen=True)
class Spent:
    """Seconds that some work took: elapsed, and processor time, that of processes that it started and ended too."""

    elapsed: float
    processor: float

    def __truediv__(self, count: float) -> Spent:
        return Spent(self.elapsed / count, self.processor / count)


@dataclass
class Turns:
    """What each turn took of one thing, for each submission, page or student."""

    turns: list[Spent] = field(default_factory=list)

    def add(self, work: Callable[[], object], count: int) -> None:
        """Do some work on so many and note what it took for each."""
        self.turns.append(spent(work) / count)

    @property
    def usual(self) -> Spent:
        """The median of the turns."""
        return Spent(median(one.elapsed for one in self.turns), median(one.processor for one in self.turns))


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    ours: str
    beside: str
    elapsed: str
    processor: str
    goal: str


def spent(work: Callable[[], object]) -> Spent:
    """Do some work and return what it took."""
    before, start = _processor(), time.perf_counter()
    work()
    return Spent(time.perf_counter() - start, _processor() - before)


def _processor() -> float:
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + children.ru_utime + children.ru_stime


def core(folder: Path) -> None:
    """Read, judge and write the gradebook: what `calclib mark` does, but for the formgrader's notebooks."""
    where = class_folder(folder)
    with gradebook_transaction(where) as connection:
        marked_within(connection, where, SET, now=NOW, undo=lambda _found: False, files=False)


def submitted(folder: Path) -> list[Path]:
    """The notebooks that were handed in."""
    return sorted((folder / "submissions").glob(f"*/{SET}/{SET}.ipynb"))


class Stock:
    """nbgrader's own autograde, with execution, and its feedback, on the first few students of a class."""

    def __init__(self, folder: Path, students: int) -> None:
        from traitlets.config import Config

        self.folder, where = folder, class_folder(folder)
        everybody = sorted(path.name for path in (folder / "submissions").iterdir())
        self.ids = everybody[:students]
        self.config = Config()
        about = self.config.CourseDirectory
        about.root, about.assignment_id, about.course_id, about.db_url = (
            str(folder),
            SET,
            where.course,
            where.gradebook_url,
        )
        about.source_directory, about.release_directory = "solutions", "exercises"
        about.submitted_directory = "submissions"
        about.student_id_exclude = ",".join(everybody[students:])

    def autograde(self) -> None:
        """Run the notebooks and grade them."""
        from nbgrader.converters import Autograde

        self._run(Autograde)

    def feedback(self) -> None:
        """Write the pages."""
        from nbgrader.converters import GenerateFeedback

        self._run(GenerateFeedback)

    def size(self) -> float:
        """Bytes of a page."""
        pages = [path for one in self.ids for path in (self.folder / "feedback" / one / SET).glob("*.html")]
        return sum(page.stat().st_size for page in pages) / len(pages)

    def cleared(self) -> None:
        """Take out what was graded, so that it is graded for the first time again."""
        unmarked(self.folder)
        shutil.rmtree(self.folder / "feedback", ignore_errors=True)

    def _run(self, kind: Any) -> None:
        from nbgrader.coursedir import CourseDirectory

        logging.disable(logging.ERROR)
        with quiet():
            kind(coursedir=CourseDirectory(config=self.config), config=self.config).start()
        logging.disable(logging.NOTSET)


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


def json_again(notebooks: Sequence[Path], target: Path) -> None:
    """Read and write notebooks with `json`, laid out as Jupyter does."""
    for path in notebooks:
        notebook = json.loads(path.read_text(encoding="utf-8"))
        target.write_text(json.dumps(notebook, indent=1, ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8")


def json_plain(notebooks: Sequence[Path], target: Path) -> None:
    """Read and write notebooks with `json`, on one line."""
    for path in notebooks:
        target.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8"))), encoding="utf-8")


class Feedback:
    """Our pages of a class that is marked."""

    def __init__(self, folder: Path) -> None:
        self.where = class_folder(folder)
        self.sizes: list[int] = []

    def pages(self) -> None:
        """Write every page; with what the class has in common."""
        self.sizes.clear()
        results = set_results(self.where, SET)
        with reading(self.where) as connection:
            words = policies_in_words(connection, results.sealed)
            for one in results.marked:
                paper = sealed_paper(connection, SET, one.pseudonym, one.attempt, faults=False)
                self.sizes.append(len(feedback_page(results, one, paper, words)))


def handed_out(place: Path) -> tuple[Turns, Turns]:
    """Time a student of handing out ten items, once the item models are compiled, and `json` on the same notebooks."""
    found, beside = Turns(), Turns()
    for turn in range(4):
        students = DRAWN if turn else 1
        folder = place / f"out-{turn}"
        folder.mkdir()
        (folder / "roster.csv").write_text(demo_roster(students))
        (folder / "blueprint.toml").write_text(demo_blueprint())
        start_class(folder / "class", folder / "roster.csv")
        work = Turns()
        work.add(lambda at=folder: hand_out(at / "class", at / "blueprint.toml", now=NOW), students)  # type: ignore[misc]
        if turn:
            found.turns += work.turns
            notebooks = sorted((folder / "class").glob(f"release/*/{SET}/{SET}.ipynb"))
            beside.add(lambda at=folder, of=notebooks: json_again(of, at / "copy.json"), len(notebooks))  # type: ignore[misc]
    return found, beside


def turn(folder: Path) -> None:
    """Measure ours and `json` on a class, in a process of its own, once everything is loaded; for `rows`."""
    notebooks, pages, copy = submitted(folder), Feedback(folder), folder.parent / "copy.json"
    core(folder)
    pages.pages()
    found: dict[str, Spent] = {}
    for name, work in (
        ("ours", lambda: core(folder)),
        ("indented", lambda: json_again(notebooks, copy)),
        ("plain", lambda: json_plain(notebooks, copy)),
        ("told", pages.pages),
    ):
        if name == "ours":
            unmarked(folder)
        found[name] = spent(work) / len(notebooks)
    times = {name: [one.elapsed, one.processor] for name, one in found.items()}
    print(json.dumps({"times": times, "size": sum(pages.sizes) / len(pages.sizes)}))


def in_own_process(what: str, folder: Path) -> dict[str, Any]:
    """What a process of this program prints that measures something of a class."""
    command = [sys.executable, __file__, what, str(folder)]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, Any] = json.loads(run.stdout.splitlines()[-1])
    return found


def scaled(source: Path, place: Path, students: int, stock: Stock, around: Turns) -> dict[str, float]:
    """What marking a class of so many takes, in a process of its own (see `one`), and stock before and after."""
    folder = place / f"class-{students}"
    larger(folder, source, students)
    stock.cleared()
    around.add(stock.autograde, len(stock.ids))
    found: dict[str, float] = in_own_process("--one", folder / "class")
    stock.cleared()
    around.add(stock.autograde, len(stock.ids))
    shutil.rmtree(folder)
    return found


def one(folder: Path) -> None:
    """Mark one class without and with the formgrader's notebooks, and again, and print times and the peak of memory."""
    from calclib.gradebook.opening import nbgrader_api

    nbgrader_api()
    core(folder)
    unmarked(folder)
    bare = spent(lambda: core(folder))
    unmarked(folder)
    first = spent(lambda: mark(folder, SET, now=NOW))
    again = spent(lambda: mark(folder, SET, now=NOW))
    found = {
        "submissions": len(submitted(folder)),
        "core": bare.processor,
        "core_elapsed": bare.elapsed,
        "first": first.processor,
        "again": again.processor,
        "memory": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }
    print(json.dumps(found))


def rows(place: Path, quick: bool) -> list[Row]:
    """Measure everything."""
    out, out_beside = handed_out(place)
    folder, graded = place / "class", place / "graded"
    simulated(folder, CLASS // 4 if quick else CLASS)
    simulated(graded, STOCK)
    stock, count = Stock(graded, STOCK), len(submitted(folder))
    ours, told, indented, plain, stock_graded, stock_told = (Turns() for _ in range(6))
    size = 0.0
    for n in range(2 if quick else TURNS + 1):
        stock.cleared()
        stock_graded.add(stock.autograde, len(stock.ids))
        took = in_own_process("--turn", folder)
        for name, turns in (("ours", ours), ("indented", indented), ("plain", plain), ("told", told)):
            turns.turns.append(Spent(*took["times"][name]))
        size = took["size"]
        stock_told.add(stock.feedback, len(stock.ids))
        if not n:  # stock loads its modules in the first turn, which counts for none
            for each in (ours, told, indented, plain, stock_graded, stock_told):
                each.turns.clear()
    core_of = f"marking core, a submission of {count}"
    found = [
        compared(
            "hand out ten items, a student", out, "json, as Jupyter lays it out", out_beside, "15 ms", smaller=False
        ),
        compared(core_of, ours, "stock autograde", stock_graded, "300 times at least", smaller=True),
        compared("  the same", ours, "json, as Jupyter lays it out", indented, "6 times at most", smaller=False),
        compared("  the same", ours, "json, on one line", plain, "", smaller=False),
        compared("feedback, a page", told, "stock", stock_told, "5 ms, 15 times at least", smaller=True),
        Row("  its size", f"{size / 1000:.1f} KB", f"stock {stock.size() / 1000:.0f} KB", "", "", "at most 20 KB"),
    ]
    base: float | None = None
    for students in (30, 300) if quick else (30, 300, 3000):
        around = Turns()
        scale = scaled(folder, place, students, stock, around)
        count, usual = int(scale["submissions"]), around.usual
        bare = Spent(scale["core_elapsed"], scale["core"]) / count
        elapsed, processor = usual.elapsed / bare.elapsed, usual.processor / bare.processor
        what = f"marking core, a submission of {count:,}"
        if students > 30:  # in a small class opening the gradebook is most of it
            by = number(elapsed), number(processor)
            found.append(Row(what, ms(bare), f"stock autograde {ms(usual)}", by[0], by[1], "300 times at least"))
        seconds = scale["first"] / count
        base = base or seconds
        words = f"again {scale['again']:.1f} s; peak of memory {scale['memory']:.0f} MB"
        what = f"mark {count:,} submissions, with the formgrader's notebooks"
        found.append(Row(what, f"({scale['first']:.1f} s)", words, "", f"{seconds / base:.2f} each", "linear, flat"))
    return found


def compared(what: str, ours: Turns, name: str, beside: Turns, goal: str, *, smaller: bool) -> Row:
    """A row with the ratios of each turn: how many times ours fits into what stands beside it, or the reverse."""
    pairs = list(zip(ours.turns, beside.turns, strict=True))
    elapsed = [b.elapsed / a.elapsed for a, b in pairs]
    processor = [b.processor / a.processor for a, b in pairs]
    if not smaller:
        elapsed, processor = ([1 / ratio for ratio in ratios] for ratios in (elapsed, processor))
    worst = min if smaller else max
    by = [f"{number(median(ratios))}, at worst {number(worst(ratios))}" for ratios in (elapsed, processor)]
    return Row(what, ms(ours.usual), f"{name} {ms(beside.usual)}", by[0], by[1], goal)


def number(ratio: float) -> str:
    """A ratio with the digits that matter."""
    return f"{ratio:,.0f}" if ratio > 20 else f"{ratio:,.1f}"


def ms(time: Spent) -> str:
    """A time in milliseconds: elapsed, and processor time in brackets."""
    return f"{1000 * time.elapsed:,.1f} ms ({1000 * time.processor:,.1f})"


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--quick", action="store_true", help="a smaller class, one turn, and the largest class left out"
    )
    parser.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--turn", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.turn:
        turn(asked.turn)
        return
    if asked.one:
        one(asked.one)
        return
    with tempfile.TemporaryDirectory() as scratch:
        found = rows(Path(scratch), asked.quick)
    print("Elapsed time, and processor time in brackets; ratios: the median of the turns, and the worst.\n")
    print("| what | ours | beside it | ratio, elapsed | ratio, processor | goal |\n|---|---|---|---|---|---|")
    for row in found:
        print(f"| {row.what} | {row.ours} | {row.beside} | {row.elapsed} | {row.processor} | {row.goal} |")


if __name__ == "__main__":
    main()
