"""What the class report and all plans cost beside marking the same class, and whether memory stays flat.

``python tests/benchmarks/report_benchmark.py [--students 1000]``

A small class of twenty items with numbers and answers of its own is copied under new names. Each size is marked,
reported on and planned for in one process of its own, so that all meet the machine in the same state. Nothing here is
asserted.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calclib.demo.class_list import SET
from calclib.gradebook.opening import nbgrader_api
from calclib.judging_papers import mark
from calclib.pages import write_anonymous_report, write_report
from calclib.pages.after_exam.plans import write_plans
from tests.benchmarks.measured_classes import NOW, larger, of_twenty_items

DRAWN = 24


def one(folder: Path) -> None:
    """Mark a class, write its reports and plans; print the processor time of each and the peak of memory after it."""
    nbgrader_api()
    found: dict[str, float] = {}
    for name, work in (
        ("mark", lambda: mark(folder, SET, now=NOW)),
        ("report", lambda: write_report(folder, SET)),
        ("anonymous", lambda: write_anonymous_report(folder, SET)),
        ("plans", lambda: write_plans(folder, SET, now=NOW)),
    ):
        start = time.process_time()
        work()
        found[name] = time.process_time() - start
        found[f"{name} memory"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    found["page"] = (folder / "reports" / f"{SET}.html").stat().st_size / 1_000_000
    print(json.dumps(found))


def measured(source: Path, blueprint: str, place: Path, students: int) -> dict[str, float]:
    """What one class of so many takes, in a process of its own."""
    folder = place / f"class-{students}"
    larger(folder, source, students, blueprint)
    command = [sys.executable, __file__, "--one", str(folder / "class")]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, float] = json.loads(run.stdout.splitlines()[-1])
    return found


def main() -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--students", type=int, default=1000)
    parser.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        one(asked.one)
        return
    print(
        "| students | mark | report | plans | both, times as much (at most 4) | without names | memory after each | "
        "page |"
    )
    print("|---|---|---|---|---|---|---|---|")
    with tempfile.TemporaryDirectory() as scratch:
        source, blueprint = of_twenty_items(Path(scratch), DRAWN)
        for students in (asked.students // 4, asked.students):
            took = measured(source, blueprint, Path(scratch), students)
            memory = ", ".join(f"{took[f'{name} memory']:.0f}" for name in ("mark", "report", "anonymous", "plans"))
            ratio = (took["report"] + took["plans"]) / took["mark"]
            both = f"{took['mark']:.1f} s | {took['report']:.1f} s | {took['plans']:.1f} s | {ratio:.2f}"
            times = f"{both} | {took['anonymous']:.1f} s"
            print(f"| {students:,} | {times} | {memory} MB | {took['page']:.1f} MB |", flush=True)


if __name__ == "__main__":
    main()
