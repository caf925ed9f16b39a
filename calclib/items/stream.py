"""A stream of choices that a text alone decides, the same on every machine and version."""

from __future__ import annotations

import hashlib


class ChoiceStream:
    """Whole numbers below given bounds, derived from a text by SHA-256.

    Args:
        text: The seed; equal texts give equal streams.
    """

    def __init__(self, text: str) -> None:
        self._key = hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
        self._block = 0
        self._bits = 0
        self._left = 0

    def below(self, bound: int) -> int:
        """Return the next number from 0 to `bound` - 1, each equally likely."""
        bits = max(1, (bound - 1).bit_length())
        while True:
            value = self._take(bits)
            if value < bound:
                return value

    def _take(self, bits: int) -> int:
        while self._left < bits:
            block = hashlib.sha256(self._key + self._block.to_bytes(8, "big")).digest()
            self._bits |= int.from_bytes(block, "big") << self._left
            self._left += 256
            self._block += 1
        value = self._bits & ((1 << bits) - 1)
        self._bits >>= bits
        self._left -= bits
        return value
