"""The commands by which a class starts and a set goes out: start, hand-out, sign-off, take-back, release."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say
from calclib.errors.printed_command import printed_command
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import said, sentence

if TYPE_CHECKING:
    from calclib.class_files.roster import Student
    from calclib.releasing.hand_out import HandedOut

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.option("--roster", required=True, type=FILE, help="The class list, a CSV file; its columns are listed below.")
@click.option("--course", help="Name of the course in nbgrader, one for each class of a hub; dosage if left out.")
@click.option(
    "--db-url",
    metavar="URL",
    help="Keep the gradebook in a department's database: postgresql+psycopg://USER@HOST/DATABASE. "
    "It is written into class.toml; a file in CLASS if left out.",
)
def start(folder: Path, roster: Path, course: str | None, db_url: str | None) -> None:
    """Start a class in the folder CLASS from a roster, or bring it up to date with a new one.

    The folder will hold the class's submissions, marks and reports: keep it outside of any shared place. calclib
    example writes a roster to copy from.

    \b
    The roster is a CSV file, one line a student:
      id              required  short id: letters, digits, . _ - @
      name            required  name as it is shown to faculty
      hub_user        optional  user name on the notebook server, if it differs
      lms_name        optional  name by which the LMS labels the student's files
      accommodations  optional  what the student is allowed, separated by semicolons

    An id, hub_user or lms_name must not be like one of another student: capitals, accents, punctuation, and spaces
    don't count when hand-ins are collected, so j.smith and j_smith are one name.

    \b
    Accommodations hold for every set; after the name of a set, such as
    exam-1: or, for attempt 2 alone, exam-1/2: for that one.
      extra_minutes=2880     due times are this much later (it isn't working time)
      extra_attempts=1       attempts beyond those of the blueprint
      exam-1: due=2030-12-09T10:00:00-06:00
                             a due time of the student's own: a make-up,
                             a late joiner
      working_time=1.5       times the working time of the class
      breaks=10 minutes each hour
      format=large print     what the student needs, never why
    Working time, breaks and format appear in the list that calclib
    accommodations prints for you, and on nothing that others see.
    """
    from calclib.releasing.start import start_class

    started = start_class(folder, roster, course=course, db_url=db_url)
    say(said("starting.ready", folder=str(started.folder), count=len(started.added)))
    if started.gone:
        say(said("starting.gone", students=tuple(started.gone)))
    sets = sorted(path.stem for path in (started.folder / "blueprints").glob("*.toml"))
    if not sets:
        say(said("starting.first_set", command=printed_command("hand-out", folder, "blueprint.toml")))
        return
    if started.added:
        say(said("starting.joined"))
        for name in sets:
            say(said("starting.again", command=printed_command("hand-out", folder, name)))
    say(said("starting.accommodations", command=printed_command("mark", folder, sets[-1])))


@click.command("hand-out")
@click.argument("folder", metavar="CLASS", type=FOLDER)
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
      cut_score  optional  percent of the points that pass (default 90)
      attempts   optional  attempts for each student (default 1); calclib again gives the further ones
      keep       optional  which attempt counts: "best" (default; one that an error fails comes last),
                           "last" or "first"
      due        optional  date and time, such as 2026-12-01T23:59:00-05:00
      late       optional  "accept" (default), "zero" or "10 percent a day"
      minutes    optional  working time in minutes
      reviewed   optional  true: only problems that somebody at your school has
                           reviewed, with their drugs (reviews.toml)
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
    from calclib.releasing.hand_out import hand_out as handed

    source: Path | str = Path(blueprint) if Path(blueprint).suffix or Path(blueprint).exists() else blueprint
    if preview:
        _preview(folder, source)
        return
    with progress_bar(said("command.drawing")) as progress:
        result = handed(folder, source, now=_now(), progress=progress)
    _show_handed_out(folder, result)


def _show_handed_out(folder: Path, result: HandedOut) -> None:
    from calclib.releasing.hand_out import NO_APPEAL

    say(said("handing_out.drawn", set=result.set_name, count=result.new, before=result.kept))
    for change in result.changed:
        say(said("handing_out.changed", change=change))
    if result.changed:
        say(said("handing_out.mark_again", command=printed_command("mark", folder, result.set_name)))
    for problem, more in sorted(result.shared.items()):
        say(said("handing_out.shared", problem=problem, count=more))
    for note in result.notes:
        say(note)
    if result.without_appeal:
        say(sentence(NO_APPEAL))
    for passed in result.passed:
        say(sentence(passed))
    for student in result.late_joiners:
        say(said("handing_out.late_joiner", who=_who(student), set=result.set_name))
    say(said("handing_out.give", folder=str(result.folder)))


def _preview(folder: Path, source: Path | str) -> None:
    from calclib.pages.preview import write_preview_page
    from calclib.releasing.hand_out import NO_APPEAL
    from calclib.releasing.preview import preview

    sample = preview(folder, source)
    write_preview_page(sample)
    say(said("handing_out.preview_notebook", file=str(sample.notebook), count=len(sample.problems)))
    say(said("handing_out.preview_page", file=str(sample.page)))
    if sample.order.rules.appeal is None:
        say(sentence(NO_APPEAL))
    say(said("handing_out.preview_only"))
    if sample.handed_out:
        say(said("handing_out.preview_handed_out", set=sample.order.set, day=sample.handed_out[:10]))
    elif sample.order.rules.signed_off and not sample.signed:
        sign = printed_command("sign-off", folder, source, "--by", "NAME")
        say(said("handing_out.preview_unsigned", command=sign))


@click.command("sign-off")
@click.argument("folder", metavar="CLASS", type=FOLDER)
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
    say(said("handing_out.signed", set=done.set_name, by=done.by, version=done.content[:12]))
    say(said("command.next", command=printed_command("hand-out", folder, blueprint)))


@click.command("take-back")
@click.argument("folder", metavar="CLASS", type=FOLDER)
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
        if found.rulings:
            say(said("taking_back.would_go_ruled", students=found.students, rulings=found.rulings))
        else:
            say(said("taking_back.would_go", students=found.students))
        agree(said("taking_back.ask", set=set_name))
        found = taken_back(folder, set_name, now=_now())
    say(said("taking_back.gone", set=set_name, students=found.students))
    say(said("taking_back.next", command=printed_command("hand-out", folder, "BLUEPRINT")))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("exchange", type=FOLDER)
def release(folder: Path, set_name: str, exchange: Path) -> None:
    """Release each student's notebook of SET in EXCHANGE, the folder of a hub through which nbgrader hands out.

    Each lies in a folder that only the student's account can read. It can be repeated: students who came later are
    added, and what was released stays. Students fetch and submit with nbgrader; collect from the same EXCHANGE.
    """
    from calclib.releasing.exchange_outbound import release as released

    result = released(folder, set_name, exchange, now=_now())
    before = len(result.unchanged)
    say(said("release.released", count=len(result.new), folder=str(result.folder), before=before))
    if result.without_account:
        say(said("release.without_account", students=tuple(map(_who, result.without_account))))
    if result.without_notebook:
        say(said("release.without_notebook", students=tuple(map(_who, result.without_notebook))))
        say(said("release.hand_out_again", command=printed_command("hand-out", folder, set_name)))
    say(said("command.later", command=printed_command("collect", folder, set_name, exchange)))


def _who(student: Student) -> Fact:
    return fact("report.who", name=student.name, id=student.id)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
