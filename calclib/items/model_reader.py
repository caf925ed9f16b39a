"""From the text of an item model file to an item model; mistakes are named with their line."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from calclib.chains.expression import parse_product
from calclib.errors.messages import BadInput
from calclib.items.model import (
    NUMBERLESS,
    Choices,
    Condition,
    Draw,
    Formula,
    FromRow,
    GivenModel,
    Grid,
    ItemModel,
    PartModel,
    StepModel,
    TableRow,
)
from calclib.items.stated import fits
from calclib.quantity.amounts import parse_amount
from calclib.quantity.clock import parse as parse_clock
from calclib.quantity.equivalences import equivalence
from calclib.quantity.units import Unit, parse_unit

MAX_FILE = 200_000
TOP_KEYS = frozenset(
    "id version title topic skill order sources caution states stem given step where part table constants".split()
)
GIVEN_KEYS = frozenset("kind unit draw forms role mistaken says columns sources".split())
PART_KEYS = frozenset("name asks asked unit rounding points from_entered".split())
STEP_KEYS = frozenset("name kind unit says quantity sources".split())
ROLES = ("stated", "distractor", "hidden")
_NAME = re.compile(r"[a-z][a-z0-9_]{0,40}")
_ID = re.compile(r"[a-z][a-z0-9-]{1,60}")
_CONDITION = re.compile(r"(.+?)\s*(<=|>=|<|>|==|!=|is a multiple of)\s*(.+)")


def read_item_model(text: str, where: str) -> ItemModel:
    """Return the item model that a file describes.

    Args:
        text: The text of the file, TOML.
        where: The file's name, for messages.

    Raises:
        BadInput: The file is too long, no TOML, or lacks or misuses a field; the line is named where it is known.
    """
    if len(text) > MAX_FILE:
        raise BadInput(f"an item model may have {MAX_FILE:,} characters at the most", where=where)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(f"this is not valid TOML: {error}", where=where) from None
    except RecursionError:
        raise BadInput("this is nested too deeply", where=where) from None
    reader = _Reader(data, text, where)
    try:
        return reader.model()
    except BadInput as error:
        if error.where is not None:
            raise
        raise BadInput(error.message, where=where, line=error.line or reader.line) from None
    except (KeyError, TypeError, AttributeError, ValueError, RecursionError) as error:
        name = f"“{error.args[0]}” is missing" if isinstance(error, KeyError) else "a value has the wrong form"
        raise BadInput(f"{name} {reader.doing}", where=where, line=reader.line) from None


class _Reader:
    def __init__(self, data: Mapping[str, Any], text: str, where: str) -> None:
        self.data = data
        self.text = text
        self.where = where
        self.lines = text.splitlines()
        self.line: int | None = None
        self.doing = "at the top of the file"
        self.rows: dict[str, tuple[Mapping[str, Any], ...]] = {}
        self.columns: dict[str, tuple[str, ...]] = {}

    def at(self, doing: str, pattern: str, nth: int = 0) -> int | None:
        """Remember what is read and the line where it stands."""
        self.doing = doing
        found = [i for i, line in enumerate(self.lines, 1) if re.match(pattern, line.strip())]
        self.line = found[nth] if nth < len(found) else None
        return self.line

    def model(self) -> ItemModel:
        data = self.data
        _known(data, TOP_KEYS, "at the top of the file")
        if not _ID.fullmatch(data["id"]):
            raise BadInput(f"id “{data['id']}” must be in kebab case, like drop-rate")
        for name, rows in data.get("table", {}).items():
            self.at(f"in table {name}", rf"\[\[table\.{re.escape(name)}\]\]")
            self.rows[name] = tuple(dict(row) for row in rows)
        constants = {n: parse_amount(str(v)) for n, v in data.get("constants", {}).items()}
        for step in data.get("step", ()):
            constants.update({n: parse_amount(str(v)) for n, v in step.get("constants", {}).items()})
        givens: dict[str, GivenModel] = {}
        for name, fields in data.get("given", {}).items():
            line = self.at(f"in given {name}", rf"\[given\.{re.escape(name)}\]")
            if not _NAME.fullmatch(name):
                raise BadInput(f"given “{name}”: a name has small letters, digits and _ only")
            givens.update(self.given(name, fields, line))
        for name in data.get("states", ()):
            equivalence(name)
        model = ItemModel(
            id=data["id"],
            version=int(data["version"]),
            title=data["title"],
            topic=data["topic"],
            skill=data["skill"],
            order=int(data["order"]),
            sources=tuple(data["sources"]),
            caution=data.get("caution", ""),
            states=tuple(data.get("states", ())),
            stem=data["stem"].strip(),
            givens=givens,
            rows=self.rows,
            constants=constants,
            steps=tuple(self.step(i, fields) for i, fields in enumerate(data["step"])),
            where=tuple(self.condition(i, fields) for i, fields in enumerate(data.get("where", ()))),
            parts=tuple(self.part(i, fields) for i, fields in enumerate(data["part"])),
            text=self.text,
            hash=hashlib.sha256(self.text.encode()).hexdigest(),
            columns=self.columns,
        )
        self.check(model)
        return model

    def given(self, name: str, fields: Mapping[str, Any], line: int | None) -> dict[str, GivenModel]:
        _known(fields, GIVEN_KEYS, f"in given {name}")
        kind = fields["kind"]
        says = fields.get("says", name.replace("_", " "))
        if kind == "row":
            return self.row_given(name, fields, says, line)
        unit = None if kind in NUMBERLESS else parse_unit(fields["unit"], kind if kind != "number" else None)
        role = fields.get("role", "stated")
        if role not in ROLES:
            raise BadInput(f"given {name}: role must be one of {', '.join(ROLES)}")
        given = GivenModel(
            name,
            kind,
            unit,
            self.draw(name, fields["draw"], unit, kind),
            self.forms(fields.get("forms", ()), unit),
            role,
            _texts_or_row(fields.get("mistaken", ())),
            says,
            line,
        )
        if unit is not None and not fits(given):
            raise BadInput(f"given {name}: {unit} is no unit of a {kind}")
        return {name: given}

    def row_given(self, name: str, fields: Mapping[str, Any], says: str, line: int | None) -> dict[str, GivenModel]:
        table = fields["draw"]
        if table not in self.rows:
            raise BadInput(f"given {name}: there is no table “{table}”")
        result = {name: GivenModel(name, "row", None, TableRow(table), says=says, line=line)}
        for column, what in fields["columns"].items():
            self.columns[name] = (*self.columns.get(name, ()), column)
            kind, _, unit_text = what.partition(" ")
            if kind in ("draw", "forms"):
                continue
            unit = None if kind in NUMBERLESS else parse_unit(unit_text, kind)
            full = f"{name}.{column}"
            words = column.replace("_", " ")
            result[full] = GivenModel(full, kind, unit, FromRow(name, column), role="column", says=words, line=line)
        for row in self.rows[table]:
            missing = set(fields["columns"]) - set(row)
            if missing:
                raise BadInput(f"table {table}: a row lacks {', '.join(sorted(missing))}")
        return result

    def forms(self, forms: Any, unit: Unit | None) -> tuple[str, ...] | FromRow:
        if isinstance(forms, str):
            return FromRow(*forms.split("."))
        return tuple(forms) or ((str(unit),) if unit is not None else ())

    def draw(self, name: str, draw: Any, unit: Unit | None, kind: str) -> Draw:
        if isinstance(draw, str):
            row, dot, column = draw.partition(".")
            if not dot:
                raise BadInput(f"given {name}: draw “{draw}” must be a list, a range, or row.column")
            return FromRow(row, column)
        return drawn(name, draw, unit, kind)

    def step(self, place: int, fields: Mapping[str, Any]) -> StepModel:
        name = fields.get("name", f"number {place + 1}")
        line = self.at(f"in step {name}", r"\[\[step\]\]", place)
        if not _NAME.fullmatch(name):
            raise BadInput(f"step “{name}”: a name has small letters, digits and _ only")
        rest = {k: v for k, v in fields.items() if k not in STEP_KEYS and k != "constants"}
        if fields["kind"] == "lookup":
            if rest.get("table") not in self.rows:
                raise BadInput(f"step {name}: there is no table “{rest.get('table')}”")
            rest["rows"] = self.rows[rest["table"]]
        numberless = fields["kind"] == "compare"
        unit = (
            Unit(())
            if numberless
            else parse_unit("min" if fields["kind"] == "clock" else fields["unit"], fields.get("of_kind"))
        )
        return StepModel(
            name,
            fields["kind"],
            fields.get("says", name.replace("_", " ")),
            unit,
            fields.get("quantity", ""),
            tuple(fields.get("sources", ())),
            {k: v for k, v in rest.items() if k != "of_kind"},
            line,
        )

    def condition(self, place: int, fields: Mapping[str, Any]) -> Condition:
        line = self.at("in a where", r"\[\[where\]\]", place)
        match = _CONDITION.fullmatch(fields["that"])
        if match is None:
            raise BadInput(f"where “{fields['that']}” must compare two things, like “rate <= 250 mL/h”")
        left, relation, right = match.groups()
        amount = parse_amount(right) if right[0].isdigit() and "*" not in right else None
        powers = () if amount else parse_product(right)
        return Condition(parse_product(left), relation, powers, amount, fields["that"], line)

    def part(self, place: int, fields: Mapping[str, Any]) -> PartModel:
        name = fields.get("name", f"number {place + 1}")
        line = self.at(f"in part {name}", r"\[\[part\]\]", place)
        _known(fields, PART_KEYS, f"in part {name}")
        points = fields.get("points", 1)
        if not isinstance(points, int) or points < 1:
            raise BadInput(f"part {name}: points must be a whole number of 1 or more")
        return PartModel(
            name,
            fields["asks"],
            fields["asked"],
            parse_unit(fields.get("unit", "")),
            fields.get("rounding", ""),
            points,
            tuple(fields.get("from_entered", ())),
            line,
        )

    def check(self, model: ItemModel) -> None:
        """What one part of the file says of another."""
        self.at("in the stem", r"stem\s*=")
        for name in re.findall(r"\{([^{}]*)\}", model.stem):
            given = model.givens.get(name)
            if given is None or given.kind == "row" or given.role == "hidden":
                raise BadInput(f"the stem names {{{name}}}, which is not a stated given")
        for name, given in model.givens.items():
            if given.role in ("stated", "distractor") and given.kind != "row" and f"{{{name}}}" not in model.stem:
                asked = " ".join(p.asked for p in model.parts)
                if f"{{{name}}}" not in asked:
                    self.line = given.line
                    raise BadInput(f'given {name} is not in the stem; give it role = "hidden" or name it there')
            if isinstance(given.draw, FromRow) and given.draw.row not in model.givens:
                self.line = given.line
                raise BadInput(f"given {name}: there is no row “{given.draw.row}”")
        steps = {step.name: step for step in model.steps}
        names = [*model.givens, *(s.name for s in model.steps)]
        if len(names) != len(set(names)):
            raise BadInput("a given and a step, or two steps, have the same name")
        for part in model.parts:
            self.line = part.line
            if part.asks not in steps:
                raise BadInput(f"part {part.name} asks for “{part.asks}”, which is not a step")
            kind = steps[part.asks].kind
            if kind not in ("clock", "compare") and not part.rounding:
                raise BadInput(f"part {part.name}: name its rounding rule")


def _known(fields: Mapping[str, Any], known: frozenset[str], place: str) -> None:
    extra = set(fields) - known
    if extra:
        raise BadInput(f"“{min(extra)}” is not a field {place}; fields are {', '.join(sorted(known))}")


def _texts_or_row(value: Any) -> tuple[str, ...] | FromRow:
    if isinstance(value, str):
        return FromRow(*value.split("."))
    return tuple(str(v) for v in value)


def drawn(name: str, draw: Any, unit: Unit | None, kind: str = "") -> Draw:
    """Return a draw that a list, a range or a formula describes; a range of clock times steps in minutes.

    Raises:
        BadInput: It is none of these, or the range is empty.
    """
    if isinstance(draw, list) and draw:
        return Choices(tuple(str(v) for v in draw))
    if isinstance(draw, Mapping) and set(draw) == {"formula"}:
        return Formula(parse_product(draw["formula"]))
    if isinstance(draw, Mapping) and {"from", "to", "step"} <= set(draw) <= {"from", "to", "step", "unit"}:
        start, end, step = (parse_amount(str(draw[k]))[0] for k in ("from", "to", "step"))
        if kind == "clock":
            start, end = (Fraction(parse_clock(str(draw[k])).total) for k in ("from", "to"))
        if step <= 0 or end < start:
            raise BadInput(f"given {name}: the range must rise")
        if "unit" in draw and unit is not None and draw["unit"] != str(unit):
            raise BadInput(f"given {name}: the range is in {draw['unit']}, but the given in {unit}")
        return Grid(start, end, step)
    if isinstance(draw, str):
        return Choices((draw,))
    raise BadInput(f"given {name}: draw must be a list, a range with from, to and step, or a formula")
