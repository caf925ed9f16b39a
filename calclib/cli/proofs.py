"""Proofs of item models on several processors."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from typing import Any

from calclib.proving.proof_row import ProofRow
from calclib.proving.prover import proof_seeds, prove

CHUNK = 250
MANY = 16
"""Models from which on each is one task."""
FEW = 100
"""Items that are drawn sooner than other processes have started."""

Progress = Callable[[int, int, str], None]
Across = Callable[[Callable[[Any, Any], Any], Any, Sequence[Any]], Iterable[Any]]
Task = tuple[int, str, str, tuple[str, ...]]


def proof_rows(
    texts: Sequence[tuple[str, str]], draws: int, jobs: int | None, progress: Progress, across: Across | None = None
) -> list[ProofRow]:
    """Return a row for each model.

    Args:
        texts: Name and text of each file.
        draws: Items to draw from each.
        jobs: Processes; as many as there are processors if None.
        progress: Told the number done, the number in all and the name of a file.
        across: Proves on other machines; in processes of this one if None.
    """
    tasks = list(_tasks(texts, draws))
    found: list[ProofRow | None] = [None] * len(texts)
    proved = across(_one_of, None, tasks) if across else _proved(tasks, jobs or processors())
    for done, (place, row) in enumerate(proved, 1):
        other = found[place]
        found[place] = row if other is None else other + row
        progress(done, len(tasks), row.where)
    return [row for row in found if row is not None]


def processors() -> int:
    """Return how many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _tasks(texts: Sequence[tuple[str, str]], draws: int) -> Iterator[Task]:
    """All draws of a model in one task, which compiles it once; in pieces where there are few models."""
    chunk = draws if len(texts) >= MANY else CHUNK
    for place, (where, text) in enumerate(texts):
        for first in range(0, draws, chunk):
            yield place, where, text, tuple(proof_seeds(min(chunk, draws - first), first))


def _proved(tasks: Sequence[Task], jobs: int) -> Iterator[tuple[int, ProofRow]]:
    if jobs == 1 or len(tasks) == 1 or sum(len(seeds) for *_, seeds in tasks) <= FEW:
        yield from (_one(task) for task in tasks)
        return
    # Processes are started afresh: a copy of this one could hold locks of threads that it does not have.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(min(jobs, len(tasks)), mp_context=context) as pool:
        for future in as_completed([pool.submit(_one, task) for task in tasks]):
            yield future.result()


def _one_of(_shared: None, task: Task) -> tuple[int, ProofRow]:
    return _one(task)


def _one(task: Task) -> tuple[int, ProofRow]:
    place, where, text, seeds = task
    return place, prove(text, where, seeds)
