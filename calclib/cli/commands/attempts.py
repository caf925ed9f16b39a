"""`calclib again`: another attempt at a set."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.errors.file_bounds import FIRST_YEAR, LAST_YEAR
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.quantity.counting import counted
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.class_files.roster import Student
    from calclib.records.lateness import Due
    from calclib.releasing.further_attempts.replaced_problems import Replaced

MOST_NAMED = 50
FOLDER = click.Path(file_okay=False, path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
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
@click.option("--how-parallel", is_flag=True, help="Give nothing; write how parallel the last attempt is to the first.")
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
    from calclib.releasing.further_attempts.another_attempt import PASSES, give_another_attempt
    from calclib.wording import sentence

    now = _now()
    zone = set_zone(folder, set_name)
    with progress_bar("Drawing") as progress:
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
    has = "has" if len(result.given) == 1 else "have"
    say(f"{counted(len(result.given), 'student')} {has} another attempt; notebooks are in {result.folder}")
    for student, attempt in result.given:
        say(f"  {student.name} ({student.id}): attempt {attempt}, {_due(result.due[student.id], zone)}")
    if result.given and not due:
        say("No due time was given (--due), and that of the first attempt isn't applied.")
    if result.given:
        say(f"See how parallel it is: {printed_command('again', folder, set_name, '--how-parallel')}")
        _show_replaced(result.replaced)
    _show_given_back(result.given_back)
    if result.waiting:
        names = ", ".join(f"{student.name} ({student.id})" for student in result.waiting)
        say(f"Answers of these still wait for review, and may yet give points: {names}.")
        say(f"See them: {printed_command('review', folder, set_name)}")
    if students:
        for student, reason in result.refused:
            say(f"{student.name} ({student.id}) {sentence(reason)}.")
    else:
        for reason, count in Counter(reason for _, reason in result.refused).most_common():
            who = [f"{student.name} ({student.id})" for student, why in result.refused if why == reason]
            # Who passes needs no other attempt; anybody else may be one whom faculty miss.
            named = "" if reason == PASSES else f": {', '.join(who[:MOST_NAMED])}{', …' * (count > MOST_NAMED)}"
            say(f"Not for {counted(count, 'student')}, since each {sentence(reason)}{named}.")


def _show_parallel(folder: Path, set_name: str) -> None:
    """Write the page and print what differs."""
    from calclib.pages.after_exam.parallel_page import write_parallel

    path, slots = write_parallel(folder, set_name)
    say(f"How parallel the last attempt is to the first: {path}")
    for one in slots:
        told = {
            "other steps": one.same_model - one.same_steps,
            "other conversions": one.same_model - one.same_conversions,
            "the same numbers": one.pairs - one.new_numbers,
            "the same story": one.pairs - one.new_story,
            "another problem": one.pairs - one.same_model,
        }
        differs = ", ".join(f"{what} for {count}" for what, count in told.items() if count)
        say(f"  problem {one.slot.number}, {counted(one.pairs, 'student')}: {differs or 'parallel'}")


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


def _show_replaced(replaced: Replaced) -> None:
    for number, model in sorted(replaced.models.items()):
        say(f"Problem {number} is “{model}” in this attempt, in place of the one that was handed out first.")
    for number in sorted(replaced.taken_out):
        say(f"Problem {number} was declared void, so it isn't asked in this attempt.")


def _show_given_back(given_back: Iterable[tuple[Student, Mapping[int, tuple[int, ...]]]]) -> None:
    """Print which attempts don't count as used, and for whom."""
    found: dict[tuple[int, tuple[int, ...]], list[str]] = {}
    for student, attempts in given_back:
        for attempt, by in attempts.items():
            found.setdefault((attempt, by), []).append(f"{student.name} ({student.id})")
    for (attempt, by), names in found.items():
        rulings = f"ruling{'' if len(by) == 1 else 's'} {', '.join(map(str, by))}"
        say(
            f"Attempt {attempt} doesn't count as used for {counted(len(names), 'student')}, who didn't have the right "
            f"answer to a problem that {rulings} found bad: {', '.join(names)}."
        )


def _chosen(replace: tuple[str, ...]) -> dict[int, str]:
    chosen = {}
    for text in replace:
        number, equals, model = text.partition("=")
        if not equals or not (number.isascii() and number.isdigit() and len(number) <= 3) or not model.strip():
            raise BadInput(fact("errors_cli.replace"))
        chosen[int(number)] = model.strip()
    return chosen


def _due(due: Due, zone: dt.tzinfo) -> str:
    from calclib.records.set_times import time_in_words

    return "without a due time" if due.time is None else f"due {time_in_words(due.time, zone)}"


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
