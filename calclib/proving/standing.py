"""What is wrong with an item model before a draw: values that can't be read, forms and units that don't fit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from calclib.errors.file_lines import FileLines
from calclib.errors.messages import BadInput, CalclibError
from calclib.items.compiled import CompiledModel, compiled
from calclib.models.draws import drawn
from calclib.models.model import Choices, FromRow, GivenModel, ItemModel, TableRow
from calclib.models.stated import FORMS, Stated, read_stated
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.policies import rounding_policies, rounding_policy
from calclib.quantity.units import parse_unit
from calclib.sources.catalogue import source
from calclib.wording.facts import Fact, fact

Problem = tuple[int | None, Fact]


def standing_problems(model: ItemModel) -> Iterator[Problem]:
    """Yield what is wrong with a model as it stands: the line of its file, and the cause.

    Args:
        model: The model.
    """
    lines = FileLines(model.text)
    for given in model.givens.values():
        if given.kind != "row" and given.role != "column":
            yield from _values(model, given, lines)
            yield from _forms(model, given, lines)
        elif given.role == "column":
            assert isinstance(given.draw, FromRow)
            yield from _cells(model, given, given.draw, lines)
    for key in model.sources:
        yield from _source(key, lines.line(("sources",)))
    for step in model.steps:
        for key in step.sources:
            yield from _source(key, step.line)
    for part in model.parts:
        for policy in rounding_policies().values():
            if part.rounding and part.rounding not in policy.rules:
                yield (
                    part.line,
                    fact(
                        "errors_proving.no_rounding_rule",
                        part=part.name,
                        rule=part.rounding,
                        known=tuple(sorted(policy.rules)),
                    ),
                )
                break
    try:
        chain = as_working_units(model).chain
    except BadInput as error:
        yield error.line, error.what
        return
    needed = {_given(name) for part in model.parts for name in chain.ancestors(part.asks)}
    for name, given in model.givens.items():
        unstated = given.role == "hidden" or (given.role == "column" and name not in model.printed)
        if unstated and name in needed and not _told_by_print(model, given):
            yield (
                given.line,
                fact("errors_proving.unstated", name=name),
            )


def _told_by_print(model: ItemModel, given: GivenModel) -> bool:
    """Whether a text is one and the same in every draw, or follows from a text of its row that is printed."""
    if given.kind != "text":
        return False
    if not isinstance(given.draw, FromRow):
        return isinstance(given.draw, Choices) and len(set(given.draw.texts)) == 1
    row, column = given.draw.row, given.draw.column
    rows = model.rows[_table(model, row)]
    beside = [one for name, one in model.givens.items() if name in model.printed and one.kind == "text"]
    columns = [one.draw.column for one in beside if isinstance(one.draw, FromRow) and one.draw.row == row]
    return any(_decides(rows, printed, column) for printed in columns)


def _decides(rows: Sequence[Mapping[str, Any]], printed: str, column: str) -> bool:
    """Whether rows that can print the same text have the same text in the other column."""
    found: dict[str, Any] = {}
    for row in rows:
        texts = row[printed] if isinstance(row[printed], list) else [row[printed]]
        if any(found.setdefault(text, row[column]) != row[column] for text in texts):
            return False
    return True


def _given(name: str) -> str:
    """The given to which a name in a chain belongs: strength for strength.amount."""
    return re.sub(r"\.(?:stated|amount|volume)$", "", name)


def as_working_units(model: ItemModel) -> CompiledModel:
    """Return the model compiled as if every given were stated in its working unit.

    Raises:
        BadInput: A step's units do not fit.
    """
    stated = {
        name: Stated(name, "", ("unit", str(given.unit)) if given.unit is not None else (), (), None)
        for name, given in model.givens.items()
        if given.kind != "row"
    }
    return compiled(model, stated, rounding_policy())


def _source(key: str, line: int | None) -> Iterator[Problem]:
    """A key of sources.toml, or a citation written out."""
    if " " not in key:
        try:
            source(key)
        except CalclibError:
            yield (
                line,
                fact("errors_proving.no_source", key=key),
            )


def _values(model: ItemModel, given: GivenModel, lines: FileLines) -> Iterator[Problem]:
    """Every value in a given's lists can be read."""
    for field, where in (("draw", given.draw), ("mistaken", given.mistaken)):
        line = lines.line(("given", given.name, field))
        if isinstance(where, FromRow):
            yield from _cells(model, given, where, lines)
        elif isinstance(where, Choices):
            yield from _readable(given, where.texts, line)
        elif isinstance(where, tuple):
            yield from _readable(given, where, line)


def _cells(model: ItemModel, given: GivenModel, where: FromRow, lines: FileLines) -> Iterator[Problem]:
    """Every cell of a column can be read as a value, a list of values or a range."""
    table = _table(model, where.row)
    for number, row in enumerate(model.rows[table]):
        line = lines.line(("table", table, model.places[table][number], where.column))
        cell: Any = row[where.column]
        try:
            draw = drawn(given.name, cell if isinstance(cell, (list, dict)) else str(cell), given.unit, given.kind)
        except BadInput as error:
            yield line, error.what
            continue
        if isinstance(draw, Choices):
            yield from _readable(given, draw.texts, line)


def _table(model: ItemModel, row: str) -> str:
    draw = model.givens[row].draw
    assert isinstance(draw, TableRow)
    return draw.table


def _readable(given: GivenModel, texts: Sequence[str], line: int | None) -> Iterator[Problem]:
    for text in texts:
        try:
            read_stated(given, _with_unit(given, text))
        except BadInput as error:
            yield line, error.what


def _with_unit(given: GivenModel, text: str) -> str:
    bare = given.unit is not None and given.unit.powers and text.replace(".", "").replace(",", "").isdigit()
    return f"{text} {given.unit}" if bare else text


def _forms(model: ItemModel, given: GivenModel, lines: FileLines) -> Iterator[Problem]:
    """Every form in which a stem may state a given leads to its working unit."""
    if given.unit is None:
        return
    if isinstance(given.forms, FromRow):
        table, column = _table(model, given.forms.row), given.forms.column
        for number, row in enumerate(model.rows[table]):
            yield from _each_form(given, row, column, lines.line(("table", table, model.places[table][number], column)))
        return
    yield from _each_form(given, {"forms": given.forms}, "forms", lines.line(("given", given.name, "forms")))


def _each_form(given: GivenModel, row: Mapping[str, Any], column: str, line: int | None) -> Iterator[Problem]:
    forms = row[column]
    if isinstance(forms, str) or not all(isinstance(form, str) for form in forms):
        yield line, fact("errors_proving.no_list_of_forms", column=column)
        return
    assert given.unit is not None
    for form in forms:
        if form in FORMS or form == str(given.unit):
            continue
        try:
            unit = parse_unit(form, given.kind if given.kind != "number" else None)
        except BadInput:
            yield line, fact("errors_proving.no_form", name=given.name, form=form, known=tuple(FORMS))
            continue
        if bridge_factor(given.unit, unit, {}) is None:
            yield line, fact("errors_proving.form_leads_nowhere", name=given.name, form=form, unit=str(given.unit))
