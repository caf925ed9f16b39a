"""The givens of an item model file: kinds, units, how they are drawn and stated, and the columns of rows."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from calclib.errors.messages import BadInput
from calclib.models.devices import LEVEL
from calclib.models.draws import check_kind, drawn, texts_or_row
from calclib.models.model import Draw, Formula, FromRow, GivenModel, TableRow
from calclib.models.stated import fits
from calclib.quantity.kinds import is_number
from calclib.quantity.units import Unit, parse_unit
from calclib.wording.facts import fact

NAME = re.compile(r"[a-z][a-z0-9_]{0,40}")
"""What a given, a constant, a column or a step may be called."""

ROLES = ("stated", "distractor", "hidden")


class GivenReader:
    """Reads one given after another.

    Args:
        at: Told what is read and where it stands in the file; returns the line.
        rows: The rows of each table.
        places: Where in the file each row of a table stands.
    """

    def __init__(
        self,
        at: Callable[..., int | None],
        rows: Mapping[str, Sequence[Mapping[str, Any]]],
        places: Mapping[str, Sequence[int]],
    ) -> None:
        self.at = at
        self.rows = rows
        self.places = places
        self.columns: dict[str, tuple[str, ...]] = {}

    def named_given(self, name: str, fields: Mapping[str, Any]) -> dict[str, GivenModel]:
        """Return a given by its name, and with one of kind row each of its columns.

        Args:
            name: The name.
            fields: What the file says of it.

        Raises:
            BadInput: A field doesn't fit; the line is that which was told last.
        """
        line = self.at(fact("errors_models.in_given", name=name), "given", name)
        if not NAME.fullmatch(name):
            raise BadInput(fact("errors_models.name_of_given", name=name))
        return self._given(name, fields, line)

    def _given(self, name: str, fields: Mapping[str, Any], line: int | None) -> dict[str, GivenModel]:
        kind = fields["kind"]
        says = fields.get("says", name.replace("_", " "))
        check_kind(fact("errors_models.given", name=name), kind)
        if kind == "row":
            return self._row_given(name, fields, says, line)
        if is_number(kind) and "unit" not in fields:
            raise BadInput(fact("errors_models.unit_of_given_missing", name=name))
        unit = parse_unit(fields["unit"], kind if kind != "number" else None) if is_number(kind) else None
        role = fields.get("role", "stated")
        if role not in ROLES:
            raise BadInput(fact("errors_models.role", name=name, known=tuple(ROLES)))
        self.at(fact("errors_models.in_given", name=name), "given", name, "draw")
        given = GivenModel(
            name,
            kind,
            unit,
            self._draw(name, fields["draw"], unit, kind),
            self._forms(fields.get("forms", ()), unit),
            role,
            texts_or_row(fields.get("mistaken", ())),
            says,
            line,
            fields.get("drawn_on", ""),
            fields.get("reads", LEVEL),
        )
        if isinstance(given.draw, Formula) and unit is None:
            raise BadInput(fact("errors_models.no_formula_for", name=name, given_kind=kind))
        if unit is not None and not fits(given):
            self.at(fact("errors_models.in_given", name=name), "given", name, "unit")
            raise BadInput(fact("errors_models.no_unit_of", name=name, unit=str(unit), given_kind=kind))
        return {name: given}

    def _row_given(self, name: str, fields: Mapping[str, Any], says: str, line: int | None) -> dict[str, GivenModel]:
        table = fields["draw"]
        if not isinstance(table, str) or table not in self.rows:
            raise BadInput(fact("errors_models.no_table", name=name, table=table))
        result = {name: GivenModel(name, "row", None, TableRow(table), says=says, line=line)}
        for column, what in fields["columns"].items():
            self.columns[name] = (*self.columns.get(name, ()), column)
            if not NAME.fullmatch(column):
                raise BadInput(fact("errors_models.name_of_column", name=name, column=column))
            kind, _, unit_text = what.partition(" ")
            if kind in ("draw", "forms"):
                continue
            check_kind(fact("errors_models.column", name=name, column=column), kind)
            unit = parse_unit(unit_text, kind) if is_number(kind) else None
            full = f"{name}.{column}"
            words = column.replace("_", " ")
            result[full] = GivenModel(full, kind, unit, FromRow(name, column), role="column", says=words, line=line)
        for number, row in enumerate(self.rows[table]):
            missing = set(fields["columns"]) - set(row)
            if missing:
                self.at(
                    fact("errors_models.in_table", table="table", name=table),
                    "table",
                    table,
                    self.places[table][number],
                )
                raise BadInput(
                    fact("errors_models.row_lacks", table=table, number=number + 1, missing=tuple(sorted(missing)))
                )
        return result

    def _forms(self, forms: Any, unit: Unit | None) -> tuple[str, ...] | FromRow:
        if isinstance(forms, str):
            return FromRow(*forms.split("."))
        return tuple(forms) or ((str(unit),) if unit is not None else ())

    def _draw(self, name: str, draw: Any, unit: Unit | None, kind: str) -> Draw:
        if isinstance(draw, str):
            row, dot, column = draw.partition(".")
            if not dot:
                raise BadInput(fact("errors_models.draw_of_text", name=name, draw=draw))
            return FromRow(row, column)
        return drawn(name, draw, unit, kind)
