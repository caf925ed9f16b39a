"""When a skill is due again, by a published scheduler of spaced repetition, and never past the exam."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from calclib.memory.record import KEPT_OF_A_SKILL, Memory, Practiced, Skill


def with_practice(memory: Memory, skill: str, *, at: datetime, day: date, unaided: bool) -> Memory:
    """Return the memory with a problem that ended, its skill scheduled again.

    Args:
        memory: What was kept before.
        skill: The name of the item model.
        at: When it ended, in UTC.
        day: The day on the student's own calendar.
        unaided: Whether it was right at the first try and without help.
    """
    practiced = Practiced(at, day, unaided, memory.last_skill() not in (None, skill))
    before = memory.skills.get(skill, Skill())
    card, due = _scheduled(before, practiced)
    kept = (*before.practiced, practiced)[-KEPT_OF_A_SKILL:]
    return memory._replace(skills={**memory.skills, skill: Skill(kept, due, card)})


def with_problem_of_set(memory: Memory, problem: str, skill: str, *, at: datetime, day: date, unaided: bool) -> Memory:
    """Return the memory with a problem of a practice set that ended; one that has counted before changes nothing.

    Args:
        memory: What was kept before.
        problem: What tells the problem from all others.
        skill: The name of the item model.
        at: When it ended, in UTC.
        day: The day on the student's own calendar.
        unaided: Whether it was right at the first try and without help.
    """
    if problem in memory.counted:
        return memory
    return with_practice(memory._replace(counted=memory.counted | {problem}), skill, at=at, day=day, unaided=unaided)


def due_at(skill: Skill, exam: date | None) -> datetime | None:
    """Return when a skill is due: as scheduled, but at the latest on the day before the exam.

    Args:
        skill: The skill.
        exam: The day of the exam, None for none.
    """
    if skill.due is None or exam is None:
        return skill.due
    eve = datetime.combine(exam - timedelta(days=1), time(), UTC)
    last = skill.practiced[-1].at if skill.practiced else eve
    # What was practiced on the eve itself, or after the exam, keeps its own interval.
    return min(skill.due, eve) if last < eve else skill.due


def _scheduled(before: Skill, practiced: Practiced) -> tuple[dict[str, Any], datetime]:
    from fsrs import Card, Rating, Scheduler

    # Without chance: the same practice is due at the same time. Steps of minutes are the box's own business.
    scheduler = Scheduler(enable_fuzzing=False, learning_steps=(), relearning_steps=())
    try:
        card = Card.from_dict(dict(before.card)) if before.card else Card(card_id=1)  # type: ignore[arg-type]
    except (KeyError, TypeError, ValueError):  # a card of another version of the scheduler: begun afresh
        card = Card(card_id=1)
    rating = Rating.Good if practiced.unaided else Rating.Again
    card, _ = scheduler.review_card(card, rating, practiced.at)
    due = card.due if practiced.unaided else min(card.due, practiced.at + timedelta(days=1))
    return dict(card.to_dict()), due
