"""`calclib remedy`: plans for those who failed a set."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.quantity.counting import counted
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from collections.abc import Iterable

    from calclib.class_files.roster import Student

FOLDER = click.Path(file_okay=False, path_type=Path)
MOST_NAMED = 50


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--until", metavar="DATE", help="The day of the retest, such as 2030-12-13.")
@click.option("--no-weekends", is_flag=True, help="Plan nothing for Saturdays and Sundays.")
@click.option("--student", "students", multiple=True, metavar="ID", help="Only this student; may be repeated.")
def remedy(folder: Path, set_name: str, until: str | None, no_weekends: bool, students: tuple[str, ...]) -> None:
    """Write a plan for each student who failed SET: a page to print, and a practice notebook.

    The page names the two or three skills in which the student lost most, the student's own wrong answer with the step
    at which it went wrong, the lesson and its worked example, and what to do on which day. The notebook has, for each
    skill, a problem that is worked, one with a gap, some to do alone, and a check at the end; its numbers are new to
    the student, and the cell below each answer says at once whether it is right.

    Without --until the plan goes to the due time of the further attempt, if you gave one with calclib again --due;
    else it counts sessions. Nothing of a plan counts toward a mark. Whoever passed gets none, and whoever waits for a
    decision of yours gets none yet. A practice notebook in which somebody has worked is never written over.

    The plans are in CLASS/plans, a list of who needs what in CLASS/reports.
    """
    from calclib.pages.after_exam.plans import write_plans

    day = _day(until)
    with progress_bar("Writing plans") as progress:
        written = write_plans(
            folder,
            set_name,
            now=_now(),
            until=day,
            weekends=not no_weekends,
            students=students,
            progress=progress,
        )
    standing = written.standing
    say(f"{counted(len(written.plans), 'plan')} in {folder / 'plans'}; who needs what: {written.listed}")
    for skill, who in written.by_need().items():
        say(f"  {skill}: {_names(who)}")
    if written.plans and any(plan.until is None for plan in written.plans):
        say("Of some the day of the retest isn't known: their plans count sessions. Give it with --until.")
    if written.kept:
        say(f"Somebody has worked in the practice notebook of these, so it was left as it is: {_names(written.kept)}.")
    if written.nothing_lost:
        say(f"No points were lost in any skill by these, so they have no plan: {_names(written.nothing_lost)}.")
    if standing.waiting:
        say(f"Too early to say for {_names([one.student for one in standing.waiting])}: answers wait for you.")
        say(f"See them: {printed_command('review', folder, set_name)}")
    if standing.missing:
        say(f"Nothing handed in, so no plan: {_names(standing.missing)}.")
    say(f"{counted(standing.passed, 'student')} passed.")


def _names(students: Iterable[Student]) -> str:
    every = [f"{one.name} ({one.id})" for one in students]
    return f"{', '.join(every[:MOST_NAMED])}{', …' * (len(every) > MOST_NAMED)}"


def _day(text: str | None) -> dt.date | None:
    if text is None:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(fact("errors_cli.day")) from None


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
