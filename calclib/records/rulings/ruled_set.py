"""A set as it counts now: as it was handed out, with what rulings change of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

from calclib.records.rulings.ruling import Ruling, keying
from calclib.records.sealed import SealedSet


def as_ruled(sealed: SealedSet, rulings: Iterable[Ruling]) -> SealedSet:
    """Return a set as it counts now: a question that was declared void has no points, another policy marks it.

    Args:
        sealed: The set as it was handed out.
        rulings: The rulings in force.
    """
    known = tuple(rulings)
    void = [ruling for ruling in known if ruling.kind == "void"]
    slots = tuple(
        replace(
            slot,
            points={
                part: Fraction(0) if any(ruling.covers(slot.number, part, "") for ruling in void) else points
                for part, points in slot.points.items()
            },
        )
        for slot in sealed.slots
    )
    policies = [ruling.value for ruling in known if ruling.kind == "marking"]
    if policies:
        sealed = replace(sealed, marking=policies[-1]["policy"], marking_hash=policies[-1]["hash"])
    return with_rounding_in_force(replace(sealed, slots=slots), known)


def with_rounding_in_force(sealed: SealedSet, rulings: Iterable[Ruling]) -> SealedSet:
    """Return a set with the rounding policy by which it is keyed now.

    Args:
        sealed: The set.
        rulings: The rulings in force.
    """
    ruling = keying(rulings).rounding
    if ruling is None:
        return sealed
    return replace(sealed, rounding=ruling.value["policy"], rounding_hash=ruling.value["hash"])
