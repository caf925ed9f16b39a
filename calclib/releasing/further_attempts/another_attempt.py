"""Give students another attempt at a set, with other numbers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from calclib.class_files.class_folder import class_folder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.standing_rules import standing_rules
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.gradebook.results import set_results
from calclib.records.handed_out import numbers_in_use, whole_sets_in_use
from calclib.records.history import EventKind, HistoryLine, write_history, write_lines
from calclib.records.lateness import Due, due_of
from calclib.records.people import pseudonyms
from calclib.records.rulings.ruled_set import with_rounding_in_force
from calclib.records.rulings.ruling import in_force, rulings_of
from calclib.records.sealed import lock_set, sealed_set
from calclib.releasing.distinct_draws import NumbersInUse
from calclib.releasing.further_attempts.eligible import Eligible
from calclib.releasing.further_attempts.measured import measured
from calclib.releasing.further_attempts.replaced_problems import AS_HANDED_OUT, Replaced, replaced_problems
from calclib.releasing.further_attempts.tries import given_back
from calclib.releasing.hand_out import Drawing, PrintedRules
from calclib.releasing.seal import ModelsToDraw
from calclib.wording import Fact, fact

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class GivenAgain:
    """What giving another attempt led to.

    Attributes:
        given: Students who have another attempt now, with its number.
        refused: Students who haven't, with the reason, which follows the name.
        folder: Where the notebooks are.
        waiting: Those of the first whose answers still wait for a person.
        due: Of each student of the first, by id, when the attempt is due.
        given_back: Those of the first for whom earlier attempts don't count as used, with the rulings on bad problems.
        replaced: What stands in the place of problems that went wrong.
        unprepared: Those of the first who failed, with no remediation on record since.
    """

    given: tuple[tuple[Student, int], ...]
    refused: tuple[tuple[Student, Fact], ...]
    folder: Path
    waiting: tuple[Student, ...] = ()
    due: Mapping[str, Due] = field(default_factory=dict)
    given_back: tuple[tuple[Student, Mapping[int, tuple[int, ...]]], ...] = ()
    replaced: Replaced = AS_HANDED_OUT
    unprepared: tuple[Student, ...] = ()


def give_another_attempt(
    folder: Path,
    set_name: str,
    *,
    now: dt.datetime,
    students: Collection[str] = (),
    below_cut: bool = False,
    due: dt.datetime | None = None,
    replace: Mapping[int, str] | None = None,
    progress: Progress | None = None,
) -> GivenAgain:
    """Draw other numbers for students who handed in their last attempt and have one left, and write the notebooks.

    The notebook of an attempt that is given takes the place of the earlier one in `release/`; what was handed out
    before stays recorded, and is marked by its own record.

    Args:
        folder: The class folder.
        set_name: The set.
        now: The time that is recorded.
        students: Ids of the students; everyone if there are none.
        below_cut: Leave out whoever reaches the cut score by now.
        due: By when the attempt is due; None for no due time. The one of the first attempt isn't applied to it.
        replace: The item model that faculty choose for a problem that went wrong, or a file of theirs, by its number.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: no such set or student, the due time has passed, the class's `standing.toml` is wrong, or nothing can
            take the place of a bad problem.
    """
    if due is not None and due <= now:
        raise BadInput(fact("errors_releasing.due_has_passed"))
    where = class_folder(folder)
    results = set_results(where, set_name)
    unknown = sorted(set(students) - {one.student.id for one in results.students})
    if unknown:
        raise BadInput(fact("errors_releasing.not_on_roster", student=visible(unknown[0])))
    wanted = [one for one in results.students if not students or one.student.id in students]
    secret = read_secret(where.secret)
    given: list[tuple[Student, int]] = []
    refused: list[tuple[Student, Fact]] = []
    lines: list[HistoryLine] = []
    with gradebook_transaction(where) as connection:
        lock_set(connection, set_name)
        sealed = sealed_set(connection, set_name)
        assert sealed is not None, "its results were read a moment ago"
        rulings = rulings_of(connection, set_name)
        rules = PrintedRules(connection, sealed, rulings).by()
        sealed = with_rounding_in_force(sealed, in_force(rulings))
        models = ModelsToDraw(connection, set_name)
        names, back = pseudonyms(connection), given_back(connection, set_name)
        may = Eligible(connection, results, sealed, standing_rules(where), below_cut=below_cut)
        known = measured(connection)
        replaced = replaced_problems(connection, sealed, secret, where.path, replace, known)
        models.recorded = {**replaced.own, **models.recorded}
        uses = NumbersInUse(numbers_in_use(connection, set_name), whole_sets_in_use(connection, set_name))
        for done, one in enumerate(wanted, start=1):
            last = may.last(one)
            reason = may.refusal(one)
            if reason:
                refused.append((one.student, reason))
            else:
                by = (connection, sealed, models, one.student.id, secret, uses, now, rules)
                until = due_of(sealed, one.student, last + 1, now, due).time
                drawn = Drawing(*by, until, last + 1, replaced, known).paper()
                replace_file(where.rendered(set_name, one.student.id), drawn.notebook)
                given.append((one.student, last + 1))
                detail = {"attempt": last + 1, "due": due.isoformat() if due else ""}
                lines.append(HistoryLine(EventKind.ANOTHER_ATTEMPT, names[one.student.id], detail))
            if progress:
                progress(done, len(wanted), one.student.name)
        if given:
            write_history(
                connection, at=now, kind=EventKind.ANOTHER_ATTEMPT, set_name=set_name, detail={"students": len(given)}
            )
            write_lines(connection, set_name, lines, at=now)
    ids = {student.id for student, _ in given}
    ours = {student.id: back.get(names.get(student.id, ""), {}) for student, _ in given}
    lost = tuple((student, ours[student.id]) for student, _ in given if ours[student.id])
    dues = {student.id: due_of(sealed, student, attempt, None, due) for student, attempt in given}
    waiting = tuple(one.student for one in wanted if one.open and one.student.id in ids)
    unprepared = tuple(one.student for one in wanted if one.student.id in ids and may.unprepared(one))
    release = where.path / "release"
    return GivenAgain(tuple(given), tuple(refused), release, waiting, dues, lost, replaced, unprepared)
