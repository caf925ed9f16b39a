"""`calclib remedy`, `standing`, `coached`, `appeal` and `student-record`: after an exam."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from calclib.cli.progress import progress_bar
from calclib.cli.say import say, say_each
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.wording.facts import fact
from calclib.wording.sentences import said

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
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
    from calclib.pages.after_exam.plans_told import plan_lines

    day = _day(until)
    with progress_bar(said("after_exam.writing_plans")) as progress:
        written = write_plans(
            folder,
            set_name,
            now=_now(),
            until=day,
            weekends=not no_weekends,
            students=students,
            progress=progress,
        )
    review = printed_command("review", folder, set_name)
    say_each(plan_lines(written, str(folder / "plans"), review=review))


def _day(text: str | None) -> dt.date | None:
    if text is None:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(fact("errors_cli.day")) from None


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.option("--presets", "list_presets", is_flag=True, help="List published rules to start from, with their sources.")
@click.option(
    "--also", "terms", multiple=True, type=FOLDER, help="Class of an earlier term, for --to; may be repeated."
)
@click.option("--to", "target", type=FILE, help="Write tables without names: an .xlsx or .csv file.")
@click.option("--sign", "by", metavar="NAME", help="Record that NAME read where the students stand, and signed it.")
@click.option("--student", "students", multiple=True, metavar="ID", help="With --sign: this student; may be repeated.")
def standing(
    folder: Path,
    list_presets: bool,
    terms: tuple[Path, ...],
    target: Path | None,
    by: str | None,
    students: tuple[str, ...],
) -> None:
    """Show where each student of CLASS stands: which attempt passed, retest booked, no attempts left, and by what rule.

    The number of attempts and the cut score come from each blueprint, and further attempts from the roster. Your
    school's other rules go into standing.toml in the class folder:

    \b
      preset = "three-attempts-tutoring"   a published rule to start from (--presets); check your handbook
      required = ["exam-1"]                sets that count for the dosage requirement; all if left out
      remediation = true                   no retest before remediation is on record (calclib coached)
      remediation_days = 7                 it is due this many days after a failed attempt is marked
      after = "a talk with the director"   what follows when no attempt is left
      keep_years = 5                       how long records are kept; until then calclib erase is held back

    Nothing here clears a student: a named person reads the page and signs it, on paper or with --sign. A signature
    stands beside what was signed; where a student's standing has changed since, the page says so.

    --to writes tables for the accreditation folder, over several terms with --also: passes by set, and by skill and
    problem how many were right at the first attempt. They name nobody and leave out counts under ten.
    """
    from calclib.class_files.standing_rules import presets
    from calclib.sources import source

    if list_presets:
        for preset in presets().values():
            name, says, cited = preset.name, preset.says, source(preset.source).cite()
            if preset.of:
                say(said("after_exam.preset", name=name, says=says, of=preset.of, source=cited))
            else:
                say(said("after_exam.preset_not_dated", name=name, says=says, source=cited))
        say(said("after_exam.check_handbook"))
        return
    if target is not None:
        from calclib.pages.after_exam.accreditation import write_accreditation

        tables = write_accreditation((*terms, folder), target)
        counts = tuple(fact("after_exam.table_rows", name=table.name, count=len(table.rows)) for table in tables)
        say(said("after_exam.tables", tables=counts, file=str(target)))
        return
    if students and by is None:
        raise BadInput(fact("errors_cli.student_without_sign"))
    if by is not None:
        from calclib.remediation.signing import sign_standing

        signed = sign_standing(folder, by=by, now=_now(), students=students)
        say(said("after_exam.standing_signed", count=len(signed), by=" ".join(by.split())))
    _show_standing(folder)


def _show_standing(folder: Path) -> None:
    from calclib.pages.after_exam.standing_page import rule_of, signed_told, write_standing
    from calclib.wording import of_kind

    written = write_standing(folder, now=_now())
    for one in written.students:
        requirement = of_kind("standing_rule", one.requirement.value)
        say(said("after_exam.student", name=one.student.name, id=one.student.id, requirement=requirement))
        for each in one.sets:
            stands, rules = of_kind("standing_rule", each.after.value), tuple(rule_of(each, written.rules))
            if each.remediation_due:
                day = str(each.remediation_due)
                say(said("after_exam.stands_until", set=each.set_name, stands=stands, rules=rules, day=day))
            else:
                say(said("after_exam.stands", set=each.set_name, stands=stands, rules=rules))
        if signed := signed_told(one):
            say(said("after_exam.signed", signed=signed))
    say(said("after_exam.page_to_sign", file=str(written.path)))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("student")
@click.option("--by", required=True, metavar="NAME", help="Who coached.")
@click.option("--note", required=True, metavar="TEXT", help="What was worked through.")
@click.option("--agreed", default="", metavar="TEXT", help="What was agreed.")
def coached(folder: Path, set_name: str, student: str, by: str, note: str, agreed: str) -> None:
    """Record that STUDENT (the id in the roster) was coached after SET, by whom, and what was agreed.

    It stands in calclib standing and in the history; lines are only ever added. The words go when the student is
    erased.
    """
    from calclib.records.history import EventKind
    from calclib.releasing.coached import record_talk

    kind = EventKind.COACHED
    one = record_talk(folder, set_name, student, kind=kind, by=by, note=note, agreed=agreed, now=_now())
    say(said("after_exam.coached", name=one.name, id=one.id, by=" ".join(by.split())))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.argument("student")
@click.option("--by", required=True, metavar="NAME", help="Who took the appeal, or decided it.")
@click.option("--note", required=True, metavar="TEXT", help="What it is about, or how it was decided.")
@click.option("--settled", is_flag=True, help="The appeal is settled.")
def appeal(folder: Path, set_name: str, student: str, by: str, note: str, settled: bool) -> None:
    """Record that STUDENT (the id in the roster) appeals against marks of SET, or with --settled that it was decided.

    As long as an appeal is open, calclib erase is held back. Marks change by calclib rule alone.
    """
    from calclib.records.history import EventKind
    from calclib.releasing.coached import record_talk

    kind = EventKind.APPEAL_SETTLED if settled else EventKind.APPEALED
    one = record_talk(folder, set_name, student, kind=kind, by=by, note=note, now=_now())
    if settled:
        say(said("after_exam.appeal_settled", name=one.name, id=one.id, set=set_name))
    else:
        say(said("after_exam.appeal_open", name=one.name, id=one.id, set=set_name))


@click.command("student-record")
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("student")
@click.option("--to", "target", required=True, type=FILE, help="The zip, such as ben.zip.")
def student_record(folder: Path, student: str, target: Path) -> None:
    """Write everything that CLASS keeps on STUDENT (the id in the roster) into a zip, for a student who asks for it.

    It holds the line of the roster, every file of the student, and the rows of the database: papers, marks, typed
    answers, rulings, history, talks. Keys of problems and whatever is about others are left out. Only you can read it.
    """
    from calclib.pages.after_exam.student_record import write_student_record

    names = write_student_record(folder, student, target)
    say(said("after_exam.record_files", count=len(names), zip=str(target)))
