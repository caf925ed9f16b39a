"""The values to which ways of rounding on the way lead, worked out when they are first looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias, overload

from calclib.items.recorded.recorded_numbers import (
    damaged,
    exact_from_text,
)
from calclib.quantity.enclosure import Exact

Manner: TypeAlias = Literal["rounded", "cut off"]
"""How digits are dropped on the way."""


class WayValue(NamedTuple):
    """The exact value to which a rounding on the way leads, where the rounded answer alone is rounded by the rule.

    Args:
        value: The value in the part's unit, before it is rounded.
        step: The result or the conversion that was rounded, in words.
        manner: How digits were dropped; None where another rule says it.
        decimals: The digits after the point that were kept; None where another rule says it.
    """

    value: Exact
    step: str
    manner: Manner | None
    decimals: int | None


class WayValues(Sequence[WayValue]):
    """The ways of a part, made when they are first looked at: only a wrong answer and a record need them."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Iterable[WayValue]]) -> None:
        self._make: Callable[[], Iterable[WayValue]] | None = make
        self._made: tuple[WayValue, ...] = ()

    def made(self) -> tuple[WayValue, ...]:
        """Return the ways.

        Raises:
            BadInput: The record is damaged.
        """
        if self._make is not None:
            try:
                self._made = tuple(self._make())
            except (TypeError, ValueError, ZeroDivisionError) as error:
                raise damaged(error) from None
            self._make = None
        return self._made

    @overload
    def __getitem__(self, index: int) -> WayValue: ...

    @overload
    def __getitem__(self, index: slice) -> tuple[WayValue, ...]: ...

    def __getitem__(self, index: int | slice) -> WayValue | tuple[WayValue, ...]:
        return self.made()[index]

    def __iter__(self) -> Iterator[WayValue]:
        return iter(self.made())

    def __len__(self) -> int:
        return len(self.made())

    def __eq__(self, other: object) -> bool:
        return self.made() == tuple(other) if isinstance(other, (WayValues, tuple)) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.made())

    def __reduce__(self) -> tuple[type[tuple[WayValue, ...]], tuple[tuple[WayValue, ...]]]:
        return tuple, (self.made(),)


def ways_from_rows(rows: Sequence[Sequence[Any]]) -> WayValues:
    """Return the values that a record lists."""
    return WayValues(lambda: [WayValue(exact_from_text(value), step, how, kept) for value, step, how, kept in rows])
