"""How much may be read out of what one student handed in, or out of one zip: files, bytes and time."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

MOST_NOTEBOOKS = 1_000
MOST_BYTES = 50_000_000
# By bytes and number it takes a few seconds; whatever else may be slow ends here.
_MOST_SECONDS = 120
# Notebooks get some ten times smaller when they are packed.
_TIMES_PACKED = 30


@dataclass
class Budget:
    """What is left; counted over all that is read, whatever it is called and however deep it lies.

    Attributes:
        files: Number of notebooks.
        bytes: Number of bytes.
        until: When to stop, by the clock of the process.
    """

    files: int = MOST_NOTEBOOKS
    bytes: int = MOST_BYTES
    until: float = field(default_factory=lambda: time.monotonic() + _MOST_SECONDS)

    def one_more(self) -> bool:
        """Take one notebook off, and tell whether it may be read at all."""
        self.files -= 1
        return self.files >= 0 and self.bytes > 0 and time.monotonic() < self.until

    def take(self, count: int) -> bool:
        """Take bytes off, and tell whether they were left."""
        self.bytes -= count
        return self.bytes >= 0


def budget_of_zip(size: int) -> Budget:
    """Return what may come out of a zip of so many bytes."""
    return Budget(files=100_000, bytes=max(MOST_BYTES, _TIMES_PACKED * size), until=float("inf"))
