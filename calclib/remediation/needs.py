"""The two or three skills in which a student lost most, with the student's own wrong answers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.lessons.where_taught import Section, Taught, where_mistake_taught, where_taught
from calclib.models.bank import bank
from calclib.models.model import ItemModel
from calclib.records.part_marks import PartMark
from calclib.records.sealed import SealedItem, SealedPaper, SealedSet, Slot

MOST = 3
_WRONG_SHOWN = 1
# A third skill is taken up only where it holds so much of what was lost.
_WORTH_A_THIRD = Fraction(1, 6)


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
class Mistake:
    """A mistake at which practice is aimed: its kind, the step, and the given or conversion that it concerns."""

    fault: str
    step: str
    given: str


@dataclass(frozen=True)
class Need:
    """A skill that a student needs.

    Attributes:
        skill: The skill, in words.
        lost: Points that were lost in it.
        of: Points that it was worth.
        wrong: The answer that lost most.
        mistake: The mistake that was made most often and surely, None if none is known.
        model: The item model from which practice is drawn, "" where the bank has none.
        taught: Where the skill is taught, None where no lesson comes near.
        mistake_taught: Where the mistake is taught, None if none is known.
    """

    skill: str
    lost: Fraction
    of: Fraction
    wrong: tuple[WrongAnswer, ...]
    mistake: Mistake | None
    model: str
    taught: Taught | None
    mistake_taught: Section | None


def needs_of(sealed: SealedSet, paper: SealedPaper, earned: Mapping[tuple[int, str], Fraction],
             marks: Sequence[PartMark]) -> tuple[Need, ...]:  # fmt: skip
    """Return the skills in which a student lost most, the most first.

    Args:
        sealed: The set, as ruled.
        paper: What the student had.
        earned: Points of each answer as they stand, by number of the problem and part.
        marks: The answers as they were judged.
    """
    slots = {slot.number: slot for slot in sealed.slots}
    items = {item.slot: item for item in paper.items}
    by_skill: dict[str, list[PartMark]] = {}
    for mark in marks:
        if mark.points and mark.slot in items:
            by_skill.setdefault(slots[mark.slot].skill, []).append(mark)
    found = []
    for skill, answers in by_skill.items():
        lost = {(one.slot, one.part): max(one.points - earned[one.slot, one.part], Fraction(0)) for one in answers}
        if sum(lost.values()):
            found.append(_need(skill, answers, lost, slots, items))
    found.sort(key=lambda need: (-need.lost, -need.lost / need.of))
    whole = sum((need.lost for need in found), Fraction(0))
    third = [need for need in found[MOST - 1 : MOST] if need.lost >= whole * _WORTH_A_THIRD]
    return (*found[: MOST - 1], *third)


def _need(
    skill: str,
    answers: Sequence[PartMark],
    lost: Mapping[tuple[int, str], Fraction],
    slots: Mapping[int, Slot],
    items: Mapping[int, SealedItem],
) -> Need:
    wrong = sorted((one for one in answers if lost[one.slot, one.part]), key=lambda one: _rank(one, lost))
    first = items[wrong[0].slot]
    model = _practiced(first)
    mistake = _mistake(wrong)
    topic = first.record["topic"]
    taught = where_taught(first.model_id, topic)
    shown = tuple(_shown(one, slots[one.slot], items[one.slot]) for one in wrong[:_WRONG_SHOWN])
    return Need(
        skill=skill,
        lost=sum(lost.values(), Fraction(0)),
        of=sum((one.points for one in answers), Fraction(0)),
        wrong=shown,
        mistake=mistake,
        model=model.id if model else "",
        taught=taught,
        mistake_taught=where_mistake_taught(mistake.fault, taught) if mistake and taught else None,
    )


def _rank(mark: PartMark, lost: Mapping[tuple[int, str], Fraction]) -> tuple[Fraction, bool, bool]:
    """What lost most first; of the same loss what can be explained, then what was typed."""
    return -lost[mark.slot, mark.part], not _sure(mark), not mark.typed


def _shown(mark: PartMark, slot: Slot, item: SealedItem) -> WrongAnswer:
    part = next(one for one in item.record["parts"] if one["name"] == mark.part)
    model = bank().get(item.model_id)
    cause = _sure(mark)
    step = _step_words(model, cause["step"] or cause["given"]) if model and cause else ""
    return WrongAnswer(slot.place(mark.part), part["asked"], mark, part["answer"], step)


def _step_words(model: ItemModel, name: str) -> str:
    words = {step.name: step.says for step in model.steps}
    words |= {given: one.says for given, one in model.givens.items() if given not in words}
    return words.get(name) or ""


def _sure(mark: PartMark) -> Mapping[str, Any] | None:
    """The one mistake that explains an answer, None where there is none or several do."""
    return next((cause for cause in mark.causes if cause["certain"]), None)


def _mistake(wrong: Iterable[PartMark]) -> Mistake | None:
    known = [cause for one in wrong if (cause := _sure(one))]
    counted = Counter(Mistake(one["fault"], one["step"] or "", one["given"] or "") for one in known)
    return counted.most_common(1)[0][0] if counted else None


def _practiced(item: SealedItem) -> ItemModel | None:
    """The bank's item model for practice: the very one, else of its skill, else of its topic."""
    models = bank()
    if item.model_id in models:
        return models[item.model_id]
    skill, topic = item.record["skill"], item.record["topic"]
    same = [one for one in models.values() if skill == one.skill]
    near = same or [one for one in models.values() if topic == one.topic]
    return min(near, key=lambda one: one.order, default=None)
