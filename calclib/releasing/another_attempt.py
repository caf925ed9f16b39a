"""Give students another attempt at a set, with other numbers."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import class_folder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.gradebook.results import set_results
from calclib.records.history import EventKind, write_history
from calclib.records.part_marks import marked_attempts
from calclib.records.people import pseudonyms
from calclib.records.ruled_set import with_rounding_in_force
from calclib.records.rulings import in_force, rulings_of
from calclib.records.sealed import SealedSet, latest_attempts, lock_set, numbers_in_use, sealed_set, whole_sets_in_use
from calclib.releasing.distinct_draws import NumbersInUse
from calclib.releasing.hand_out import Drawing
from calclib.releasing.seal import ModelsToDraw

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class GivenAgain:
    """What giving another attempt led to.

    Attributes:
        given: Students who have another attempt now, with its number.
        refused: Students who haven't, with the reason.
        folder: Where the notebooks are.
        waiting: Those of the first whose answers still wait for a person.
    """

    given: tuple[tuple[Student, int], ...]
    refused: tuple[tuple[Student, str], ...]
    folder: Path
    waiting: tuple[Student, ...] = ()


def give_another_attempt(
    folder: Path,
    set_name: str,
    *,
    now: dt.datetime,
    students: Collection[str] = (),
    below_cut: bool = False,
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
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: no such set or student.
    """
    where = class_folder(folder)
    results = set_results(where, set_name)
    unknown = sorted(set(students) - {one.student.id for one in results.students})
    if unknown:
        raise BadInput(f"No student of the roster has the id '{visible(unknown[0])}'.")
    wanted = [one for one in results.students if not students or one.student.id in students]
    secret = read_secret(where.secret)
    given: list[tuple[Student, int]] = []
    refused: list[tuple[Student, str]] = []
    with gradebook_transaction(where) as connection:
        lock_set(connection, set_name)
        sealed = sealed_set(connection, set_name)
        assert sealed is not None, "its results were read a moment ago"
        sealed = with_rounding_in_force(sealed, in_force(rulings_of(connection, set_name)))
        models = ModelsToDraw(connection, set_name)
        latest, marked = latest_attempts(connection, set_name), marked_attempts(connection, set_name)
        names = pseudonyms(connection)
        uses = NumbersInUse(numbers_in_use(connection, set_name), whole_sets_in_use(connection, set_name))
        for done, one in enumerate(wanted, start=1):
            last = latest.get(one.student.id, 0)
            reason = _refusal(sealed, one.student, last, (names.get(one.student.id, ""), last) in marked)
            if not reason and below_cut and results.reaches_cut(one):
                reason = "reaches the cut score"
            if reason:
                refused.append((one.student, reason))
            else:
                drawn = Drawing(connection, sealed, models, one.student.id, secret, uses, now, last + 1).paper()
                replace_file(where.rendered(set_name, one.student.id), drawn.notebook)
                given.append((one.student, last + 1))
            if progress:
                progress(done, len(wanted), one.student.name)
        if given:
            write_history(
                connection, at=now, kind=EventKind.ANOTHER_ATTEMPT, set_name=set_name, detail={"students": len(given)}
            )
    ids = {student.id for student, _ in given}
    waiting = tuple(one.student for one in wanted if one.open and one.student.id in ids)
    return GivenAgain(tuple(given), tuple(refused), where.path / "release", waiting)


def _refusal(sealed: SealedSet, student: Student, last: int, handed_in: bool) -> str:
    allowed = sealed.attempts + student.accommodations.extra_attempts
    if not last:
        return "was given no notebook of this set yet: hand the set out first"
    if last >= allowed:
        return f"has had all {allowed} attempts" if allowed > 1 else "has had the only attempt"
    return "" if handed_in else f"hasn't handed in attempt {last}, or it isn't marked yet"
