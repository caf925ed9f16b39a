"""`calclib again`: another attempt at a set."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from pathlib import Path

import click

from calclib.cli.progress import progress_bar
from calclib.quantity.counting import counted

FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--student", "students", multiple=True, metavar="ID", help="Only this student; may be repeated.")
@click.option("--below-cut", is_flag=True, help="Only students who don't reach the cut score yet.")
def again(folder: Path, set_name: str, students: tuple[str, ...], below_cut: bool) -> None:
    """Give students another attempt at SET, with other numbers.

    It goes to those whose last attempt was handed in and marked, as long as they have one left: the blueprint says how
    many (attempts = 3), the roster who has more (extra_attempts=1). Which attempt counts is in the blueprint too:
    keep = "best" (default), "last" or "first". Each notebook is marked by its own numbers, whenever it comes in.
    """
    from calclib.releasing.another_attempt import give_another_attempt

    now = dt.datetime.now(dt.UTC)
    with progress_bar("Drawing") as progress:
        result = give_another_attempt(
            folder, set_name, now=now, students=students, below_cut=below_cut, progress=progress
        )
    has = "has" if len(result.given) == 1 else "have"
    click.echo(f"{counted(len(result.given), 'student')} {has} another attempt; notebooks are in {result.folder}")
    for student, attempt in result.given:
        click.echo(f"  {student.name} ({student.id}): attempt {attempt}")
    if result.waiting:
        names = ", ".join(f"{student.name} ({student.id})" for student in result.waiting)
        click.echo(f"Answers of these still wait for review, and may yet give points: {names}.")
        click.echo(f"See them: calclib review {folder} {set_name}")
    if students:
        for student, reason in result.refused:
            click.echo(f"{student.name} ({student.id}) {reason}.")
    else:
        for reason, count in Counter(reason for _, reason in result.refused).most_common():
            click.echo(f"Not for {counted(count, 'student')}: {reason}.")
