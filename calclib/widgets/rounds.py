"""Which kind of problem comes next: what was missed soon again, earlier kinds mixed in, else the one longest away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

SOON = 2
"""Problems of other kinds between a problem that was missed and the next of its kind."""
MIXED_IN = 3
"""Of so many problems, one is of an earlier kind."""


class Turn(NamedTuple):
    """A problem that was worked on: its kind, and whether it was solved unaided (None: left without a try)."""

    skill: str
    unaided: bool | None


def next_skill(skills: Sequence[str], mixed: Sequence[str], turns: Sequence[Turn]) -> str:
    """Return the kind of the next problem.

    Args:
        skills: Kinds that are practiced, in their order.
        mixed: Earlier kinds to mix in.
        turns: What was worked on so far, oldest first.
    """
    missed = _missed(turns)
    if missed:
        return missed
    earlier = [skill for skill in mixed if skill not in skills]
    turn_of_earlier = bool(earlier) and len(turns) % MIXED_IN == MIXED_IN - 1
    return _longest_away(earlier if turn_of_earlier else skills, turns)


def _missed(turns: Sequence[Turn]) -> str | None:
    """The kind that was missed when last seen, once enough others have come between, or there are no others."""
    last = {turn.skill: place for place, turn in enumerate(turns)}
    due = [
        (place, skill) for skill, place in last.items() if turns[place].unaided is False and len(turns) - place > SOON
    ]
    return min(due)[1] if due else None


def _longest_away(skills: Sequence[str], turns: Sequence[Turn]) -> str:
    last = {turn.skill: place for place, turn in enumerate(turns)}
    return min(skills, key=lambda skill: last.get(skill, -1))
