"""Whether a hand-in is late, where its time doesn't tell: a person decides, and until then nothing is taken off."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace

from calclib.collecting.notebooks_to_mark import HandedIn
from calclib.collecting.receipts import Receipt
from calclib.records.lateness import days_late
from calclib.records.rulings.ruling import Ruling
from calclib.records.sealed import SealedSet


@dataclass(frozen=True)
class Settled:
    """When a notebook was handed in, as a person decided; None for in time, whenever it was."""

    time: dt.datetime | None


def is_open(sealed: SealedSet, due: dt.datetime | None, receipt: Receipt) -> bool:
    """Tell whether the time of a hand-in leaves it open if it is late.

    A hand-in of which the time isn't believed came between the set's going out and its collecting: where both are as
    late, or neither is, nothing is open. A hand-in that the system it came from marks as late, and that would be in
    time by its file, is open too.
    """
    if due is None:
        return False
    if receipt.doubt:
        return days_late(due, dt.datetime.fromisoformat(sealed.handed_out)) != days_late(due, receipt.time)
    return receipt.marked_late and receipt.time <= due


def settled_by(rulings: Iterable[Ruling], pseudonym: str, submission: str, collected: dt.datetime) -> Settled | None:
    """Return what a person decided on the time of a notebook, None for nothing.

    Args:
        rulings: The rulings in force, in their order.
        pseudonym: The student.
        submission: SHA-256 of the notebook.
        collected: When it was collected: a ruling for everyone is on what was there.
    """
    found = None
    for ruling in rulings:
        if ruling.kind == "time" and ruling.pseudonym in ("", pseudonym):
            here = ruling.value.get("submission", submission) == submission
            if here and (
                ruling.pseudonym or collected <= dt.datetime.fromisoformat(ruling.at) + dt.timedelta(seconds=1)
            ):
                text = ruling.value["time"]
                found = Settled(dt.datetime.fromisoformat(text) if text else None)
    return found


def with_settled_time(
    sealed: SealedSet, due: dt.datetime | None, one: HandedIn, submission: str, rulings: Iterable[Ruling]
) -> tuple[HandedIn, bool]:
    """Return a hand-in with the time that counts, None where that isn't known, and whether a person must decide.

    Args:
        sealed: The set.
        due: By when the attempt is due for the student, None for no time.
        one: The hand-in.
        submission: SHA-256 of the notebook.
        rulings: The rulings in force, in their order.
    """
    receipt = one.receipt
    mine = settled_by(rulings, one.paper.pseudonym, submission, receipt.collected if receipt else _LONG_AGO)
    questioned = receipt is not None and is_open(sealed, due, receipt)
    if mine is not None and (questioned or mine.time is not None):
        return replace(one, time=mine.time), False
    return (replace(one, time=None), True) if questioned else (one, False)


_LONG_AGO = dt.datetime(1, 1, 1, tzinfo=dt.UTC)
