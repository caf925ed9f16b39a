"""What a student waits for: opening a lesson, a new problem, a check; beside the start of a bare kernel.

``python tests/benchmarks/lesson_benchmark.py [--rounds 100] [--quick]``

The host is a client of Jupyter's protocol that sends what a page sends and waits until the kernel is idle again. Bare
kernels are started in between, so that all meet the machine in the same state; each ratio is taken with the start that
is nearest to it. Nothing here is asserted.
"""

from __future__ import annotations

import argparse
import itertools
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median, quantiles
from typing import Any

import nbformat
from jupyter_client.manager import KernelManager

REPOSITORY = Path(__file__).resolve().parents[2]
COURSE = REPOSITORY / "course"
PATIENCE = 120  # seconds
EACH = 5  # rounds between two starts of a bare kernel
PARTS = 20
KINDS = ("pump-rate", "drop-rate", "secondary-rate", "dose-from-tablets", "draw-up-mark", "weight-dose-volume")


@dataclass
class Host:
    """A kernel and the client that talks to it."""

    manager: KernelManager
    client: Any

    def run(self, code: str) -> list[dict[str, Any]]:
        """Run a cell; return what came back until the kernel is idle."""
        return self._until_idle(self.client.execute(code))

    def press(self, comm: str, content: dict[str, Any]) -> list[dict[str, Any]]:
        """Send what a page sends when something is pressed; return what came back until the kernel is idle."""
        data = {"method": "custom", "content": content}
        message = self.client.session.msg("comm_msg", {"comm_id": comm, "data": data})
        self.client.shell_channel.send(message)
        return self._until_idle(message["header"]["msg_id"])

    def _until_idle(self, of: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = []
        while True:
            message = self.client.get_iopub_msg(timeout=PATIENCE)
            if message["parent_header"].get("msg_id") != of:
                continue
            if message["msg_type"] == "status" and message["content"]["execution_state"] == "idle":
                return found
            if message["msg_type"] == "error":
                raise RuntimeError("\n".join(message["content"]["traceback"]))
            found.append(message)


@contextmanager
def started() -> Iterator[Host]:
    """A kernel that answers; what was opened is closed."""
    manager = KernelManager(kernel_name="python3")
    manager.start_kernel(cwd=str(COURSE), stderr=subprocess.DEVNULL)  # its own warnings are none of the figures
    client = manager.client()
    client.start_channels()
    try:
        client.wait_for_ready(timeout=PATIENCE)
        yield Host(manager, client)
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)


def bare() -> float:
    """Seconds from nothing to a kernel that answers."""
    begun = time.perf_counter()
    with started():
        return time.perf_counter() - begun


def opened(lesson: Path, *, whole: bool) -> float:
    """Seconds from nothing to the first question of a lesson, or to the first problem of its practice box."""
    cells = [cell.source for cell in nbformat.read(lesson, as_version=4).cells if cell.cell_type == "code"]
    begun = time.perf_counter()
    with started() as host:
        for code in cells:
            states = [state for message in host.run(code) if (state := opened_state(message))]
            if any("problem" in state if whole else "shown" in state or "problem" in state for state in states):
                return time.perf_counter() - begun
    raise RuntimeError(f"{lesson.name} has no {'practice box' if whole else 'question'}")


def opened_state(message: dict[str, Any]) -> dict[str, Any]:
    """The state of a widget that a message opens; none for other messages."""
    if message["msg_type"] != "comm_open":
        return {}
    return dict(message["content"]["data"].get("state", {}))


def rounds(count: int) -> Iterator[tuple[float, float, float]]:
    """For each round of practice: seconds of a new problem, of a check, and of the nearest start of a bare kernel."""
    with started() as host:
        messages = host.run(f"from calclib.widgets import practice_box; box = practice_box({KINDS!r}, 'rounds'); box")
        comm = next(one["content"]["comm_id"] for one in messages if "problem" in opened_state(one))
        start = 0.0
        for number in range(1, count + 1):
            if (number - 1) % EACH == 0:
                start = bare()
            begun = time.perf_counter()
            answers = {"rate": "7 mL/h", "drops": "7 gtt/min", "tablets": "7", "volume": "7 mL", "dose": "7 mg"}
            host.press(comm, {"ask": "check", "problem": number, "answers": answers, "setups": {}})
            checked = time.perf_counter()
            host.press(comm, {"ask": "next", "problem": number})
            yield time.perf_counter() - checked, checked - begun, start


def main() -> None:
    """Measure, and print the ratios."""
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--rounds", type=int, default=100, help="Rounds of practice.")
    arguments.add_argument("--turns", type=int, default=3, help="How often each lesson is opened.")
    arguments.add_argument("--quick", action="store_true", help="Ten rounds and one lesson.")
    chosen = arguments.parse_args()
    lessons = sorted(COURSE.glob("[0-9]*.ipynb"))
    with tempfile.TemporaryDirectory() as home:
        # What is practiced here goes into nobody's memory, and the tree that is measured is this one.
        os.environ.update(
            HOME=home, CALCLIB_PRACTICE_FILE=str(Path(home) / "practice.json"), PYTHONPATH=str(REPOSITORY)
        )
        practice(10 if chosen.quick else chosen.rounds)
        opening(lessons[-1:] if chosen.quick else lessons, 1 if chosen.quick else chosen.turns)


def practice(count: int) -> None:
    """Print what a round of practice costs."""
    found = list(rounds(count))
    ratios = sorted((new + checked) / start for new, checked, start in found)
    within = sum(ratio <= 1 / 10 for ratio in ratios)
    news, checks, starts = zip(*found, strict=True)
    print(f"new problem {1000 * median(news):.0f} ms, check {1000 * median(checks):.0f} ms (medians of {count})")
    print(f"bare kernel start {1000 * median(starts):.0f} ms")
    print(f"both / start: median {median(ratios):.3f}, 95th of 100 {quantiles(ratios, n=PARTS)[-1]:.3f}")
    print(f"at most a tenth: {within} of {count} (goal: 95 of 100)")


def opening(lessons: list[Path], turns: int) -> None:
    """Print what opening each lesson costs."""
    print("\nopened to                    question   problem   (times a bare kernel start; goal for the problem: 2)")
    for lesson in lessons:
        ratios: dict[bool, list[float]] = {False: [], True: []}
        for _, whole in itertools.product(range(turns), (False, True)):
            start = bare()
            ratios[whole].append(opened(lesson, whole=whole) / start)
        print(f"{lesson.name:28} {median(ratios[False]):8.2f} {median(ratios[True]):9.2f}")


if __name__ == "__main__":
    sys.exit(main())
