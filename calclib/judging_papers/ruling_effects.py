"""Rulings applied while a paper is judged: what is accepted before, what an answer is worth after."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from calclib.records.part_marks import Fails, PartMark
from calclib.records.rulings.ruling import Ruling, typed_hash
from calclib.wording.facts import Fact, fact

if TYPE_CHECKING:
    from calclib.items import Item, ItemPart

_ACCEPTING = ("within", "between")


def accepting_by_rulings(item: Item, slot: int, rulings: Iterable[Ruling], pseudonym: str) -> Item:
    """Return an item that accepts what rulings accept beside its own answers.

    Args:
        item: The recorded item.
        slot: Its place in the set.
        rulings: The rulings in force.
        pseudonym: The student whose item it is.
    """
    known = [ruling for ruling in rulings if ruling.kind in _ACCEPTING and ruling.slot == slot]
    if not known:
        return item
    parts = []
    for part in item.parts:
        here = [ruling for ruling in known if ruling.covers(slot, part.name, pseudonym)]
        parts.append(_accepting(part, here) if here and part.kind == "quantity" and part.key is not None else part)
    return item._replace(parts=tuple(parts))


def _accepting(part: ItemPart, rulings: list[Ruling]) -> ItemPart:
    from calclib.items.item import Accepted

    assert part.key is not None
    more = []
    for ruling in rulings:
        by = _way(ruling)
        if ruling.kind == "between":
            more.append(Accepted(Fraction(ruling.value["low"]), Fraction(ruling.value["high"]), by))
        else:
            amount = Fraction(ruling.value["amount"])
            width = abs(part.key) * amount / 100 if ruling.value.get("percent") else amount
            more.append(Accepted(part.key - width, part.key + width, by))
    return part._replace(accepted=(*part.accepted, *more))


def ruled(mark: PartMark, rulings: Iterable[Ruling], pseudonym: str) -> PartMark:
    """Return a mark as the rulings in force leave it, the later one over the earlier.

    Args:
        mark: The mark of the judge.
        rulings: The rulings in force, in the order in which they were made.
        pseudonym: The student.
    """
    for ruling in rulings:
        if ruling.kind == "leave" and ruling.pseudonym == pseudonym and mark.verdict == "set_aside":
            mark = _noted(mark._replace(score=Fraction(0), needs_person=False), ruling)
        if ruling.covers(mark.slot, mark.part, pseudonym):
            mark = _ruled_once(mark, ruling)
    return mark


def _ruled_once(mark: PartMark, ruling: Ruling) -> PartMark:
    if ruling.kind == "void":
        return _noted(mark._replace(points=Fraction(0), score=Fraction(0), fails="nothing", needs_person=False), ruling)
    if ruling.kind == "credit":
        return _noted(mark._replace(score=Fraction(1), fails="nothing", needs_person=False), ruling)
    if ruling.kind == "text" and _plain(mark.typed) == _plain(ruling.value["text"]):
        return _noted(_right(mark), ruling)
    if ruling.kind in _ACCEPTING and mark.detail.get("accepted_by") == _way(ruling).to_record():
        return _noted(mark, ruling)
    if ruling.kind == "answer":
        return _answer(mark, ruling)
    if ruling.kind == "failing":
        return _failing(mark, ruling)
    # The item was re-keyed by it before it was judged.
    return _noted(mark, ruling) if ruling.kind == "model" else mark


def _failing(mark: PartMark, ruling: Ruling) -> PartMark:
    """Whether an error fails the whole set is a person's to say, of the text that the person saw."""
    if typed_hash(ruling.pseudonym, mark.typed) != ruling.value["typed"]:
        return _passed_over(mark, ruling)
    if not may_fail_the_set(mark):
        return mark
    outcome = ruling.value["outcome"]
    fails = Fails.EXAM if outcome == "confirmed" else Fails.NOTHING
    return _noted(mark._replace(fails=fails, detail={**mark.detail, "failure": outcome}), ruling)


def may_fail_the_set(mark: PartMark) -> bool:
    """Return whether an answer has an error that fails the whole set by the marking policy, whatever a person said."""
    return mark.fails in (Fails.EXAM, Fails.EXAM_WAITS) or (not mark.score and "failure" in mark.detail)


def _passed_over(mark: PartMark, ruling: Ruling) -> PartMark:
    return mark._replace(detail={**mark.detail, "ruling_passed_over": ruling.number})


def _answer(mark: PartMark, ruling: Ruling) -> PartMark:
    if typed_hash(ruling.pseudonym, mark.typed) != ruling.value["typed"]:
        return _passed_over(mark, ruling)
    if not mark.points:
        return mark
    score = min(Fraction(ruling.value["points"]) / mark.points, Fraction(1))
    fails = "nothing" if score else mark.fails
    return _noted(mark._replace(score=score, fails=fails, needs_person=False), ruling)


def _right(mark: PartMark) -> PartMark:
    detail = {
        **mark.detail,
        "verdict": "right",
        "right": True,
        "causes": [],
        "told": [fact("verdict.right").to_record()],
    }
    return mark._replace(
        verdict="right",
        right=True,
        critical=False,
        fails="nothing",
        score=Fraction(1),
        needs_person=False,
        causes=(),
        detail=detail,
    )


def _noted(mark: PartMark, ruling: Ruling) -> PartMark:
    """The ruling goes with the mark, for feedback and explanation."""
    note: dict[str, Any] = {"number": ruling.number, "kind": ruling.kind}
    return mark._replace(detail={**mark.detail, "rulings": [*mark.detail.get("rulings", ()), note]})


def rulings_noted(mark: PartMark, rulings: Iterable[Ruling]) -> tuple[Ruling, ...]:
    """Return the rulings that made a mark what it is.

    Args:
        mark: The recorded mark.
        rulings: The rulings of the set.
    """
    by_number = {ruling.number: ruling for ruling in rulings}
    noted = (note["number"] for note in mark.detail.get("rulings", ()))
    return tuple(by_number[number] for number in noted if number in by_number)


def _way(ruling: Ruling) -> Fact:
    return fact("way.ruling", number=ruling.number, at=ruling.at)


def _plain(text: str) -> str:
    return "".join(unicodedata.normalize("NFKC", text).casefold().split()).rstrip(".")
