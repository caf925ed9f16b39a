"""The commands of a class: start, hand-out, collect, mark, report."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.errors import BadInput
from calclib.errors.printed_command import printed_command
from calclib.quantity.counting import counted
from calclib.quantity.writing import points_text
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.class_files.roster import Student
    from calclib.gradebook import StudentResult
    from calclib.judging_papers.mark_set import Marked
    from calclib.wording import Fact

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(path_type=Path)


@click.command()
@click.argument("folder", type=FOLDER)
@click.option("--roster", required=True, type=FILE, help="The class list, a CSV file; its columns are listed below.")
@click.option("--course", help="Name of the course in nbgrader, one for each class of a hub; dosage if left out.")
@click.option(
    "--db-url",
    metavar="URL",
    help="Keep the gradebook in a department's database: postgresql+psycopg://USER@HOST/DATABASE. "
    "It is written into class.toml; a file in FOLDER if left out.",
)
def start(folder: Path, roster: Path, course: str | None, db_url: str | None) -> None:
    """Start a class in FOLDER from a roster, or bring it up to date with a new one.

    The folder will hold the class's submissions, marks and reports: keep it outside of any shared place. calclib
    example writes a roster to copy from.

    \b
    The roster is a CSV file, one line a student:
      id              required  short id: letters, digits, . _ - @
      name            required  name as it is shown to faculty
      hub_user        optional  user name on the notebook server, if it differs
      lms_name        optional  name by which the LMS labels the student's files
      accommodations  optional  what the student is allowed, split by semicolons

    An id, hub_user or lms_name must not be like one of another student: capitals, accents, signs and spaces don't
    count when hand-ins are collected, so j.smith and j_smith are one name.

    \b
    Accommodations hold for every set; after the name of a set, such as
    exam-1: or, for attempt 2 alone, exam-1/2: for that one.
      extra_minutes=2880     due times are so much later (it isn't working time)
      extra_attempts=1       attempts beyond those of the blueprint
      exam-1: due=2030-12-09T10:00:00-06:00
                             a due time of the student's own: a make-up,
                             a late joiner
      working_time=1.5       times the working time of the class
      breaks=10 minutes each hour
      format=large print     what the student needs, never why
    Working time, breaks and format stand in the list that calclib
    accommodations prints for you, and on nothing that others see.
    """
    from calclib.releasing.start import start_class

    started = start_class(folder, roster, course=course, db_url=db_url)
    say(f"{started.folder} is ready: {counted(len(started.added), 'new student')}.")
    if started.gone:
        say(f"No longer on the roster, their records stay: {', '.join(started.gone)}.")
    sets = sorted(path.stem for path in (started.folder / "blueprints").glob("*.toml"))
    if not sets:
        say(f"Next: write a blueprint and hand out a set: {printed_command('hand-out', folder, 'blueprint.toml')}")
        return
    if started.added:
        say("Who is new gets the sets that were handed out before once you hand them out again, as far as you want:")
        for name in sets:
            say(f"  {printed_command('hand-out', folder, name)}")
    say(f"Accommodations count once you mark again: {printed_command('mark', folder, sets[-1])}")


@click.command("hand-out")
@click.argument("folder", type=FOLDER)
@click.argument("blueprint", type=str)
@click.option("--preview", is_flag=True, help="Only write a sample beside the blueprint; nothing is recorded.")
def hand_out(folder: Path, blueprint: str, preview: bool) -> None:
    """Draw and write each student's notebook by BLUEPRINT, a file or the name of a set handed out before.

    Each student gets other numbers; they are recorded in the class folder and never drawn again. Look first with
    --preview. As long as nobody has a set, calclib take-back takes it back. calclib example writes a blueprint with
    every field to copy from.

    \b
    The blueprint is a TOML file:
      set        required  name of the set: letters, digits, _ -
      title      required  title that students read
      rounding   required  rounding policy (calclib policies lists them)
      marking    required  marking policy, or a file of yours beside the
                           blueprint, "marking.toml" (calclib policies --help)
      cut_score  optional  per cent of the points that pass (default 90)
      attempts   optional  attempts for each student (default 1); calclib again gives the further ones
      keep       optional  which attempt counts: "best" (default; one that an error fails comes last),
                           "last" or "first"
      due        optional  date and time, such as 2026-12-01T23:59:00-05:00
      late       optional  "accept" (default), "zero" or "10 percent a day"
      minutes    optional  working time in minutes
      review     optional  "required": a colleague signs the preview first
      [appeal]   optional  how students appeal, on each page: to, by, how
      [[items]]  required  one table for each line of the blueprint:
        item, skill or topic   what to draw from, as calclib items lists them;
                               item = "mine.toml" is a file of your own, its
                               path from the blueprint's folder
        count                  how many (default 1)
        points                 points of each (default: as the item says)
        replacement            what takes its place in later attempts if you
                               credit it to everyone (default: one like it)
    """
    from calclib.releasing.hand_out import NO_APPEAL
    from calclib.releasing.hand_out import hand_out as handed
    from calclib.wording import sentence

    source: Path | str = Path(blueprint) if Path(blueprint).suffix or Path(blueprint).exists() else blueprint
    if preview:
        _preview(folder, source)
        return
    with progress_bar("Drawing") as progress:
        result = handed(folder, source, now=_now(), progress=progress)
    say(f"Set {result.set_name}: {counted(result.new, 'notebook')} drawn, {result.kept} there before.")
    for change in result.changed:
        say(f"Changed: {change}.")
    if result.changed:
        say(f"Marks follow when you mark again: {printed_command('mark', folder, result.set_name)}")
    for problem, more in sorted(result.shared.items()):
        say(f"Problem {problem} has fewer different numbers than students: {more} share theirs with another.")
    for note in result.notes:
        say(note)
    if result.without_appeal:
        say(sentence(NO_APPEAL))
    for passed in result.passed:
        say(sentence(passed))
    for student in result.late_joiners:
        say(
            f"{student.name} ({student.id}) has the notebook only now, after the due time, which isn't applied: to set "
            f"another, write {result.set_name}: due=TIME into the accommodations column of your roster."
        )
    say(f"Give each student the notebook from {result.folder} (on a hub: calclib release)")


def _preview(folder: Path, source: Path | str) -> None:
    from calclib.pages.preview import write_preview_page
    from calclib.releasing.hand_out import NO_APPEAL
    from calclib.releasing.preview import preview
    from calclib.wording import sentence

    sample = preview(folder, source)
    write_preview_page(sample)
    problems = counted(len(sample.problems), "problem")
    say(f"Wrote {sample.notebook}: {problems} with the numbers of an invented student, as students see it.")
    say(f"Wrote {sample.page}: the same with keys, points, rules and sources, for you and a colleague alone.")
    if sample.order.rules.appeal is None:
        say(sentence(NO_APPEAL))
    say("Nothing was recorded or handed out: this was a preview.")
    if sample.handed_out:
        say(f"A set {sample.order.set} was handed out on {sample.handed_out[:10]} already; it stays as it is.")
    elif sample.order.rules.signed_off and not sample.signed:
        say(
            "It goes out once a colleague has signed that page: "
            + printed_command("sign-off", folder, source, "--by", "NAME")
        )


@click.command("sign-off")
@click.argument("folder", type=FOLDER)
@click.argument("blueprint", type=str)
@click.option("--by", required=True, metavar="NAME", help="Who has reviewed it; not whoever wrote it.")
def sign_off(folder: Path, blueprint: str, by: str) -> None:
    """Record that a colleague has reviewed the set of BLUEPRINT: its problems, keys, points and rules.

    calclib hand-out --preview writes the page to review. A sign-off holds for exactly that blueprint, those policies
    and those item models; after a change it must be given again. With review = "required" in the blueprint, the set
    isn't handed out without one. calclib history lists the sign-offs.
    """
    from calclib.releasing.sign_off import sign_off as signed_off

    source: Path | str = Path(blueprint) if Path(blueprint).suffix or Path(blueprint).exists() else blueprint
    done = signed_off(folder, source, by=by, now=_now())
    say(f"Set {done.set_name} is signed by {done.by}, as it is now (version {done.content[:12]}).")
    say(f"Next: {printed_command('hand-out', folder, blueprint)}")


@click.command("take-back")
@click.argument("folder", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--yes", is_flag=True, help="Don't ask.")
def take_back(folder: Path, set_name: str, yes: bool) -> None:
    """Take SET back while nobody has it: forget its numbers, remove its notebooks, free its name.

    Its blueprint stays in the class folder, to be corrected and handed out again; a problem that is the same again has
    the same numbers. The history keeps that it was handed out and taken back.

    It can't be taken back once something of it was collected, or it was released to students of a hub, who may have
    fetched it: then rule on it, and hand out a changed set under another name. A notebook of it that you gave to
    students in another way can't be marked by a changed set: it is set aside.
    """
    from calclib.cli.commands.rulings import agree
    from calclib.releasing.take_back import take_back as taken_back

    found = taken_back(folder, set_name, now=_now(), preview=not yes)
    if not yes:
        rulings = f" and {found.rulings} rulings" if found.rulings else ""
        say(f"The numbers of {found.students} students{rulings} would be forgotten, and their notebooks removed.")
        agree(f"Take {set_name} back? Notebooks of it that students have already couldn't be marked by a changed set.")
        found = taken_back(folder, set_name, now=_now())
    say(f"Set {set_name} is taken back: the numbers and notebooks of {found.students} students are gone.")
    say(f"Next: correct its blueprint and hand it out again: {printed_command('hand-out', folder, 'BLUEPRINT')}")


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("exchange", type=FOLDER)
def release(folder: Path, set_name: str, exchange: Path) -> None:
    """Release each student's notebook of SET in EXCHANGE, the folder of a hub through which nbgrader hands out.

    Each lies in a folder that only the student's account can read. It can be repeated: students who came later are
    added, and what was released stays. Students fetch and submit with nbgrader; collect from the same EXCHANGE.
    """
    from calclib.releasing.exchange_outbound import release as released

    result = released(folder, set_name, exchange, now=_now())
    say(f"{counted(len(result.new), 'notebook')} released in {result.folder}, {len(result.unchanged)} there before.")
    _list("No account on this machine, so nothing released, for", result.without_account)
    if result.without_notebook:
        _list("No notebook yet for", result.without_notebook)
        say(f"Hand the set out again for them: {printed_command('hand-out', folder, set_name)}")
    say(f"Later: {printed_command('collect', folder, set_name, exchange)}")


@click.command()
@click.argument("folder", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("source", type=FILE)
@click.option(
    "--pattern", help="How the LMS names files, such as {name}_{id}_{file}; by folder or file name if left out."
)
def collect(folder: Path, set_name: str, source: Path, pattern: str | None) -> None:
    """Collect the notebooks of SET from SOURCE: a folder, a zip file, or a hub's exchange.

    Students are known by the names of folders or files, in an exchange by the account that handed in. What lies in a
    student's folder or zip is that student's. An earlier submission is kept beside a later one. The time is that of the
    file or zip, in this machine's time zone (or of the exchange); one that can't be is not believed, and review asks;
    mark lists who is late. A file that a browser saved as .ipynb.txt or .ipynb.json is taken too.
    """
    from calclib.class_files import class_folder
    from calclib.cli.notices import show_notices
    from calclib.collecting.collect import collect as collected
    from calclib.wording import said

    with progress_bar("Collecting") as progress:
        result = collected(folder, set_name, source, now=_now(), pattern=pattern, progress=progress)
    if result.empty:
        show_notices(class_folder(folder), set_name, "collect", result.notes)
        raise BadInput(fact("errors_cli.no_notebook", source=str(source)))
    say(said("collecting.collected", count=len(result.new), before=len(result.unchanged)))
    if result.missing:
        say(said("collecting.missing", students=tuple(map(_who, result.missing))))
    show_notices(class_folder(folder), set_name, "collect", result.notes)
    say(f"Next: {printed_command('mark', folder, set_name)}")


@click.command()
@click.argument("folder", type=FOLDER)
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
    from calclib.cli.changed_marks import show_changes, show_further, show_resubmitted
    from calclib.cli.cluster import maybe_cluster
    from calclib.cli.commands.rulings import agree
    from calclib.cli.failures import tell_failures
    from calclib.cli.notices import show_notices
    from calclib.cli.set_zone import set_zone
    from calclib.judging_papers.mark_set import mark as marked
    from calclib.records.set_aside_facts import for_faculty
    from calclib.wording import said

    def run(*, preview: bool, stop_at_changes: bool) -> Marked:
        with maybe_cluster(scheduler) as across, progress_bar("Marking") as progress:
            how: Any = {"preview": preview, "stop_at_changes": stop_at_changes, "across": across}
            return marked(folder, set_name, now=_now(), progress=progress, **how)

    result = run(preview=preview, stop_at_changes=not yes)
    if preview:
        say(said("marking.would_be_marked", count=result.marked, changed=result.changed))
        show_resubmitted(result.resubmitted, set_zone(folder, set_name))
        show_further(result.further)
        show_changes(result.changes, others=bool(result.resubmitted or result.further))
        say(said("marking.preview"))
        return
    if result.undone:
        show_changes(result.changes)
        agree("Change these marks?")
        result = run(preview=False, stop_at_changes=False)
    say(said("marking.marked", count=result.marked, changed=result.changed))
    if yes and result.changes:
        show_changes(result.changes)
    show_resubmitted(result.resubmitted, set_zone(folder, set_name))
    show_further(result.further)
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
    say(f"Next: {printed_command(*step)}")


@click.command()
@click.argument("folder", type=FOLDER)
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
    from calclib.wording import fact, said

    with progress_bar("Feedback") as progress:
        written = write_feedback(folder, set_name, progress=progress)
    page = write_report(folder, set_name)
    say(said("marking.pages", count=len(written.pages), folder=str(folder / "feedback")))
    if written.without:
        say(said("marking.no_page", students=written.without))
    say(f"Class report: {page}")
    if anonymous:
        say(f"Class report without names: {write_anonymous_report(folder, set_name)}")
    answers, students = count_waiting(set_results(class_folder(folder), set_name))
    tell_failures(folder, set_name, err=True)
    if answers:
        of, review = fact("waiting.students", count=students), printed_command("review", folder, set_name)
        say(said("marking.settle_first", count=answers, students=of, command=review), err=True)


def _list(label: str, students: Sequence[Student]) -> None:
    if students:
        say(f"{label}: {', '.join(f'{s.name} ({s.id})' for s in students)}.")


def _list_late(folder: Path, set_name: str) -> None:
    from calclib.class_files import class_folder
    from calclib.gradebook import set_results
    from calclib.records.set_times import time_in_words, zone_of
    from calclib.wording import said, sentence

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
    from calclib.wording import fact

    who, attempt, points = _who(one.student), one.attempt, points_text(one.penalty)
    if attempt > 1 and one.penalty:
        return fact("marking.late_attempt_costs", who=who, attempt=attempt, time=time, due=due, points=points)
    if attempt > 1:
        return fact("marking.late_attempt", who=who, attempt=attempt, time=time, due=due)
    if one.penalty:
        return fact("marking.late_costs", who=who, time=time, due=due, points=points)
    return fact("marking.late", who=who, time=time, due=due)


def _who(student: Student) -> Fact:
    from calclib.wording import fact

    return fact("report.who", name=student.name, id=student.id)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
