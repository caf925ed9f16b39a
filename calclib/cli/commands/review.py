"""`calclib explain`, `calclib review` and `calclib history`: what was marked and why, and what waits for a person."""

from __future__ import annotations

from pathlib import Path

import click

from calclib.cli.say import say
from calclib.wording.sentences import said

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("student")
@click.argument("problem", type=click.IntRange(1), required=False)
def explain(folder: Path, set_name: str, student: str, problem: int | None) -> None:
    """Explain the marks of STUDENT (the id in the roster) in SET, or those of one PROBLEM (its number).

    One page of plain words for a disputed mark: the student's own numbers, the text as it was typed, how it was read,
    every accepted answer and the way that leads to it, what the policies say and from which source, any ruling of
    faculty, why the score is what it is, and what was done when. It can be given to the student: it names no other.
    The last paragraph gives the versions by which it was marked.
    """
    from calclib.pages import explanation

    say(explanation(folder, set_name, student, problem), nl=False)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
def history(folder: Path, set_name: str) -> None:
    """List what was done in SET and when: handed out, marked, ruled, by which version of policies and problems.

    Lines are only ever added. Students are listed by a pseudonym.
    """
    from calclib.class_files import class_folder
    from calclib.cli.set_zone import set_zone
    from calclib.records import history_of, reading

    with reading(class_folder(folder)) as connection:
        lines = history_of(connection, set_name, zone=set_zone(folder, set_name))
    say("\n".join(lines) if lines else said("command.no_history", set=set_name))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
def review(folder: Path, set_name: str) -> None:
    """List what waits for a person in SET: the student, the problem, what was typed, why, and the command to settle it.

    Such an answer has no points until somebody rules on it, and the student reads “awaiting review”. Rulings made
    so far are listed at the end, each with its number.
    """
    from calclib.collecting.can_accept import acceptance
    from calclib.pages import waiting

    can = acceptance(folder, set_name)
    say(waiting(folder, set_name, notebook_fits=can.notebook, hand_in_fits=can.hand_in).text, nl=False)
