"""Whether faculty can accept what waits: a notebook that was set aside, or a questioned hand-in."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import class_folder
from calclib.class_files.roster import Roster, read_roster
from calclib.collecting.notebooks_to_mark import submitted_path
from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.stored_submission import Store
from calclib.collecting.submitted_notebook import read_notebook
from calclib.records.database import reading
from calclib.records.handed_out import tags_by_student
from calclib.records.questioned import Questioned


@dataclass(frozen=True)
class Acceptance:
    """Tells which of the rulings that accept something would be refused.

    Args:
        store: Where hand-ins of the set are stored.
        roster: The class.
    """

    store: Store
    roster: Roster

    def notebook(self, student: str) -> bool:
        """Tell whether the notebook that lies in a student's submissions can be marked at all."""
        one = self.roster.by_id().get(student)
        path = None if one is None else submitted_path(self.store.where, self.store.set_name, one, [])
        if path is None or self.store.where.reached_by_link(path):
            return False
        data = read_plain_file(path)
        return not isinstance(data, Damaged) and not isinstance(read_notebook(data), Damaged)

    def hand_in(self, one: Questioned) -> bool:
        """Tell whether a hand-in can be the notebook that was handed out to the student in whose name it came."""
        student = self.roster.by_id().get(one.student)
        return student is not None and self.store.may_be_own(student, read_plain_file(one.path))


def acceptance(folder: Path, set_name: str) -> Acceptance:
    """Return what tells for one set.

    Raises:
        BadInput: the class folder or its roster is wrong.
    """
    where = class_folder(folder)
    with reading(where) as connection:
        tags = tags_by_student(connection, set_name)
    return Acceptance(Store(where, set_name, tags), read_roster(where.roster))
