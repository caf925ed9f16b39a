"""Which choices students picked: how often each wrong one drew somebody."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from calclib.answers.typed_reading import read_part
from calclib.items import item_from_record
from calclib.reading import Reading
from calclib.records import PartMark, SealedPaper


@dataclass(frozen=True)
class Picked:
    """What one student picked.

    Attributes:
        slot: The problem.
        part: The part of it.
        choice: The choice that was picked.
        right: The choice that is right for the student's numbers.
        offered: All choices.
    """

    slot: int
    part: str
    choice: str
    right: str
    offered: tuple[str, ...]


@dataclass(frozen=True)
class Distractor:
    """A choice, as those saw it for whom it was wrong.

    Attributes:
        slot: The problem.
        part: The part of it.
        choice: The choice.
        picked: How many picked it.
        of: For how many it was wrong.
    """

    slot: int
    part: str
    choice: str
    picked: int
    of: int


def picked_choices(paper: SealedPaper, marks: Iterable[PartMark]) -> Iterator[Picked]:
    """Yield what one student picked; an answer that could not be read as a choice is none.

    Args:
        paper: What was handed out to the student.
        marks: The marks of the student's answers.
    """
    typed = {(mark.slot, mark.part): mark.typed for mark in marks}
    for one in paper.items:
        if not any(part.get("choices") for part in one.record["parts"]):
            continue
        item = item_from_record(one.record)
        for part in item.parts:
            if part.kind != "choice" or not part.accepted_choice:
                continue
            reading = read_part(item, part, typed.get((one.slot, part.name), ""))
            if isinstance(reading, Reading) and reading.choice:
                yield Picked(one.slot, part.name, reading.choice, part.accepted_choice, tuple(part.choices))


def distractors(picked: Iterable[Picked]) -> tuple[Distractor, ...]:
    """Return how often each wrong choice was picked, the most tempting of a part first.

    Which choice is right depends on a student's numbers, so that a choice is counted for those alone for whom it was
    wrong. One that hardly anybody picks (below 5%: Haladyna and Downing, from memory) does no work.

    Args:
        picked: What the students of a class picked.
    """
    counts: Counter[tuple[int, str, str]] = Counter()
    of: Counter[tuple[int, str, str]] = Counter()
    for one in picked:
        for choice in one.offered:
            if choice != one.right:
                of[one.slot, one.part, choice] += 1
        if one.choice != one.right:
            counts[one.slot, one.part, one.choice] += 1
    found = [Distractor(*key, counts[key], of[key]) for key in of | counts]
    return tuple(sorted(found, key=lambda one: (one.slot, one.part, -one.picked, one.choice)))
