"""Why a student's marks change although the notebook is the same, from what the set was marked by before and now."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Any

from sqlalchemy import Connection, select

from calclib.records.history import EventKind
from calclib.records.rulings.ruling import Ruling
from calclib.records.sealed import SealedSet
from calclib.records.tables import HISTORY


class CauseKind(StrEnum):
    """What a change of marks comes from; its words have the same names."""

    LATENESS = "lateness"
    CUT_SCORE = "cut_score"
    OTHER_ATTEMPT = "other_attempt"
    RULINGS = "rulings"
    HAND_IN = "hand_in"
    PICTURES = "pictures"
    PROGRAM = "program"
    RECORDED_OTHERWISE = "recorded_otherwise"


@dataclass(frozen=True)
class ChangeCause:
    """One thing that a change comes from.

    Attributes:
        kind: What it is.
        made: Numbers of rulings that hold now and didn't before.
        withdrawn: Numbers of rulings that held before.
        late_before: The share that was lost for being late.
        late_after: The share that is lost now.
        keep: Which attempt counts, by the rule of the set.
    """

    kind: CauseKind
    made: tuple[int, ...] = ()
    withdrawn: tuple[int, ...] = ()
    late_before: Fraction = Fraction(0)
    late_after: Fraction = Fraction(0)
    keep: str = ""


@dataclass(frozen=True)
class MarkedBefore:
    """What a set was marked by the last time; nothing where it wasn't marked yet.

    Attributes:
        rulings: The numbers of the rulings that held.
        library: The version of this program.
        cut_score: The cut score, None if it isn't known.
        pictures: A sign of the pictures that were no student's own, "" for none.
    """

    rulings: frozenset[int]
    library: str
    cut_score: Fraction | None
    pictures: str = ""


def sign_of(pictures: frozenset[str]) -> str:
    """Return a short sign of pictures, "" for none.

    Args:
        pictures: The signs of those that are no student's own.
    """
    return hashlib.sha256(" ".join(sorted(pictures)).encode()).hexdigest()[:12] if pictures else ""


def marked_before(connection: Connection, set_name: str) -> MarkedBefore:
    """Return what a set was marked by the last time, by its history."""
    wanted = select(HISTORY.c.detail).where(HISTORY.c.set_name == set_name, HISTORY.c.event == EventKind.MARKED.value)
    last = connection.execute(wanted.order_by(HISTORY.c.id.desc()).limit(1)).scalar()
    detail: Mapping[str, Any] = json.loads(last) if last else {}
    numbers = str(detail.get("rulings", "")).replace(",", " ").split()
    cut = detail.get("cut_score")
    return MarkedBefore(
        frozenset(map(int, numbers)),
        str(detail.get("library", "")),
        Fraction(cut) if cut is not None else None,
        str(detail.get("pictures", "")),
    )


@dataclass(frozen=True)
class CauseFinder:
    """Finds what changes of marks come from.

    Attributes:
        before: What the set was marked by the last time.
        sealed: The set as it counts now.
        rulings: The rulings in force.
        library: The version of this program.
        pictures: The signs of pictures that are no student's own.
    """

    before: MarkedBefore
    sealed: SealedSet
    rulings: Sequence[Ruling]
    library: str
    pictures: frozenset[str] = frozenset()

    def causes(
        self,
        pseudonym: str,
        slots: frozenset[int],
        *,
        late: tuple[Fraction | None, Fraction],
        other_attempt: bool,
        taken: bool,
    ) -> tuple[ChangeCause, ...]:
        """Return what one student's change comes from, never nothing.

        Args:
            pseudonym: The student.
            slots: The problems of which an answer has other marks.
            late: The share lost for being late before and now; None where it isn't known.
            other_attempt: Whether another attempt counts than before.
            taken: Whether a ruling takes another hand-in.
        """
        found = []
        if taken:
            found.append(ChangeCause(CauseKind.HAND_IN))
        if late[0] is not None and late[0] != late[1]:
            found.append(ChangeCause(CauseKind.LATENESS, late_before=late[0], late_after=late[1]))
        if self.before.cut_score not in (None, self.sealed.cut_score):
            found.append(ChangeCause(CauseKind.CUT_SCORE))
        now = {ruling.number for ruling in self.rulings if self._concerns(ruling, pseudonym, slots)}
        every = {ruling.number for ruling in self.rulings}
        made, withdrawn = sorted(now - self.before.rulings), sorted(self.before.rulings - every)
        if made or withdrawn:
            found.append(ChangeCause(CauseKind.RULINGS, made=tuple(made), withdrawn=tuple(withdrawn)))
        if other_attempt:
            found.append(ChangeCause(CauseKind.OTHER_ATTEMPT, keep=self.sealed.keep))
        if not found and self.before.pictures != sign_of(self.pictures):
            found.append(ChangeCause(CauseKind.PICTURES))
        if not found and self.before.library not in ("", self.library):
            found.append(ChangeCause(CauseKind.PROGRAM))
        return tuple(found) or (ChangeCause(CauseKind.RECORDED_OTHERWISE),)

    def _concerns(self, ruling: Ruling, pseudonym: str, slots: frozenset[int]) -> bool:
        """Whether a ruling may change this student's marks: a void problem changes everyone's share."""
        if ruling.pseudonym not in ("", pseudonym):
            return False
        return ruling.kind == "void" or not ruling.problems or bool(slots & set(ruling.problems))
