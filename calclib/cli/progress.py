"""A progress bar on standard error, none where nobody watches."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

Progress = Callable[[int, int, str], None]


@contextmanager
def progress_bar(label: str) -> Iterator[Progress]:
    """Yield a function that is told the number done, the number in all and the name of what was done.

    Args:
        label: What goes on.
    """
    width = 30
    watched = sys.stderr.isatty()
    shown = [-1]

    def progress(done: int, total: int, name: str) -> None:
        if not watched or not total:
            return
        filled = done * width // total
        if filled != shown[0] or done == total:
            shown[0] = filled
            click.echo(f"\r{label}: [{'#' * filled}{'.' * (width - filled)}] {done}/{total}", nl=False, err=True)

    yield progress
    if watched and shown[0] >= 0:
        click.echo("", err=True)
