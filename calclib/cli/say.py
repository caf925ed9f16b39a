"""What the commands print: characters that nobody sees, which could move or hide other words, are written out."""

from __future__ import annotations

from collections.abc import Iterable

import click

from calclib.errors.unseen import unseen_shown


def say(text: str = "", *, err: bool = False, nl: bool = True) -> None:
    """Print a text, on standard error if `err`, and the end of its line if `nl`; see `calclib.errors.unseen`."""
    click.echo(unseen_shown(text), err=err, nl=nl)


def say_each(lines: Iterable[str]) -> None:
    """Print each line."""
    for line in lines:
        say(line)


def confirm(question: str) -> None:
    """Ask a person.

    Raises:
        click.Abort: the answer is no.
    """
    click.confirm(unseen_shown(question), abort=True)
