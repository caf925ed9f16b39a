"""For faculty: who needs what after a set, by skill."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from calclib.analysis.faults import fault_named
from calclib.class_files.roster import Student
from calclib.gradebook.results import SetResults
from calclib.pages.after_exam.plan_page import capital
from calclib.pages.templating import page
from calclib.remediation.needs import Need
from calclib.remediation.planning import Plan
from calclib.remediation.who import ByStanding
from calclib.wording import said


def plan_list(results: SetResults, standing: ByStanding, plans: Sequence[Plan]) -> bytes:
    """Return the page.

    Args:
        results: The results of the set.
        standing: The class by who failed, waits, is missing or passed.
        plans: The plans.
    """
    skills: dict[str, list[tuple[Student, Need]]] = {}
    for plan in plans:
        for need in plan.needs:
            skills.setdefault(need.skill, []).append((plan.one.student, need))
    ordered = sorted(skills.items(), key=lambda pair: (-len(pair[1]), pair[0]))
    return page(
        "plans.html",
        {
            "title": results.sealed.title,
            "failed": len(standing.failed),
            "passed": standing.passed,
            "skills": [_skill(skill, who) for skill, who in ordered],
            "waiting": tuple(_name(one.student) for one in standing.waiting),
            "missing": tuple(_name(one) for one in standing.missing),
        },
    )


def _skill(skill: str, who: Sequence[tuple[Student, Need]]) -> dict[str, Any]:
    mistakes = Counter(need.mistake.fault for _, need in who if need.mistake)
    taught = who[0][1].taught
    read = taught.read if taught else None
    return {
        "skill": capital(skill),
        "students": said("plan.names", names=tuple(_name(student) for student, _ in who)),
        "count": len(who),
        "mistakes": said("plan.names", names=tuple(_mistake(*one) for one in mistakes.most_common(2))),
        "lesson": said("plan.section", number=read.number, section=read.heading) if read else "",
    }


def _mistake(fault: str, count: int) -> str:
    return said("plan.mistake_count", mistake=fault_named(fault), count=count)


def _name(student: Student) -> str:
    return said("plan.who", name=student.name, id=student.id)
