"""Large records as keys of caches."""

from __future__ import annotations

from typing import Generic, TypeVar

Record = TypeVar("Record")


class ByIdentity(Generic[Record]):
    """A record that is equal only to itself: hashing a whole item model would cost more than what is looked up."""

    __slots__ = ("record",)

    def __init__(self, record: Record) -> None:
        self.record = record

    def __hash__(self) -> int:
        return id(self.record)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ByIdentity) and self.record is other.record
