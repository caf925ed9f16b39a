"""What one student needs: the skills that are weak, the most urgent first, with the mistakes made in each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calclib.analysis.mastery import Holds, Mastery, mastery_by_skill
from calclib.analysis.problems import Mistake, Problem


@dataclass(frozen=True)
class SkillNeed:
    """A skill in which a student made mistakes.

    Attributes:
        skill: The skill, as the blueprint names it.
        tried: Problems of it in the set.
        right: Of these, how many were right.
        mastery: How well the student has the skill, from the set and from what was handed in before.
        wrong: The problems of the set that were wrong.
        mistakes: What may explain them: mistakes that are certain first, then in the order of the set.
    """

    skill: str
    tried: int
    right: int
    mastery: Mastery
    wrong: tuple[Problem, ...]
    mistakes: tuple[Mistake, ...]


def skill_needs(problems: Sequence[Problem], *, earlier: Iterable[Problem] = ()) -> tuple[SkillNeed, ...]:
    """Return the skills in which a student got a problem wrong, the most urgent first.

    What is surely not held comes first, then what is least likely held, then what cost the most. A problem that waits
    for a person is left out: nobody is sent to practice something that may turn out right.

    Args:
        problems: What the student did in the set (`problems_of`).
        earlier: What the student did in sets before it, the earliest first.
    """
    mastery = mastery_by_skill((*earlier, *problems))
    by_skill: dict[str, list[Problem]] = {}
    for one in problems:
        if not one.waits:
            by_skill.setdefault(one.skill, []).append(one)
    needs = [_need(skill, every, mastery[skill]) for skill, every in by_skill.items() if not all_right(every)]
    return tuple(sorted(needs, key=_urgency))


def all_right(problems: Iterable[Problem]) -> bool:
    """Return whether every one of some problems is right."""
    return all(one.right for one in problems)


def _need(skill: str, problems: Sequence[Problem], mastery: Mastery) -> SkillNeed:
    wrong = tuple(one for one in problems if not one.right)
    mistakes = sorted((mistake for one in wrong for mistake in one.mistakes), key=lambda mistake: not mistake.certain)
    return SkillNeed(skill, len(problems), len(problems) - len(wrong), mastery, wrong, tuple(mistakes))


def _urgency(need: SkillNeed) -> tuple[object, ...]:
    lost = sum(1 - one.share for one in need.wrong)
    return (need.mastery.holds is not Holds.NEEDS_PRACTICE, need.mastery.held, -lost, need.wrong[0].slot)
