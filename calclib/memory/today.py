"""What to practice today: what was missed first, then what is due, as much as ten minutes hold."""

from __future__ import annotations

from datetime import datetime
from typing import NamedTuple

from calclib.memory.mastery import is_mastered
from calclib.memory.record import Memory
from calclib.memory.scheduling import due_at

MINUTES = 10
MINUTES_A_PROBLEM = 2
"""common practice: about two minutes for a problem of one or two parts."""


class Today(NamedTuple):
    """What stands on the page of a day, each as names of skills.

    Args:
        missed: Missed when last practiced.
        due: Due by the schedule, the longest waiting first.
        plan: What ten minutes hold of both.
        mastered: Those that hold by the rule of mastery.
    """

    missed: tuple[str, ...]
    due: tuple[str, ...]
    plan: tuple[str, ...]
    mastered: tuple[str, ...]


def today(memory: Memory, now: datetime) -> Today:
    """Return what to practice.

    Args:
        memory: What is kept.
        now: The time, in UTC.
    """
    practiced = {name: skill for name, skill in memory.skills.items() if skill.practiced}
    missed = sorted(
        (name for name, skill in practiced.items() if not skill.practiced[-1].unaided),
        key=lambda name: practiced[name].practiced[-1].at,
    )
    waiting = {name: at for name, skill in practiced.items() if (at := due_at(skill, memory.exam)) and at <= now}
    due = sorted(waiting.keys() - set(missed), key=lambda name: (waiting[name], name))
    plan = (*missed, *due)[: MINUTES // MINUTES_A_PROBLEM]
    mastered = tuple(sorted(name for name, skill in practiced.items() if is_mastered(skill)))
    return Today(tuple(missed), tuple(due), plan, mastered)
