"""What a typed text is read as. The text itself is always kept."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.wording.facts import Fact
from calclib.wording.sentences import sentence

Unit = tuple[tuple[str, int], ...]
"""Unit words with exponents in the order typed: ``(("mL", 1), ("h", -1))``."""

LONGEST_ANSWER = 200
"""Characters of an answer that are looked at; a longer text goes before a person."""


@dataclass(frozen=True)
class Notice:
    """An unsafe way of writing that was found; `rule` names it in `notation.toml`."""

    rule: str


@dataclass(frozen=True)
class Reading:
    """One typed answer, read.

    Attributes:
        text: As typed.
        value: The number of a quantity; None for a clock time or a choice.
        decimals: Digits typed after the decimal point; None for fractions and arithmetic.
        unit: Unit words with exponents, mass words unresolved; () if none was typed.
        clock: Minutes after midnight, and days later if said.
        choice: The id of the choice.
        notices: Unsafe notation found.
        shown: How it was read, in safe notation.
    """

    text: str
    value: Fraction | None
    decimals: int | None
    unit: Unit
    clock: tuple[int, int | None] | None
    choice: str | None
    notices: tuple[Notice, ...]
    shown: str


@dataclass(frozen=True)
class Unread:
    """A text that has no single reading; `why` says why, `position` where (from 0, in `text`)."""

    text: str
    why: Fact
    position: int

    @property
    def reason(self) -> str:
        """Why, in one sentence."""
        return sentence(self.why)


@dataclass(frozen=True)
class Blank:
    """Nothing was answered."""

    text: str


class Unreadable(Exception):
    """Carries a reason and a place out of the grammar; never leaves this folder."""

    def __init__(self, why: Fact, position: int) -> None:
        super().__init__(why)
        self.why = why
        self.position = position
