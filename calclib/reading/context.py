"""What a problem says of words that could mean several things without it."""

from __future__ import annotations

from dataclasses import dataclass

from calclib.reading.vocabulary import MEANINGS


@dataclass(frozen=True)
class Context:
    """The problem that a text answers, as far as it tells how a word is meant.

    Attributes:
        units: Unit symbols that occur in the problem, such as "cup".
        names: Words in lower case that name a drug or fluid of the problem.
        setup: Whether a set-up is typed, in which m may be meters.
        percent: Whether a percent strength is asked, so that 1:1,000 is 1 g in 1,000 mL.
        ordered: Whether an order or a label is read, as a teacher types one, and no answer: then only what an order may
            say is read.
    """

    units: frozenset[str] = frozenset()
    names: frozenset[str] = frozenset()
    percent: bool = False
    setup: bool = False
    ordered: bool = False

    def meaning(self, word: str) -> str | None:
        """The unit that an unclear word stands for here; None unless exactly one of its meanings is in the problem."""
        meanings = MEANINGS.get(word) or MEANINGS.get(word.lower(), {})
        found = [unit for unit, shown_by in meanings.items() if not self.units.isdisjoint(shown_by)]
        if len(found) != 1 or found[0] == "million" or (found[0] == "m" and not self.setup):
            return None  # 1.9 m where m2 is asked is no answer in meters
        return found[0]


NO_CONTEXT = Context()
