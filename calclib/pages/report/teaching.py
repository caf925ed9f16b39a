"""What to teach again first: the skills that most students have wrong, each with the two mistakes behind it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from calclib.analysis.faults import StepFault, step_faults
from calclib.analysis.problems import Problem
from calclib.pages.after_exam.plan_page import capital
from calclib.records.sealed_slots import Slot
from calclib.wording import Fact, fact, fact_from_record, said

SKILLS = 3
MISTAKES = 2


@dataclass(frozen=True)
class Weak:
    """A skill that students have wrong.

    Attributes:
        skill: The skill.
        slots: Its problems.
        wrong: How many students have one of them wrong.
        of: How many of them tried one.
        faults: The known mistakes behind it, the commonest first.
    """

    skill: str
    slots: tuple[int, ...]
    wrong: int
    of: int
    faults: tuple[StepFault, ...]


def weak_skills(slots: Sequence[Slot], students: Mapping[str, Sequence[Problem]]) -> tuple[Weak, ...]:
    """Return the skills that anybody has wrong, that of the largest share first.

    Args:
        slots: The problems of the set.
        students: What each student did, by id.
    """
    by_skill: dict[str, list[int]] = {}
    for slot in slots:
        by_skill.setdefault(slot.skill, []).append(slot.number)
    found = []
    for skill, numbers in by_skill.items():
        here = [[one for one in problems if one.slot in numbers] for problems in students.values()]
        tried = [problems for problems in here if any(not one.waits for one in problems)]
        wrong = [problems for problems in tried if any(not one.right and not one.waits for one in problems)]
        mistakes = (mistake for problems in wrong for one in problems for mistake in one.mistakes)
        faults = sorted(step_faults(mistakes), key=lambda one: (-one.certain, -one.possible))
        if wrong:
            found.append(Weak(skill, tuple(numbers), len(wrong), len(tried), tuple(faults)))
    return tuple(sorted(found, key=lambda one: (-one.wrong * 1_000_000 // one.of, one.slots)))


def teach_again(weak: Sequence[Weak]) -> list[dict[str, str]]:
    """Return the first skills to teach again, each with its two mistakes in words and where its answers stand."""
    return [
        {
            "skill": capital(one.skill),
            "told": said("report.weak", wrong=one.wrong, of=one.of),
            "behind": _behind(one.faults),
            "link": f"#problem-{one.slots[0]}",
        }
        for one in weak[:SKILLS]
    ]


def _behind(faults: Sequence[StepFault]) -> str:
    if not faults:
        return said("report.behind_none")
    return said("report.behind", mistakes=tuple(_mistake(one) for one in faults[:MISTAKES]))


def _mistake(one: StepFault) -> Fact:
    clause = fact_from_record(one.what)
    if one.certain:
        return fact("report.behind_mistake", clause=clause, count=one.certain)
    return fact("report.behind_perhaps", clause=clause, count=one.possible)
