"""How a class decided about orders: sound ones refused and unsound ones given, by reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from calclib.answers.typed_reading import read_part
from calclib.chains.kinds.decide import ACT, REASON
from calclib.items import Item, ItemPart, item_from_record
from calclib.reading import Reading
from calclib.records import PartMark, SealedPaper


@dataclass(frozen=True)
class DecisionCounts:
    """What a class did with orders.

    Attributes:
        sound: Acts on sound orders that could be read.
        refused: Of these, how many did something else than give it, by the reason that the student named ("" for none).
        unsound: Acts on orders that are to be held.
        given: Of these, how many gave it all the same, by the reason to hold it.
    """

    sound: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    unsound: int = 0
    given: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True)
class Decision:
    """One act on one order.

    Attributes:
        sound: Whether the order is sound.
        gave: Whether it was given.
        reason: The reason to hold it; where it is sound, the reason that the student named.
    """

    sound: bool
    gave: bool
    reason: str


def decisions_of(paper: SealedPaper, marks: Iterable[PartMark]) -> Iterator[Decision]:
    """Yield one student's decisions; an act that could not be read is none.

    Args:
        paper: What was handed out to the student.
        marks: The marks of the student's answers.
    """
    typed = {(mark.slot, mark.part): mark.typed for mark in marks}
    for one in paper.items:
        if not any(part.get("decides") for part in one.record["parts"]):
            continue
        item = item_from_record(one.record)
        parts = {part.decides: part for part in item.parts if part.decides}
        act, reason = parts.get(ACT), parts.get(REASON)
        chosen = _chosen(item, act, typed.get((one.slot, act.name), "")) if act else ""
        if act is None or not chosen:
            continue
        sound = act.accepted_choice == act.proceed
        named = _chosen(item, reason, typed.get((one.slot, reason.name), "")) if reason else ""
        right = reason.accepted_choice or "" if reason else ""
        yield Decision(sound, chosen == act.proceed, named if sound else right)


def _chosen(item: Item, part: ItemPart, typed: str) -> str:
    reading = read_part(item, part, typed)
    return (reading.choice or "") if isinstance(reading, Reading) else ""


def decision_counts(decisions: Iterable[Decision]) -> DecisionCounts:
    """Return how often sound orders were refused and unsound ones given, by reason.

    Args:
        decisions: The decisions of a class.
    """
    every = tuple(decisions)
    sound = [one for one in every if one.sound]
    unsound = [one for one in every if not one.sound]
    refused = Counter(one.reason for one in sound if not one.gave)
    return DecisionCounts(len(sound), refused, len(unsound), Counter(one.reason for one in unsound if one.gave))
