"""The two or three skills that a student needs, with the student's own wrong answer, its step, and the lesson."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.analysis.needs import SkillNeed, skill_needs
from calclib.analysis.problems import Mistake, Problem
from calclib.lessons.where_taught import Section, Taught, where_mistake_taught, where_taught
from calclib.models.bank import bank
from calclib.models.model import ItemModel
from calclib.records.part_marks import PartMark
from calclib.records.sealed import SealedItem, SealedPaper
from calclib.records.sealed_slots import Slot

MOST = 3

# Points of each answer as they stand, by number of the problem and part.
Earned = Mapping[tuple[int, str], Fraction]


@dataclass(frozen=True)
class WrongAnswer:
    """One answer that lost points.

    Attributes:
        place: The problem, and the part where there are several: "3", "3b".
        asked: The question.
        mark: What the judge made of it.
        right: The right answer.
        step: The step at which it went wrong, in words; "" where that isn't known.
    """

    place: str
    asked: str
    mark: PartMark
    right: str
    step: str


@dataclass(frozen=True)
class Need:
    """A skill that a student needs.

    Attributes:
        skill: The skill, in words.
        lost: Points that were lost in it.
        of: Points that it was worth.
        wrong: The answer that tells most of what went wrong.
        mistake: The mistake that was made most often and surely, None if none is known.
        model: The item model from which practice is drawn, "" where the bank has none.
        taught: Where the skill is taught, None where no lesson comes near.
        mistake_taught: Where the mistake is taught, None if none is known.
    """

    skill: str
    lost: Fraction
    of: Fraction
    wrong: WrongAnswer
    mistake: Mistake | None
    model: str
    taught: Taught | None
    mistake_taught: Section | None


def needs_of(
    slots: Sequence[Slot], paper: SealedPaper, problems: Sequence[Problem], marks: Sequence[PartMark], earned: Earned
) -> tuple[Need, ...]:
    """Return the skills that a student needs most, the most urgent first.

    Args:
        slots: The problems of the set.
        paper: What the student had.
        problems: What the student did with each problem.
        marks: The answers as they were judged.
        earned: Points of each answer as they stand.
    """
    places = {slot.number: slot for slot in slots}
    items = {item.slot: item for item in paper.items}
    return tuple(_need(one, places, items, marks, earned) for one in skill_needs(problems)[:MOST])


def _need(
    need: SkillNeed,
    slots: Mapping[int, Slot],
    items: Mapping[int, SealedItem],
    marks: Sequence[PartMark],
    earned: Earned,
) -> Need:
    here = [mark for mark in marks if slots[mark.slot].skill == need.skill]
    lost = {(one.slot, one.part): max(one.points - earned[one.slot, one.part], Fraction(0)) for one in here}
    wrong_parts = {(one.slot, part) for one in need.wrong for part in one.wrong}
    mistake = _mistake(need)
    answers = [mark for mark in here if (mark.slot, mark.part) in wrong_parts]
    worst = min(answers, key=lambda mark: (not _explains(mistake, mark), -lost[mark.slot, mark.part], not mark.typed))
    item = items[worst.slot]
    model = _practiced(item)
    taught = where_taught(item.model_id, item.record["topic"])
    return Need(
        skill=need.skill,
        lost=sum(lost.values(), Fraction(0)),
        of=sum((mark.points for mark in here), Fraction(0)),
        wrong=_shown(worst, slots[worst.slot], item, mistake),
        mistake=mistake,
        model=model.id if model else "",
        taught=taught,
        mistake_taught=where_mistake_taught(mistake.fault, taught) if mistake and taught else None,
    )


def _mistake(need: SkillNeed) -> Mistake | None:
    """The mistake that was made most often, of those that are certain."""
    sure = [mistake for mistake in need.mistakes if mistake.certain]
    kinds = Counter(mistake.fault for mistake in sure)
    return max(sure, key=lambda mistake: kinds[mistake.fault], default=None)


def _explains(mistake: Mistake | None, mark: PartMark) -> bool:
    return mistake is not None and (mistake.slot, mistake.part) == (mark.slot, mark.part)


def _shown(mark: PartMark, slot: Slot, item: SealedItem, mistake: Mistake | None) -> WrongAnswer:
    part = next(one for one in item.record["parts"] if one["name"] == mark.part)
    model = bank().get(item.model_id)
    known = mistake if mistake and _explains(mistake, mark) else None
    step = _step_words(model, known.step or known.given) if model and known else ""
    return WrongAnswer(slot.place(mark.part), part["asked"], mark, part["answer"], step)


def _step_words(model: ItemModel, name: str) -> str:
    words = {given: one.says for given, one in model.givens.items()} | {step.name: step.says for step in model.steps}
    return words.get(name) or ""


def _practiced(item: SealedItem) -> ItemModel | None:
    """The bank's item model for practice: the very one, else of its skill, else of its topic."""
    models = bank()
    if item.model_id in models:
        return models[item.model_id]
    skill, topic = item.record["skill"], item.record["topic"]
    same = [one for one in models.values() if skill == one.skill]
    near = same or [one for one in models.values() if topic == one.topic]
    return min(near, key=lambda one: one.order, default=None)
