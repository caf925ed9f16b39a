"""What faculty want to know of an item model before they choose it: how hard it is, and where its facts come from."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calclib.errors.messages import BadInput, CalclibError
from calclib.items.compiled import compiled
from calclib.items.drawing import drawn_givens
from calclib.items.stream import ChoiceStream
from calclib.models.model import ItemModel
from calclib.quantity.amounts import parse_amount
from calclib.quantity.equivalences import equivalences
from calclib.quantity.policies import rounding_policy
from calclib.quantity.writing import is_singular, write_number, write_unit
from calclib.sources.catalogue import source
from calclib.wording.facts import fact
from calclib.wording.sentences import said

DRAWS_LOOKED_AT = 12


@dataclass(frozen=True)
class Difficulty:
    """How much there is to do in one item of a model.

    Args:
        steps: Steps of the solution, conversions of stated values apart.
        conversions: Fewest and most conversions between units, by how the stem states its values.
        remembered: Conversions, by name, that a student must know by heart because they are conventions.
        distractors: Stated numbers that are not needed.
        parts: Questions.
    """

    steps: int
    conversions: tuple[int, int]
    remembered: tuple[str, ...]
    distractors: int
    parts: int

    @property
    def says(self) -> str:
        """How much there is to do, in words."""
        least, most = self.conversions
        counts = [fact("catalogue.steps", count=self.steps)]
        if least == most:
            counts.append(fact("catalogue.conversions", count=most))
        else:
            counts.append(fact("catalogue.conversions_between", least=least, most=most))
        if self.parts > 1:
            counts.append(fact("catalogue.questions", count=self.parts))
        if self.distractors:
            counts.append(fact("catalogue.distractors", count=self.distractors))
        return said("catalogue.how_much", counts=tuple(counts))


def difficulty(model: ItemModel) -> Difficulty:
    """Return how much there is to do, from how the first draws state their values.

    Raises:
        BadInput: A step's units do not fit.
    """
    policy = rounding_policy()
    counts: set[int] = set()
    used: set[str] = set()
    for number in range(DRAWS_LOOKED_AT):
        stated = drawn_givens(model, ChoiceStream(f"difficulty|{model.id}|{number}"), {}, {})
        if stated is not None:
            chain = compiled(model, stated, policy).chain
            counts.add(sum(name.startswith("eq:") for step in chain.steps for name in step.inputs))
            used.update(chain.equivalences)
    remembered = tuple(sorted(n for n in used - set(model.states) if not equivalences()[n].definition))
    distractors = sum(given.role == "distractor" for given in model.givens.values())
    low, high = (min(counts), max(counts)) if counts else (0, 0)
    return Difficulty(len(model.steps), (low, high), remembered, distractors, len(model.parts))


@dataclass(frozen=True)
class Citation:
    """A source as it is printed.

    Args:
        key: Its key, or the citation itself.
        text: The citation.
        certain: Whether it was read, so that it stands on more than memory or custom.
        is_text: Whether there is a text to cite.
    """

    key: str
    text: str
    certain: bool
    is_text: bool = True


@dataclass(frozen=True)
class FactCell:
    """One fact of a table: how it is written, and its citation (None where a fact needs none, as a name)."""

    text: str
    citation: Citation | None


@dataclass(frozen=True)
class FactTable:
    """The rows from which a model draws its facts."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[FactCell, ...], ...]


def citation(key: str) -> Citation:
    """Return the citation of a key of sources.toml; a text with blanks is taken as a citation written out."""
    try:
        found = source(key)
    except CalclibError:
        return Citation(key, key, " " in key)
    return Citation(key, found.cite(), found.seen == "read", found.is_text)


def model_citations(model: ItemModel) -> tuple[tuple[str, tuple[Citation, ...]], ...]:
    """Return what a model cites outside its tables: for what, and the sources."""
    data = tomllib.loads(model.text)
    found = [(said("catalogue.calculation"), tuple(citation(key) for key in model.sources))]
    found += [(step.says, tuple(citation(key) for key in step.sources)) for step in model.steps if step.sources]
    for name, fields in data.get("given", {}).items():
        if fields.get("sources"):
            found.append((model.givens[name].says, tuple(citation(key) for key in fields["sources"])))
    return tuple(found)


def fact_tables(model: ItemModel) -> tuple[FactTable, ...]:
    """Return the tables of a model with the source of each fact; ways of stating a value are left out."""
    data = tomllib.loads(model.text)
    forms = {
        (fields["draw"], column)
        for fields in data.get("given", {}).values()
        if fields["kind"] == "row"
        for column, what in fields["columns"].items()
        if what == "forms"
    }
    return tuple(_table(name, rows, {c for t, c in forms if t == name}) for name, rows in model.rows.items())


def _table(name: str, rows: tuple[Mapping[str, Any], ...], forms: set[str]) -> FactTable:
    columns = tuple(dict.fromkeys(c for row in rows for c in row if c != "sources" and c not in forms))
    return FactTable(name, columns, tuple(tuple(_row(row, columns)) for row in rows))


def _row(row: Mapping[str, Any], columns: tuple[str, ...]) -> Iterator[FactCell]:
    sources = row.get("sources", {})
    for column in columns:
        key = sources.get(column) if isinstance(sources, dict) else None
        yield FactCell(_written(row.get(column, "")), citation(key) if isinstance(key, str) else None)


def _written(cell: Any) -> str:
    """A cell in safe notation: “0.5, 1.5 or 2”, “6 to 26 kg in steps of 0.5”."""
    if isinstance(cell, dict):
        start, end, step = (str(cell.get(field, "")) for field in ("from", "to", "step"))
        unit = str(cell.get("unit", ""))
        return said("catalogue.grid", start=_number(start), end=_amount(f"{end} {unit}"), step=_number(step))
    if isinstance(cell, list):
        return "; ".join(_amount(str(one)) for one in cell)
    return _amount(str(cell))


def _number(text: str) -> str:
    try:
        return write_number(parse_amount(text)[0])
    except BadInput:
        return text


def _amount(text: str) -> str:
    """An amount as it is printed; a text that is none stays as it is."""
    number, blank, unit = text.strip().partition(" ")
    written = _number(number)
    if written == number and not number[:1].isdigit():
        return text
    try:
        return f"{written}{blank}{write_unit(unit, one=is_singular(written))}"
    except BadInput:
        return text
