"""What one mistake leads to in one part, and the mistakes of a record, made when they are first looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import Any, NamedTuple, overload

from calclib.items.recorded.recorded_numbers import (
    damaged,
    number_or_none,
    number_text,
)
from calclib.wording.facts import Fact, fact_from_record
from calclib.wording.sentences import sentence


class FaultResult(NamedTuple):
    """The number to which one fault, or several that come to the same, leads in one part.

    Args:
        fault: The kind of the likeliest fault.
        step: The step in which it is made.
        given: The given, conversion or term that it concerns.
        what: What was done, as a fact of `mistake.toml`.
        value: The exact value in the part's unit; minutes for a time of day; None for a choice.
        written: The value as a student who rounds by the rule would write it.
        choice: The choice to which it leads.
        hard: Whether it leads to another answer than the key.
        also: Kinds of other faults that lead to the very same number whatever is drawn.
        spare: Whether it is named where it fits, but is too rare to refuse a draw for.
    """

    fault: str
    step: str
    given: str
    what: Fact
    value: Fraction | None
    written: Fraction | None
    choice: str | None
    hard: bool
    also: tuple[str, ...] = ()
    spare: bool = False

    @property
    def says(self) -> str:
        """A clause that can follow “It looks like”."""
        return sentence(self.what)


class RecordedFaults(Sequence[FaultResult]):
    """Faults as a record lists them, made when they are first looked at: a right answer needs none of them."""

    __slots__ = ("_made", "_rows")

    def __init__(self, rows: Sequence[Sequence[Any]] | Callable[[], Sequence[Sequence[Any]]]) -> None:
        if not (isinstance(rows, list) or callable(rows)):
            raise TypeError("faults must be a list")
        # Faults are two thirds of a record, so whoever reads records may leave them to be decoded here.
        self._rows: list[Sequence[Any]] | Callable[[], Sequence[Sequence[Any]]] = rows
        self._made: tuple[FaultResult, ...] | None = None

    def made(self) -> tuple[FaultResult, ...]:
        """Return the faults.

        Raises:
            BadInput: The record is damaged.
        """
        if self._made is None:
            try:
                self._made = tuple(map(fault_from_row, self._listed()))
            except (TypeError, ValueError, ZeroDivisionError) as error:
                raise damaged(error) from None
        return self._made

    def near(self, value: Fraction, step: Fraction) -> tuple[FaultResult, ...]:
        """Return the faults that lead to a number or no further than a step from it; the others are not made.

        Raises:
            BadInput: The record is damaged.
        """
        said, top, bottom = str(value), value.numerator, value.denominator
        wide, narrow = step.numerator * bottom, step.denominator
        found = []
        try:
            for row in self._listed():
                exact, written = row[4], row[5]
                if exact is not None and written != said:
                    over, slash, under = exact.partition("/")
                    below = int(under) if slash else 1
                    if abs(int(over) * bottom - top * below) * narrow > wide * below:
                        continue
                elif written is None:
                    continue
                found.append(fault_from_row(row))
        except (TypeError, ValueError, ZeroDivisionError) as error:
            raise damaged(error) from None
        return tuple(found)

    @overload
    def __getitem__(self, index: int) -> FaultResult: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[FaultResult, ...]: ...

    def __getitem__(self, index: int | slice) -> FaultResult | tuple[FaultResult, ...]:
        return self.made()[index]

    def __iter__(self) -> Iterator[FaultResult]:
        return iter(self.made())

    def __len__(self) -> int:
        return len(self.made())

    def _listed(self) -> Sequence[Sequence[Any]]:
        if callable(self._rows):
            self._rows = list(self._rows())
        return self._rows

    def __eq__(self, other: object) -> bool:
        if isinstance(other, RecordedFaults):
            return self.made() == other.made()
        return self.made() == other if isinstance(other, tuple) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.made())


def fault_row(f: FaultResult) -> list[Any]:
    """Return a mistake as a record lists it."""
    row = [
        f.fault,
        f.step,
        f.given,
        f.what.to_record(),
        number_text(f.value),
        number_text(f.written),
        f.choice,
        f.hard,
        list(f.also),
    ]
    return [*row, True] if f.spare else row


def fault_from_row(row: Sequence[Any]) -> FaultResult:
    """Return the mistake that `fault_row` listed."""
    f, s, g, what, v, w, c, hard, also, *spare = row
    return FaultResult(
        f, s, g, fact_from_record(what), number_or_none(v), number_or_none(w), c, hard, tuple(also), *spare
    )
