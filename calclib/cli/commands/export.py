"""`calclib export`, `calclib zip` and `calclib erase`: results out, files out, and a student out of the records."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path

import click

from calclib.cli.say import confirm, say
from calclib.errors.messages import BadInput
from calclib.errors.printed_command import printed_command
from calclib.wording.facts import fact
from calclib.wording.sentences import said

FOLDER = click.Path(file_okay=False, path_type=Path)
FILE = click.Path(dir_okay=False, path_type=Path)


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--to", "target", required=True, type=FILE, help="The file: results.xlsx or results.csv.")
@click.option("--answers", is_flag=True, help="In a .csv: one line for each answer, not for each student.")
def export(folder: Path, set_name: str, target: Path, answers: bool) -> None:
    """Write the results of SET for a spreadsheet.

    An .xlsx file has three sheets: students (points, percent, each problem), answers (typed, read as, right answer,
    verdict, mistakes) and attempts (every one, including those that don't count). A .csv file has one of the first two.
    Nothing that a student typed is ever taken for a formula. Only you can read the file.
    """
    from calclib.pages.export import export as exported

    table = exported(folder, set_name, target, answers=answers)
    say(said("files_out.table", count=len(table.rows), rows=table.name, file=str(target)))


@click.command("zip")
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("set_name", metavar="SET")
@click.option("--to", "target", required=True, type=FOLDER, help="The folder into which the zips go.")
@click.option("--feedback", is_flag=True, help="Zip the feedback pages, not the notebooks.")
@click.option("--plans", is_flag=True, help="Zip the plans of calclib remedy, not the notebooks.")
@click.option("--attempt", type=click.IntRange(1), help="Only notebooks of this attempt, such as 2.")
def zip_(folder: Path, set_name: str, target: Path, feedback: bool, plans: bool, attempt: int | None) -> None:
    """Make one zip for each student of SET, to be uploaded: the notebooks to hand out, the feedback, or the plans.

    Each is named by the student's id. Only you can read them. Once calclib again has given further attempts, only the
    notebooks of these are packed that aren't marked yet; --attempt chooses otherwise.
    """
    from calclib.releasing.zips import zip_each, zip_plans

    if plans:
        say(said("files_out.plans", count=len(zip_plans(folder, set_name, target).written), folder=str(target)))
        return
    result = zip_each(folder, set_name, target, feedback=feedback, attempt=attempt)
    count, where = len(result.written), str(target)
    if result.attempts:
        say(said("files_out.zips_of", count=count, folder=where, attempts=tuple(map(str, result.attempts))))
    else:
        say(said("files_out.zips", count=count, folder=where))
    if result.other_attempt:
        say(said("marking.zip_left_out", count=result.other_attempt))
    if result.first_unmarked:
        names = tuple(fact("report.who", name=one.name, id=one.id) for one in result.first_unmarked)
        command = printed_command("zip", folder, set_name, "--to", target, "--attempt", "1")
        say(said("marking.zip_first_unmarked", students=names, command=command))
    if result.without:
        who = tuple(fact("report.who", name=one.name, id=one.id) for one in result.without)
        say(said("files_out.nothing_to_zip", students=who))


@click.command()
@click.argument("folder", metavar="CLASS", type=FOLDER)
@click.argument("student")
@click.option("--yes", is_flag=True, help="Don't ask.")
@click.option("--despite-hold", is_flag=True, help="Erase although an appeal is open or your school keeps the records.")
@click.option("--by", default="", metavar="NAME", help="Who decided so; with --despite-hold.")
@click.option("--reason", default="", metavar="TEXT", help="Why; with --despite-hold.")
def erase(folder: Path, student: str, yes: bool, despite_hold: bool, by: str, reason: str) -> None:
    """Erase STUDENT (the id in the roster) from the class: name, files, everything typed, the grades in the gradebook.

    Marks and numbers stay under a pseudonym for statistics. Class reports name students, so they are removed too: write
    them again. So are the files of the folder notices, in which calclib collect and calclib mark write what is too much
    to print, and copies of the gradebook in the class folder, made before a newer version changed its tables. It can't
    be undone: an id that is added again starts without them. Copies elsewhere (exports, zips, backups, the hub) are
    yours to remove.

    An open appeal and the time for which your school keeps records (keep_years in standing.toml) hold it back, unless
    a named person decides otherwise: --despite-hold --by NAME --reason TEXT, which is recorded.
    """
    from calclib.releasing.erasing.erase import erase as erased
    from calclib.releasing.erasing.holds import Despite

    if despite_hold and not (by.strip() and reason.strip()):
        raise BadInput(fact("errors_cli.despite_hold"))

    if not yes:
        if not sys.stdin.isatty():
            raise BadInput(fact("errors_cli.nothing_erased"))
        confirm(said("files_out.erase", id=student))
    despite = Despite(by.strip(), reason.strip()) if despite_hold else None
    result = erased(folder, student, now=_now(), despite=despite)
    if result.folders:
        say(said("files_out.erased", id=student, folders=tuple(result.folders)))
    else:
        say(said("files_out.erased_no_folder", id=student))
    if result.reports:
        say(said("files_out.reports_removed", files=tuple(result.reports)))
    if result.copies:
        say(said("files_out.copies_removed", files=tuple(result.copies)))
    if result.foreign:
        say(said("files_out.foreign", files=tuple(result.foreign)))


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)
