"""A progress bar on standard error: a line that moves in a terminal, a line a stage elsewhere."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

from calclib.errors.unseen import unseen_shown

Progress = Callable[[int, int, str], None]
WIDTH = 24


@contextmanager
def progress_bar(label: str) -> Iterator[Progress]:
    """Yield a function that is told the number done, the number in all and what was done (“stage: name”).

    Args:
        label: What goes on, where the function is not told.
    """
    watched = sys.stderr.isatty()
    stage = [""]

    def progress(done: int, total: int, name: str) -> None:
        now, colon, detail = name.partition(": ")
        if not colon:
            now, detail = label, name
        if watched:
            if now != stage[0] and stage[0]:
                click.echo("", err=True)
            filled = done * WIDTH // max(total, 1)
            bar = f"[{'#' * filled}{'.' * (WIDTH - filled)}]"
            line = unseen_shown(f"{now:18} {bar} {done}/{total} {detail}", one_line=True)
            width = shutil.get_terminal_size().columns - 1
            click.echo(f"\r{line[:width]:{width}}", nl=False, err=True)
        elif now != stage[0]:
            click.echo(f"{now} ({total})", err=True)
        stage[0] = now

    yield progress
    if watched and stage[0]:
        click.echo("", err=True)
