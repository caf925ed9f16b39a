"""`calclib again`: another attempt at a set."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say, say_each
from calclib.errors.file_bounds import FIRST_YEAR, LAST_YEAR
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.wording.facts import fact
from calclib.wording.sentences import said

_NEXT = (("again", "--how-parallel"), ("review",))
FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--student", "students", multiple=True, metavar="ID", help="Only this student; may be repeated.")
@click.option("--below-cut", is_flag=True, help="Only students who don't reach the cut score yet.")
@click.option("--due", metavar="TIME", help="By when it is due, such as 2030-12-13T17:00:00-06:00.")
@click.option(
    "--replace",
    multiple=True,
    metavar="PROBLEM=ITEM",
    help="The item model, or a file of yours, that takes the place of a problem that went wrong, such as 4=drop-rate.",
)
@click.option("--how-parallel", is_flag=True, help="Only show how parallel the last attempt is to the first.")
def again(
    folder: Path,
    set_name: str,
    students: tuple[str, ...],
    below_cut: bool,
    due: str | None,
    replace: tuple[str, ...],
    how_parallel: bool,
) -> None:
    """Give students another attempt at SET, with other numbers.

    It goes to those whose last attempt was handed in and marked, as long as they have one left: the blueprint says how
    many (attempts = 3), the roster who has more (extra_attempts=1). Which attempt counts is in the blueprint too:
    keep = "best" (default), "last" or "first". Each notebook is marked by its own numbers, whenever it comes in.

    The due time of the first attempt isn't applied to a further one: it is due by --due, or has no due time and can't
    be late. Extensions in the roster hold for it too (extra_minutes), and a student may have a time of their own
    there, such as exam-1/2: due=2030-12-16T17:00:00-06:00 for attempt 2 at exam-1.

    Where standing.toml says remediation = true, nobody who failed gets one before remediation is on record since the
    last attempt (calclib coached); else you are told for whom none is.

    A problem that you credited to everyone isn't asked again: the one that you name with --replace takes its place
    (any that asks for as many answers), else the one that the blueprint names (replacement = ...), else another of its
    skill or topic. One that you declared void is left out. An attempt in which a student got such a problem wrong
    doesn't count as used.

    Each problem is drawn to be as hard as the student's own of the first attempt: it takes the same steps and
    conversions and allows the same mistakes. Its numbers are never those of an earlier attempt of the student, nor is
    its drug or story where another has the same steps. --how-parallel writes a page that shows it, problem by problem.
    """
    if how_parallel:
        _show_parallel(folder, set_name)
        return
    from calclib.cli.set_zone import set_zone
    from calclib.releasing.further_attempts.another_attempt import give_another_attempt

    now = _now()
    zone = set_zone(folder, set_name)
    with progress_bar(said("command.drawing")) as progress:
        result = give_another_attempt(
            folder,
            set_name,
            now=now,
            students=students,
            below_cut=below_cut,
            due=_time(due),
            replace=_chosen(replace),
            progress=progress,
        )
    from calclib.pages.after_exam.again_told import again_lines

    commands = {name: printed_command(name, folder, set_name, *more) for name, *more in _NEXT}
    say_each(again_lines(result, zone, named=bool(students), due=due is not None, commands=commands))


def _show_parallel(folder: Path, set_name: str) -> None:
    """Write the page and print what differs."""
    from calclib.pages.after_exam.parallel_page import write_parallel

    path, slots = write_parallel(folder, set_name)
    say(said("another_attempt.parallel_page", file=str(path)))
    for one in slots:
        told = (
            fact("another_attempt.other_steps", count=one.same_model - one.same_steps),
            fact("another_attempt.other_conversions", count=one.same_model - one.same_conversions),
            fact("another_attempt.same_numbers", count=one.pairs - one.new_numbers),
            fact("another_attempt.same_story", count=one.pairs - one.new_story),
            fact("another_attempt.other_problem", count=one.pairs - one.same_model),
        )
        differs = tuple(each for each in told if each.field("count"))
        say(
            said(
                "another_attempt.parallel_problem",
                number=one.slot.number,
                count=one.pairs,
                differs=differs or (fact("another_attempt.parallel"),),
            )
        )


def _time(text: str | None) -> dt.datetime | None:
    if text is None:
        return None
    try:
        time = dt.datetime.fromisoformat(text)
    except ValueError:
        time = None
    if time is None or time.tzinfo is None or not FIRST_YEAR <= time.year <= LAST_YEAR:
        raise BadInput(fact("errors_cli.due"))
    return time


def _chosen(replace: tuple[str, ...]) -> dict[int, str]:
    chosen = {}
    for text in replace:
        number, equals, model = text.partition("=")
        if not equals or not (number.isascii() and number.isdigit() and len(number) <= 3) or not model.strip():
            raise BadInput(fact("errors_cli.replace"))
        chosen[int(number)] = model.strip()
    return chosen


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
