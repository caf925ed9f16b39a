"""`calclib accommodations`: who is allowed what in a set, for faculty and whoever watches over the room."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.cli.say import say

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
def accommodations(folder: Path, set_name: str) -> None:
    """List who is allowed what in SET: working time, breaks, format, due time, further attempts.

    The list is for you alone: none of it appears in a notebook, a report, or anything else that others see. Working
    time isn't measured by this program, and due times are separate from it. Write them into the accommodations column
    of the roster (calclib start --help lists them), and start the class with it again.
    """
    from calclib.pages.accommodations import accommodation_lines

    for line in accommodation_lines(folder, set_name):
        say(line)
