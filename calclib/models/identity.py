"""Large records as keys of caches."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

Record = TypeVar("Record")


@dataclass(frozen=True, eq=False)
class ByIdentity(Generic[Record]):
    """A record that is equal only to itself: hashing a whole item model would cost more than what is looked up."""

    record: Record

    def __hash__(self) -> int:
        return id(self.record)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ByIdentity) and self.record is other.record
