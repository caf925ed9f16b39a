"""What the proof of one item model found, as plain values that can be added up over several runs."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, fields
from fractions import Fraction

from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

ENOUGH_DIFFERENT = 500
MOST_DRAWS_PER_ITEM = 20
FULL_PROOF = 2_000
_SLACK = Fraction(4, 5)
"""Share of the expected number of different draws that a short proof asks for: draws are not equally likely."""


@dataclass(frozen=True)
class Shortfall:
    """One way in which a model falls short.

    Args:
        where: The model's file.
        line: The line of the file, None if it is the whole.
        what: What is wrong and how to mend it.
        kind: What is the same in all such causes of one line, whatever was drawn.
    """

    where: str
    line: int | None
    what: Fact
    kind: str = ""

    @property
    def cause(self) -> str:
        """What is wrong, in words."""
        return sentence(self.what)

    def __str__(self) -> str:
        place = self.where if self.line is None else f"{self.where}, line {self.line}"
        return f"{place}: {self.cause}"


@dataclass(frozen=True)
class ProofRow:
    """Counts of one model's draws.

    Args:
        where: The model's file.
        model: Its id, "" if the file could not be read.
        few: Why the model has few different draws, "" if it does not say so.
        few_line: The line where that would be said.
        seeds: Items that were asked for.
        accepted: Items that were drawn.
        tried: Draws that it took.
        implausible: Draws that a constraint refused or that could not be computed.
        unfair: Plausible draws in which legitimate ways lead to different answers.
        undiagnosable: Plausible and fair draws in which two mistakes lead to the same answer.
        sampled: Items that were looked at more closely.
        mistakes: Mistakes with an answer of their own, added up over the items looked at.
        nanoseconds: Processor time that the draws took.
        different: Marks of the different sets of numbers drawn.
        refused: How often each constraint refused a draw.
        collided: How often each reason made a draw unfair or not diagnosable.
        shortfalls: What was found wrong, each once.
        unsourced: How often an amount was drawn that no source limits, by drug, route and age group.
    """

    where: str
    model: str = ""
    few: str = ""
    few_line: int | None = None
    seeds: int = 0
    accepted: int = 0
    tried: int = 0
    implausible: int = 0
    unfair: int = 0
    undiagnosable: int = 0
    sampled: int = 0
    mistakes: int = 0
    nanoseconds: int = 0
    different: frozenset[str] = frozenset()
    refused: Counter[str] = field(default_factory=Counter)
    collided: Counter[str] = field(default_factory=Counter)
    shortfalls: tuple[Shortfall, ...] = ()
    unsourced: Counter[str] = field(default_factory=Counter)

    def __add__(self, other: ProofRow) -> ProofRow:
        """Return the row of both runs together; they must be of the same model."""
        sums = {
            f.name: getattr(self, f.name) + getattr(other, f.name)
            for f in fields(self)
            if f.type in ("int", "Counter[str]")
        }
        found = {(s.line, s.kind or s.what): s for s in (*other.shortfalls, *self.shortfalls)}
        return ProofRow(
            **{
                **{f.name: getattr(self, f.name) for f in fields(self)},
                **sums,
                "different": self.different | other.different,
                "shortfalls": tuple(found.values()),
            }
        )

    @property
    def draws_per_item(self) -> Fraction:
        """How many draws an accepted item takes."""
        return Fraction(self.tried, max(1, self.accepted))

    @property
    def plausible(self) -> Fraction:
        """Share of the draws that the constraints let pass."""
        return _share(self.tried - self.implausible, self.tried)

    @property
    def fair(self) -> Fraction:
        """Share of the plausible draws in which all legitimate ways lead to the key."""
        return _share(self.tried - self.implausible - self.unfair, self.tried - self.implausible)

    @property
    def diagnosable(self) -> Fraction:
        """Share of the plausible and fair draws in which each mistake has an answer of its own."""
        fair = self.tried - self.implausible - self.unfair
        return _share(fair - self.undiagnosable, fair)

    @property
    def milliseconds(self) -> Fraction:
        """Time for an accepted item."""
        return Fraction(self.nanoseconds, 1_000_000 * max(1, self.accepted))

    def verdict(self) -> tuple[Shortfall, ...]:
        """Return all in which the model falls short, the counts of all its draws included."""
        found = list(self.shortfalls)
        if not self.model:
            return tuple(found)
        # Where a mistake lets nothing be drawn at all, it is said already.
        if not self.accepted and (self.tried or not found):
            found.append(Shortfall(self.where, None, fact("errors_proving.no_fair_draw", hindrance=self._hindrance())))
        elif self.accepted and self.draws_per_item > MOST_DRAWS_PER_ITEM:
            draws = self.draws_per_item.__ceil__()
            what = fact("errors_proving.draws_of_item", draws=draws, hindrance=self._hindrance())
            found.append(Shortfall(self.where, None, what))
        needed = different_needed(self.accepted)
        if self.accepted and len(self.different) < needed and not self.few:
            found.append(
                Shortfall(
                    self.where,
                    self.few_line,
                    fact(
                        "errors_proving.too_few_numbers",
                        different=len(self.different),
                        items=self.accepted,
                        needed=needed,
                    ),
                )
            )
        return tuple(found)

    def _hindrance(self) -> Fact:
        """What refuses most draws."""
        reasons = self.refused + self.collided
        if not reasons:
            return fact("draw.no_short_form")
        reason, count = reasons.most_common(1)[0]
        return fact("errors_proving.most_often_of", count=count, tried=self.tried, reason=reason)


def _share(part: int, whole: int) -> Fraction:
    return Fraction(part, whole) if whole > 0 else Fraction(0)


def different_needed(items: int) -> int:
    """Return how many different sets of numbers so many items must have.

    A full proof must show 500. A shorter one must show most of those that 500 equally likely sets would give.
    """
    if items >= FULL_PROOF:
        return ENOUGH_DIFFERENT
    expected = ENOUGH_DIFFERENT * (1 - Fraction(ENOUGH_DIFFERENT - 1, ENOUGH_DIFFERENT) ** items)
    return (expected * _SLACK).__floor__()
