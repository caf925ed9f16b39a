"""The commands by which a set comes back: collect, mark, report."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say, say_each
from calclib.errors import BadInput
from calclib.errors.printed_command import printed_command
from calclib.quantity.writing import points_text
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import said, sentence

if TYPE_CHECKING:
    from calclib.class_files.roster import Student
    from calclib.gradebook import StudentResult
    from calclib.judging_papers.mark_set import Marked

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("source", type=FILE)
@click.option(
    "--pattern", help="How the LMS names files, such as {name}_{id}_{file}; by folder or file name if left out."
)
def collect(folder: Path, set_name: str, source: Path, pattern: str | None) -> None:
    """Collect the notebooks of SET from SOURCE: a folder, a zip file, or a hub's exchange.

    Students are known by the names of folders or files, in an exchange by the account that handed in. What lies in a
    student's folder or zip is that student's. An earlier submission is kept beside a later one. The time is that of the
    file or zip, in this machine's time zone (or of the exchange); an impossible time is not believed, and calclib
    review asks about it; calclib mark lists who is late. A file that a browser saved as .ipynb.txt or .ipynb.json is
    taken too.
    """
    from calclib.class_files import class_folder
    from calclib.cli.notices import show_notices
    from calclib.collecting.collect import collect as collected

    with progress_bar(said("command.collecting")) as progress:
        result = collected(folder, set_name, source, now=_now(), pattern=pattern, progress=progress)
    if result.empty:
        show_notices(class_folder(folder), set_name, "collect", result.notes)
        raise BadInput(fact("errors_cli.no_notebook", source=str(source)))
    say(said("collecting.collected", count=len(result.new), before=len(result.unchanged)))
    if result.missing:
        say(said("collecting.missing", students=tuple(map(_who, result.missing))))
    show_notices(class_folder(folder), set_name, "collect", result.notes)
    say(said("command.next", command=printed_command("mark", folder, set_name)))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--preview", is_flag=True, help="Only show who would gain and who would lose; nothing is written.")
@click.option("--yes", is_flag=True, help="Change marks that were given before without asking.")
@click.option("--scheduler", metavar="ADDRESS", help="Judge on the Dask cluster of this scheduler: tcp://HOST:8786.")
def mark(folder: Path, set_name: str, preview: bool, yes: bool, scheduler: str | None) -> None:
    """Mark the collected notebooks of SET into the gradebook. No student's code is run.

    It can be repeated at any time: scores that a person gave by hand stay. Where a mark would change that was given
    before to the same notebook, you first see who gains, who loses and why; with --yes you see it afterward. Who handed
    in another notebook after marks were given is named with the marks before and after, and you are warned where
    feedback had been written by then. So is each further attempt, with its score and which attempt counts.
    """
    from calclib.class_files import class_folder
    from calclib.cli.cluster import maybe_cluster
    from calclib.cli.commands.rulings import agree
    from calclib.cli.failures import tell_failures
    from calclib.cli.notices import show_notices
    from calclib.cli.set_zone import set_zone
    from calclib.judging_papers.mark_set import mark as marked
    from calclib.pages.changed_marks import change_lines, further_lines, resubmitted_lines
    from calclib.records.set_aside_facts import for_faculty

    def run(*, preview: bool, stop_at_changes: bool) -> Marked:
        with maybe_cluster(scheduler) as across, progress_bar(said("command.marking")) as progress:
            how: Any = {"preview": preview, "stop_at_changes": stop_at_changes, "across": across}
            return marked(folder, set_name, now=_now(), progress=progress, **how)

    result = run(preview=preview, stop_at_changes=not yes)
    if preview:
        say(said("marking.would_be_marked", count=result.marked, changed=result.changed))
        say_each(resubmitted_lines(result.resubmitted, set_zone(folder, set_name)))
        say_each(further_lines(result.further))
        say_each(change_lines(result.changes, others=bool(result.resubmitted or result.further)))
        say(said("marking.preview"))
        return
    if result.undone:
        say_each(change_lines(result.changes))
        agree(said("command.change_these_marks"))
        result = run(preview=False, stop_at_changes=False)
    say(said("marking.marked", count=result.marked, changed=result.changed))
    if yes and result.changes:
        say_each(change_lines(result.changes))
    say_each(resubmitted_lines(result.resubmitted, set_zone(folder, set_name)))
    say_each(further_lines(result.further))
    review = printed_command("review", folder, set_name)
    if result.waiting:
        say(said("marking.answers_wait", count=result.waiting, command=review))
    tell_failures(folder, set_name)
    if result.times_waiting:
        say(said("marking.times_unknown", count=result.times_waiting, command=review))
    for student, reason in result.aside:
        say(said("marking.set_aside", who=_who(student), why=for_faculty(reason)))
    if result.missing:
        say(said("marking.nothing_handed_in", students=tuple(map(_who, result.missing))))
    _list_late(folder, set_name)
    show_notices(class_folder(folder), set_name, "mark", result.notes)
    step = ("report", folder, set_name) if result.marked else ("collect", folder, set_name, "DOWNLOADS")
    say(said("command.next", command=printed_command(*step)))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--anonymous", is_flag=True, help="Also a class report without names and without counts under ten.")
def report(folder: Path, set_name: str, *, anonymous: bool) -> None:
    """Write a feedback page for each student of SET, and one report page for the class.

    The class report says who passed, what needs you, what to teach again first, and which problems to look at; each
    figure leads to the answers behind it. Show others the one without names alone.
    """
    from calclib.class_files import class_folder
    from calclib.cli.failures import tell_failures
    from calclib.gradebook import set_results
    from calclib.pages import count_waiting, write_anonymous_report, write_feedback, write_report

    with progress_bar(said("command.feedback")) as progress:
        written = write_feedback(folder, set_name, progress=progress)
    page = write_report(folder, set_name)
    say(said("marking.pages", count=len(written.pages), folder=str(folder / "feedback")))
    if written.without:
        say(said("marking.no_page", students=written.without))
    say(said("marking.class_report", file=str(page)))
    if anonymous:
        say(said("marking.anonymous_report", file=str(write_anonymous_report(folder, set_name))))
    answers, students = count_waiting(set_results(class_folder(folder), set_name))
    tell_failures(folder, set_name, err=True)
    if answers:
        of, review = fact("waiting.students", count=students), printed_command("review", folder, set_name)
        say(said("marking.settle_first", count=answers, students=of, command=review), err=True)


def _list_late(folder: Path, set_name: str) -> None:
    from calclib.class_files import class_folder
    from calclib.gradebook import set_results
    from calclib.records.set_times import time_in_words, zone_of

    results = set_results(class_folder(folder), set_name)
    late, zone = results.late, zone_of(results.sealed)
    for one, due in late:
        assert one.time is not None, "who is late has a time"
        say(sentence(_late(one, time_in_words(one.time, zone), time_in_words(due, zone))))
    if late:
        start = printed_command("start", folder, "--roster", "ROSTER")
        one = late[0][0]
        about = set_name if one.attempt == 1 else f"{set_name}/{one.attempt}"
        assert one.time is not None, "who is late has a time"
        # A due time in whole minutes that lets the hand-in be in time.
        allowed = (one.time.astimezone(zone) + dt.timedelta(seconds=59)).replace(second=0, microsecond=0).isoformat()
        say(said("marking.excuse", who=_who(one.student), about=about, time=allowed, command=start))


def _late(one: StudentResult, time: str, due: str) -> Fact:
    who, attempt, points = _who(one.student), one.attempt, points_text(one.penalty)
    if attempt > 1 and one.penalty:
        return fact("marking.late_attempt_costs", who=who, attempt=attempt, time=time, due=due, points=points)
    if attempt > 1:
        return fact("marking.late_attempt", who=who, attempt=attempt, time=time, due=due)
    if one.penalty:
        return fact("marking.late_costs", who=who, time=time, due=due, points=points)
    return fact("marking.late", who=who, time=time, due=due)


def _who(student: Student) -> Fact:
    return fact("report.who", name=student.name, id=student.id)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
