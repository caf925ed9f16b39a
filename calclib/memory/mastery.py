"""The rule of mastery: when a skill holds. Its words for the student stand in `wording`, as `practice.mastery`."""

from __future__ import annotations

from calclib.memory.record import Skill

TIMES, DAYS = 3, 2


def is_mastered(skill: Skill) -> bool:
    """Tell whether a skill holds by the rule.

    Args:
        skill: What is kept of it.
    """
    last = skill.practiced[-TIMES:]
    between = all(one.mixed for one in last[1:])
    return (
        len(last) == TIMES and between and all(one.unaided for one in last) and len({one.day for one in last}) >= DAYS
    )
