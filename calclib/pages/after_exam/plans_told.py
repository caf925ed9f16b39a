"""What is said of plans that were written: by `calclib remedy`, and at the desk."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from calclib.class_files.roster import Student
from calclib.pages.after_exam.plans import WrittenPlans
from calclib.wording import Fact, fact, said

_MOST_NAMED = 50


def plan_lines(written: WrittenPlans, folder: str, *, review: str = "") -> Iterator[str]:
    """Give how many plans there are and where, who needs what, and who has none and why.

    Args:
        written: What was written.
        folder: The folder of the plans, as it is told.
        review: The command that lists what waits; "" where that is seen otherwise.
    """
    standing = written.standing
    yield said("after_exam.plans", count=len(written.plans), folder=folder, file=str(written.listed))
    for skill, who in written.by_need().items():
        yield said("after_exam.need", skill=skill, students=_names(who))
    if written.plans and any(plan.until is None for plan in written.plans):
        yield said("after_exam.count_sessions")
    if written.kept:
        yield said("after_exam.kept", students=_names(written.kept))
    if written.nothing_lost:
        yield said("after_exam.nothing_lost", students=_names(written.nothing_lost))
    if standing.waiting:
        yield said("after_exam.waiting", students=_names(one.student for one in standing.waiting))
        if review:
            yield said("after_exam.see_waiting", command=review)
    if standing.missing:
        yield said("after_exam.missing", students=_names(standing.missing))
    yield said("after_exam.passed", count=standing.passed)


def _names(students: Iterable[Student]) -> tuple[Fact, ...]:
    every = tuple(fact("report.who", name=one.name, id=one.id) for one in students)
    return every if len(every) <= _MOST_NAMED else (*every[:_MOST_NAMED], fact("after_exam.and_more"))
