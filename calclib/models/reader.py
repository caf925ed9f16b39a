"""From the text of an item model file to an item model; mistakes are named with their line."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, TypeVar

from calclib.errors.file_lines import FileLines
from calclib.errors.messages import BadInput
from calclib.formulary.body import BODY, Body
from calclib.formulary.records import Review
from calclib.models.checks import model_mistakes
from calclib.models.conditions import read_condition
from calclib.models.file_shape import STEP, checked_file
from calclib.models.formula_numbers import with_formula_numbers
from calclib.models.formulary_rows import RowText, body_row, drugs_of, recorded_texts, with_rows
from calclib.models.given_reader import NAME, GivenReader
from calclib.models.model import (
    SET_ON,
    Condition,
    GivenModel,
    ItemModel,
    Level,
    PartModel,
    StepModel,
)
from calclib.models.orders import OrderModel, read_order
from calclib.models.papers import Paper, read_paper
from calclib.models.selection import FIELD, Selected, column_units, selected_rows
from calclib.quantity.amounts import parse_amount
from calclib.quantity.equivalences import equivalence
from calclib.quantity.units import Unit, parse_unit
from calclib.wording.facts import Fact, fact

T = TypeVar("T")
CHOICES = ("compare", "choose", "decide")
UNITLESS = (*CHOICES, "clock", "between")
"""Kinds of step that name no unit: a choice has none, times are counted in minutes."""

_PART = re.compile(r"[a-z][a-z0-9_]{0,39}")
_ID = re.compile(r"[a-z][a-z0-9-]{1,60}")


def read_item_model(text: str, where: str, row_text: RowText | None = None) -> ItemModel:
    """Return the item model that a file describes.

    The file may come from a stranger: nothing in it is evaluated, and its size, depth and numbers are bounded.

    Args:
        text: The text of the file, TOML.
        where: The file's name, for messages.
        row_text: For a recorded model, what finds the recorded text of a drug by its hash.

    Raises:
        BadInput: The file is too long, no TOML, or lacks or misuses a field; the line is named.
    """
    found = model_or_mistakes(text, where, row_text)
    if isinstance(found, ItemModel):
        return found
    raise found[0]


def model_or_mistakes(text: str, where: str, row_text: RowText | None = None) -> ItemModel | tuple[BadInput, ...]:
    """Return the item model that a file describes, or all that is wrong with it as far as it can be told apart.

    Args:
        text: The text of the file, TOML.
        where: The file's name, for messages.
        row_text: For a recorded model, what finds the recorded text of a drug by its hash.
    """
    try:
        file = checked_file(text, where)
    except BadInput as error:
        return (error,)
    if file.data is None:
        return file.mistakes
    try:
        data = with_formula_numbers(file.data, file.lines)
    except BadInput as error:
        return (*file.mistakes, BadInput(error.what, where=where, line=error.line))
    reader = _Reader(data, text, file.lines, set(file.unread), row_text)
    model = reader.model(whole=not file.mistakes)
    found = [BadInput(one.what, where=where, line=one.line) for one in reader.mistakes]
    return model if model and not file.mistakes and not found else (*file.mistakes, *found)


class _Reader:
    def __init__(
        self, data: Mapping[str, Any], text: str, lines: FileLines, unread: set[str], row_text: RowText | None
    ) -> None:
        self.data = data
        self.text = text
        self.lines = lines
        self.unread = unread
        self.row_text = row_text
        self.mistakes: list[BadInput] = []
        self.line: int | None = None
        self.doing = fact("errors_models.at_the_top")
        self.rows: dict[str, tuple[Mapping[str, Any], ...]] = {}
        self.places: dict[str, tuple[int, ...]] = {}
        self.selected: frozenset[str] = frozenset()
        self.recorded: Mapping[str, str] = {}
        self.body: Body | None = None

    def at(self, doing: Fact, *place: str | int) -> int | None:
        """Remember what is read and the line where it stands."""
        self.doing = doing
        self.line = self.lines.line(place)
        return self.line

    def tried(self, read: Callable[..., T], *of: Any) -> T | None:
        """What a function reads, None where that fails: then the mistake is noted."""
        try:
            return read(*of)
        except BadInput as error:
            self.mistakes.append(BadInput(error.what, line=error.line or self.line))
        except (KeyError, TypeError, AttributeError, ValueError, IndexError, RecursionError):
            self.mistakes.append(BadInput(fact("errors_models.wrong_form", place=self.doing), line=self.line))
        return None

    def each(self, kind: str, read: Callable[[int, Mapping[str, Any]], T]) -> tuple[T, ...]:
        """The steps, constraints or parts that can be read."""
        found = []
        for place, fields in enumerate(self.data.get(kind, ())):
            one = None if fields is None else self.tried(read, place, fields)
            if one is not None:
                found.append(one)
            elif fields is not None:
                self.unread.add(str(fields.get("name", kind)))
        return tuple(found)

    def model(self, *, whole: bool) -> ItemModel | None:
        """The model, as far as it can be read; what can't is noted, and what of it doesn't fit.

        Args:
            whole: Whether the file has the shape of an item model; else something is left out.
        """
        if whole:
            self.tried(self.head)
        recorded = self.data.get("formulary")
        texts = {} if recorded is None else self.tried(recorded_texts, dict(recorded), self.row_text) or {}
        self.recorded = {name: text for name, text in texts.items() if name != BODY}
        self.body = Body(texts[BODY]) if BODY in texts else None
        for name, rows in self.data.get("table", {}).items():
            self.at(fact("errors_models.in_table", table="table", name=name), "table", name)
            found_rows = self.tried(self.table_rows, name, rows)
            if found_rows is None:
                return None
            self.rows[name], self.places[name] = found_rows.rows, found_rows.places
            self.selected |= found_rows.drugs
        constants = self.constants()
        givens: dict[str, GivenModel] = {}
        reader = GivenReader(self.at, self.rows, self.places)
        for name, fields in self.data.get("given", {}).items():
            found = self.tried(reader.named_given, name, fields)
            givens.update(found or {})
            if found is None:
                columns = fields.get("columns", ())
                self.unread |= {name, *(f"{name}.{column}" for column in columns)}
        self.tried(self.states)
        return self.tried(self.fitting, constants, givens, reader.columns)

    def table_rows(self, name: str, rows: list[Mapping[str, Any]]) -> Selected:
        """The rows of a table, with those that it selects from the formulary."""
        if not any(FIELD in row for row in rows):
            return Selected(tuple(dict(row) for row in rows), tuple(range(len(rows))))
        units = column_units(self.data.get("given", {}), name)
        return selected_rows(rows, units, None if self.data.get("formulary") is None else self.recorded)

    def head(self) -> None:
        self.at(fact("errors_models.at_the_top"), "id")
        if not _ID.fullmatch(self.data["id"]):
            raise BadInput(fact("errors_models.id_not_in_kebab_case", id=self.data["id"]))
        self.at(fact("errors_models.at_the_top"), "version")
        if self.data["version"] < 1:
            raise BadInput(fact("errors_models.version"))

    def states(self) -> None:
        self.at(fact("errors_models.in_states"), "states")
        for name in self.data.get("states", ()):
            equivalence(name)

    def fitting(
        self,
        constants: dict[str, tuple[Fraction, Unit]],
        givens: dict[str, GivenModel],
        columns: Mapping[str, tuple[str, ...]],
    ) -> ItemModel:
        """The model; what of it doesn't fit is noted."""
        data = self.data
        orders = self.each("ordered", self.order)
        recorded = data.get("formulary")
        rows: Mapping[str, str] = recorded or {}
        text = self.text
        # What was recorded without rows of the formulary stays without: its items know it by the hash of that text.
        if recorded is None and self.row_text is None:
            drugs = drugs_of(orders, givens, self.rows, self.selected)
            rows = {**drugs, **(body_row() if orders else {})}
            text = with_rows(self.text, rows)
        model = ItemModel(
            id=data["id"],
            version=data["version"],
            title=data["title"],
            topic=data["topic"],
            skill=data["skill"],
            order=data["order"],
            sources=tuple(data["sources"]),
            caution=data.get("caution", ""),
            states=tuple(data.get("states", ())),
            stem=data["stem"].strip(),
            givens=givens,
            rows=self.rows,
            constants=constants,
            steps=self.each("step", self.step),
            where=self.each("where", self.condition),
            parts=self.each("part", self.part),
            text=text,
            hash=hashlib.sha256(text.encode()).hexdigest(),
            columns=columns,
            few=data.get("few", ""),
            words=self.tried(self.words, constants) or {},
            reviews=tuple(Review(row["by"], row["on"]) for row in data.get("reviewed", ())),
            orders=orders,
            formulary={name: digest for name, digest in rows.items() if name != BODY},
            recorded=self.recorded,
            body=self.body,
            body_row=rows.get(BODY, ""),
            places=self.places,
            papers=self.each("paper", self.paper),
            level=self.tried(self.level),
        )
        self.at(fact("errors_models.in_the_model"), "stem")
        self.mistakes += [
            BadInput(one.what, line=one.line or self.line)
            for one in model_mistakes(model, self.lines, frozenset(self.unread))
        ]
        return model

    def level(self) -> Level | None:
        """Where in training it belongs."""
        said = self.data.get("level")
        self.at(fact("errors_models.in_the_model"), "level")
        if said is not None and said not in list(Level):
            raise BadInput(fact("errors_models.no_level", known=tuple(Level), text=said), line=self.line)
        return Level(said) if said else None

    def constants(self) -> dict[str, tuple[Fraction, Unit]]:
        """The constants of the model and of its steps, by name."""
        places: list[tuple[str | int, ...]] = [("constants",)]
        places += [("step", number, "constants") for number, one in enumerate(self.data["step"]) if one is not None]
        result: dict[str, tuple[Fraction, Unit]] = {}
        for place in places:
            holder = self.data["step"][place[1]] if len(place) > 1 else self.data
            for name, text in holder.get("constants", {}).items():
                found = self.tried(self.constant, place, name, text)
                if found is None:
                    self.unread.add(name)
                else:
                    result[name] = found
        return result

    def words(self, constants: Mapping[str, object]) -> dict[str, str]:
        """What constants are called in a sentence, by name."""
        for name in (found := dict(self.data.get("words", {}))):
            self.at(fact("errors_models.in_table", table="words", name=name), "words", name)
            if name not in constants and name not in self.unread:
                raise BadInput(fact("errors_models.words_without_constant", name=name))
        return found

    def constant(self, place: tuple[str | int, ...], name: str, text: str) -> tuple[Fraction, Unit]:
        self.at(fact("errors_models.in_constant", name=name), *place, name)
        if not NAME.fullmatch(name):
            raise BadInput(fact("errors_models.name_of_constant", name=name))
        return parse_amount(text)

    def step(self, place: int, fields: Mapping[str, Any]) -> StepModel:
        name = fields["name"]
        line = self.at(fact("errors_models.in_table", table="step", name=name), "step", place)
        if not NAME.fullmatch(name):
            raise BadInput(fact("errors_models.name_of_step", name=name))
        rest = {k: v for k, v in fields.items() if k not in STEP}
        if fields["kind"] in ("lookup", "decide"):
            if rest.get("table") not in self.rows:
                raise BadInput(fact("errors_models.no_table_for_step", step=name, table=str(rest.get("table"))))
            rest["rows"] = self.rows[rest["table"]]
        if fields["kind"] not in UNITLESS and "unit" not in fields:
            raise BadInput(fact("errors_models.unit_of_step_missing", name=name))
        return StepModel(
            name,
            fields["kind"],
            fields.get("says", name.replace("_", " ")),
            self.step_unit(place, fields),
            fields.get("quantity", ""),
            tuple(fields.get("sources", ())),
            {k: v for k, v in rest.items() if k != "of_kind"},
            line,
        )

    def step_unit(self, place: int, fields: Mapping[str, Any]) -> Unit:
        if fields["kind"] in CHOICES:
            return Unit(())
        if fields["kind"] in UNITLESS:
            return parse_unit("min")
        self.at(fact("errors_models.in_table", table="step", name=fields["name"]), "step", place, "unit")
        return parse_unit(fields["unit"], fields.get("of_kind"))

    def condition(self, place: int, fields: Mapping[str, Any]) -> Condition:
        return read_condition(fields["that"], self.at(fact("errors_models.in_a_where"), "where", place))

    def order(self, place: int, fields: Mapping[str, Any]) -> OrderModel:
        return read_order(fields, self.at(fact("errors_models.in_an_order"), "ordered", place))

    def paper(self, place: int, fields: Mapping[str, Any]) -> Paper:
        return read_paper(fields, self.at(fact("errors_models.in_a_paper"), "paper", place))

    def part(self, place: int, fields: Mapping[str, Any]) -> PartModel:
        name = fields["name"]
        line = self.at(fact("errors_models.in_table", table="part", name=name), "part", place)
        if not _PART.fullmatch(name):
            raise BadInput(fact("errors_models.name_of_part", name=name))
        points = fields.get("points", 1)
        if not 1 <= points <= 100:
            raise BadInput(fact("errors_models.points", name=name))
        return PartModel(
            name,
            fields["asks"],
            fields["asked"],
            parse_unit(fields.get("unit", "")),
            fields.get("rounding", ""),
            points,
            tuple(fields.get("from_entered", ())),
            line,
            fields.get("kind", ""),
            self.set_on(name, fields),
        )

    def set_on(self, part: str, fields: Mapping[str, Any]) -> str:
        found: str = fields.get("set_on", "")
        if found not in ("", *SET_ON):
            raise BadInput(fact("errors_models.set_on", part=part, known=tuple(SET_ON), found=found))
        return found
