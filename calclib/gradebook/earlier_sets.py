"""What students did in the sets that were handed out before one: what is known of their skills already."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select

from calclib.analysis.problems import Problem
from calclib.class_files.class_folder import ClassFolder
from calclib.gradebook.outcomes import student_problems
from calclib.gradebook.results import SetResults, set_results
from calclib.records.database import reading
from calclib.records.tables import SET


def earlier_problems(folder: ClassFolder, results: SetResults) -> Mapping[str, tuple[Problem, ...]]:
    """Return what each student did in the sets before, the earliest first, by the student's id.

    Of each set the attempt that counts is taken. What a student practiced alone is in no set, and so not in this.

    Args:
        folder: The class folder.
        results: The results of the set.
    """
    with reading(folder) as connection:
        known = connection.execute(select(SET.c.name, SET.c.handed_out).order_by(SET.c.handed_out)).all()
    found: dict[str, tuple[Problem, ...]] = {}
    for row in known:
        if row.name == results.sealed.name or row.handed_out > results.sealed.handed_out:
            continue
        before = set_results(folder, row.name)
        for one in before.judged:
            found[one.student.id] = (*found.get(one.student.id, ()), *student_problems(before, one))
    return found
