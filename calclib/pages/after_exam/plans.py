"""Plans written for everyone who failed a set: a page and a practice notebook each, and one list for faculty."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.gradebook.notebook import notebook_bytes
from calclib.gradebook.opening import gradebook_transaction
from calclib.gradebook.results import SetResults, set_results
from calclib.pages.after_exam.plan_list import plan_list
from calclib.pages.after_exam.plan_notebook import is_worked_in, plan_notebook
from calclib.pages.after_exam.plan_page import plan_page
from calclib.records.history import write_lines
from calclib.records.set_times import zone_of
from calclib.releasing.erasing.erase import finish_erasure
from calclib.remediation.planning import Days, Plan, Planning
from calclib.remediation.who import ByStanding
from calclib.wording import fact

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class WrittenPlans:
    """What was written.

    Attributes:
        plans: The plans, in the order of the roster.
        kept: Students in whose practice notebook somebody has worked, so that it was left as it is.
        nothing_lost: Students who failed without a skill in which points were lost, or whose notebook was set aside.
        standing: The class by who failed, waits, is missing or passed.
        listed: The list for faculty.
    """

    plans: tuple[Plan, ...]
    kept: tuple[Student, ...]
    nothing_lost: tuple[Student, ...]
    standing: ByStanding
    listed: Path

    def by_need(self) -> Mapping[str, tuple[Student, ...]]:
        """Return the students of each skill, the skill with the most students first."""
        found: dict[str, list[Student]] = {}
        for plan in self.plans:
            for need in plan.needs:
                found.setdefault(need.skill, []).append(plan.one.student)
        return {skill: tuple(who) for skill, who in sorted(found.items(), key=lambda pair: (-len(pair[1]), pair[0]))}


def write_plans(
    folder: Path,
    set_name: str,
    *,
    now: dt.datetime,
    until: dt.date | None = None,
    weekends: bool = True,
    students: Collection[str] = (),
    progress: Progress | None = None,
) -> WrittenPlans:
    """Write a plan for each student who failed a set, and the list for faculty.

    A plan belongs to an attempt: a later one that isn't passed gets its own. The page is written again; a practice
    notebook only if nobody has worked in it.

    Args:
        folder: The class folder.
        set_name: The set.
        now: The time that is recorded; plans begin on its day.
        until: The day of the retest; None for the due time of each student's further attempt, if it was given.
        weekends: Whether Saturdays and Sundays are used.
        students: Ids of the students; everyone who failed if there are none.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: no such set or student, or the day has passed.
    """
    where = class_folder(folder)
    finish_erasure(where)
    results = set_results(where, set_name)
    today = now.astimezone(zone_of(results.sealed)).date()
    if until is not None and until <= today:
        raise BadInput(fact("errors_pages.retest_has_passed"))
    unknown = sorted(set(students) - {one.student.id for one in results.students})
    if unknown:
        raise BadInput(fact("errors_releasing.not_on_roster", student=visible(unknown[0])))
    plans: list[Plan] = []
    kept: list[Student] = []
    nothing: list[Student] = []
    with gradebook_transaction(where) as connection:
        planning = Planning(connection, results, read_secret(where.secret), Days(today, until, weekends))
        standing = planning.standing
        for done, one in enumerate(standing.failed, start=1):
            plan = planning.plan(one)
            if plan is None:
                nothing.append(one.student)
                continue
            plans.append(plan)
            if not students or one.student.id in students:
                kept += _written(where, results, planning, plan)
            if progress:
                progress(done, len(standing.failed), one.student.name)
        replace_file(where.plan_list(set_name), plan_list(results, standing, plans))
        wanted = [plan for plan in plans if not students or plan.one.student.id in students]
        write_lines(connection, set_name, [line for plan in wanted if (line := planning.line(plan))], at=now)
    return WrittenPlans(tuple(wanted), tuple(kept), tuple(nothing), standing, where.plan_list(set_name))


def _written(where: ClassFolder, results: SetResults, planning: Planning, plan: Plan) -> Sequence[Student]:
    """Write one student's page and notebook; the student, if the notebook was left as somebody worked in it."""
    sealed, student = results.sealed, plan.one.student
    path = where.plan_notebook(sealed.name, student.id, plan.attempt)
    worked_in = is_worked_in(path)
    if not worked_in:
        practice = planning.practice(plan)
        notebook = plan_notebook(sealed.name, sealed.title, plan.attempt, sealed.rounding, practice)
        replace_file(path, notebook_bytes(notebook))
    replace_file(where.plan(sealed.name, student.id, plan.attempt), plan_page(results, plan))
    return (student,) if worked_in else ()
