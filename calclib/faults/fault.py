"""A fault: one definite mistake in carrying out a chain."""

from __future__ import annotations

from dataclasses import dataclass

from calclib.chains.chain import Edit
from calclib.wording.facts import Fact
from calclib.wording.sentences import sentence


@dataclass(frozen=True)
class Fault:
    """One mistake and what it changes.

    Args:
        kind: A word of `KINDS`.
        step: The step in which it is made ("" if a given was misread).
        given: The given, equivalence or term that it concerns ("" if none).
        what: What was done, as a fact of `mistake.toml`.
        edit: The change of the chain.
        spare: Whether it is named where it fits, but is too rare to refuse a draw on which another leads to its number.
    """

    kind: str
    step: str
    given: str
    what: Fact
    edit: Edit
    spare: bool = False

    @property
    def says(self) -> str:
        """A clause that can follow “It looks like”."""
        return sentence(self.what)


KINDS = (
    "conversion left out",
    "conversion inverted",
    "used unconverted",
    "strength inverted",
    "amount left out",
    "volume left out",
    "left out",
    "inverted",
    "divided the wrong way",
    "wrong value",
    "wrong given",
    "decimal slip",
    "term left out",
    "wrong sign",
    "one rate for all",
    "first rate only",
    "wrong row",
    "limit ignored",
    "rounded down",
    "root forgotten",
    "counted backwards",
    "clock as number",
    "wrong size",
    "decimal hours",
    "mark misjudged",
    "counted the wrong way",
    "wrong edge",
    "wrong end",
    "miscounted",
    "rounded early",
    "diluent for final volume",
    "percent misread",
    "day for dose",
    "part for rest",
    "change for new value",
    "hundred minutes",
    "twelve hours",
    "hour miscounted",
    "rest not taken",
    "counted in",
    "wrong factor",
    "wrong measure",
    "added for multiplied",
    "stopped early",
    "doses miscounted",
    "number restated",
    "rounded too far",
    "misread number",
    "sound order refused",
    "unsound order given",
    "other act",
    "finding missed",
    "finding imagined",
    "other finding",
)
"""The kinds of mistakes; `wording/english/fault_kind.toml` says what each is."""
