"""Lookup: a value read from the row of a table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.factors import Env, Names, Value
from calclib.chains.step import Step, StepKind
from calclib.errors.messages import BadInput
from calclib.quantity.amounts import parse_amount
from calclib.quantity.enclosure import Exact
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Row:
    """One row: the words it is for, or the range from `start` to below `end` (with `closed` to `end` itself)."""

    equals: str | None
    start: Fraction | None
    end: Fraction | None
    value: Fraction
    closed: bool = False


@dataclass(frozen=True)
class Lookup(Step):
    """The value in the row that the key picks.

    Args:
        key: The name of the value that picks the row.
        rows: The rows of the table.
        shift: Rows by which the reading is off (0; a fault reads a neighbor).
    """

    key: str
    rows: tuple[Row, ...]
    shift: int = 0

    @property
    def inputs(self) -> tuple[str, ...]:
        """The name of the key."""
        return (self.key,)

    def evaluate(self, env: Env) -> Value:
        """Return the value in the key's row.

        Raises:
            BadInput: No row fits the key.
        """
        place = self.row_of(env[self.key]) + self.shift
        if not 0 <= place < len(self.rows):
            raise ZeroDivisionError("no neighboring row")
        return self.rows[place].value

    def row_of(self, key: Value) -> int:
        """Return the index of the row that a key picks.

        Raises:
            BadInput: No row fits the key.
        """
        for i, row in enumerate(self.rows):
            if row.equals is not None:
                if row.equals == key:
                    return i
            elif not isinstance(key, str) and _holds(row, key):
                return i
        raise BadInput(fact("errors_chains.no_row", key=self.key, value=str(key)))


def _holds(row: Row, key: Exact) -> bool:
    below = row.end is None or (key <= row.end if row.closed else key < row.end)
    return below and (row.start is None or key >= row.start)


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Lookup:
    """Return the step that `table` (rows), `key` and `column` describe.

    Raises:
        BadInput: The table is missing, or a row's units do not fit.
    """
    key_unit = names.unit(fields["key"])
    rows = []
    for row in fields["rows"]:
        if fields["column"] not in row:
            raise BadInput(fact("errors_chains.no_column", step=common["name"], column=fields["column"]))
        start = _number(row.get("from"), key_unit, common["name"])
        end = _number(row.get("below", row.get("upto")), key_unit, common["name"])
        value = _number(row[fields["column"]], common["unit"], common["name"])
        assert value is not None
        rows.append(Row(row.get("equals"), start, end, value, "upto" in row))
    return Lookup(**common, key=fields["key"], rows=tuple(rows))


def _number(text: str | int | None, unit: Unit, step: str) -> Fraction | None:
    if text is None:
        return None
    value, have = parse_amount(str(text))
    factor = Fraction(1) if not have.powers else bridge_factor(have, unit, {})
    if factor is None:
        raise BadInput(fact("errors_chains.unit_of_limit", step=step, text=text, unit=str(unit)))
    return value * factor


KIND = StepKind(compiled, frozenset({"table", "key", "column"}), frozenset({"rows"}))
