"""The rule of mastery: when a skill holds. It stands here alone, and is printed to the student."""

from __future__ import annotations

from calclib.memory.record import Skill

TIMES, DAYS = 3, 2
MASTERY = (
    "You have a kind of problem when your last three of it were right at the first try and without help, "
    "on at least two different days, with other kinds of problems in between."
)


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
