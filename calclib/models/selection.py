"""Rows of a table that an item model selects from the formulary, so that it copies no figure of a drug.

[[table.medicines]]
formulary = { only = ["dopamine", "dobutamine"], route = "IV", group = "adult", form = "premixed bag" }
take = { concentrations = "contents", doses = "rate" }
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import Any, TypeVar

from calclib.errors.messages import BadInput
from calclib.errors.nearest import nearest_or_all
from calclib.formulary.catalogue import drug_named, formulary
from calclib.formulary.edition import recorded_drug, recorded_drugs
from calclib.formulary.records import AgeGroup, Drug, Form, Manner, Route, Use
from calclib.models.selected_figures import PACKED, USED, Figure, Unfit, Within, packed_figures, used_figures
from calclib.quantity.amounts import parse_amount
from calclib.quantity.units import Unit, parse_unit
from calclib.wording.facts import fact

FIELD = "formulary"
"""The field that makes a row of a table a selection; `take`, `grid` and `within` go with it."""
MAX_SELECTED = 400

_Word = TypeVar("_Word", bound=StrEnum)
_FILTERS = ("only", "except", "route", "manner", "group", "indication", "form", "has", "high_alert")
_RANGE = '{ from = "5", to = "20", step = "5" }'
_HAS = ("reconstitution", "sizes", "label")
_ROUTES = {"by mouth": Route.ORAL, "subcut": Route.SC}


@dataclass(frozen=True)
class Filter:
    """Which drugs, uses and presentations a row selects; None and () leave open.

    Args:
        only: Names of drugs, as they are printed.
        never: Names of drugs that are left out.
        route: The route of a use.
        manner: How it is given by that route.
        group: The age group of a use.
        indication: Words that the indication of a use has.
        forms: The forms of a presentation.
        has: What is known of a presentation.
        high_alert: Whether the use is high-alert.
    """

    only: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    route: Route | None = None
    manner: Manner | None = None
    group: AgeGroup | None = None
    indication: str = ""
    forms: tuple[Form, ...] = ()
    has: tuple[str, ...] = ()
    high_alert: bool | None = None

    def fits(self, use: Use) -> bool:
        """Whether a use is selected; not one on a condition, of a patient-controlled pump only where that is said."""
        return (
            not use.condition
            and (self.route is None or self.route in use.routes)
            and (self.manner == use.manner or (self.manner is None and use.manner != Manner.PATIENT_CONTROLLED))
            and self.group in (None, use.group)
            and all(word in use.indication.lower() for word in self.indication.lower().split())
            and self.high_alert in (None, use.high_alert)
        )

    @property
    def of_uses(self) -> bool:
        """Whether it says anything of uses."""
        return bool(self.route or self.manner or self.group or self.indication or self.high_alert is not None)


@dataclass(frozen=True)
class Selected:
    """The rows of a table, where each stands in the file, and the drugs that were selected for them.

    Args:
        rows: All rows, each selection replaced by the rows that it selects.
        places: For each row the place in the file of the row or selection that it comes from.
        drugs: The generic names of the drugs that were selected.
    """

    rows: tuple[Mapping[str, Any], ...]
    places: tuple[int, ...]
    drugs: frozenset[str] = field(default_factory=frozenset)


def selected_rows(
    rows: list[Mapping[str, Any]], units: Mapping[str, Unit], recorded: Mapping[str, str] | None
) -> Selected:
    """Return the rows of a table with what they select from the formulary.

    Args:
        rows: The rows as the file has them.
        units: The unit in which the model sees each column.
        recorded: The texts of drugs by generic name with which the model was recorded; None takes what ships.

    Raises:
        BadInput: A selection names what the formulary doesn't have, or selects nothing.
    """
    found: list[Mapping[str, Any]] = []
    places: list[int] = []
    drugs: set[str] = set()
    for place, row in enumerate(rows):
        if FIELD not in row:
            new = [dict(row)]
        else:
            pairs = list(_selected(row, units, recorded))
            new = list({repr(one): one for _, one in pairs}.values())
            drugs |= {drug for drug, _ in pairs}
            if not new:
                raise BadInput(fact("errors_models.nothing_selected"))
        found += new
        places += [place] * len(new)
    if len(found) > MAX_SELECTED:
        raise BadInput(fact("errors_models.too_many_selected", most=MAX_SELECTED, count=len(found)))
    return Selected(tuple(found), tuple(places), frozenset(drugs))


def _selected(
    row: Mapping[str, Any], units: Mapping[str, Unit], recorded: Mapping[str, str] | None
) -> Iterator[tuple[str, dict[str, Any]]]:
    wanted = _filter(row[FIELD])
    take = {column: str(what) for column, what in row.get("take", {}).items()}
    for column, what in take.items():
        if what not in (*PACKED, *USED):
            raise BadInput(
                fact("errors_models.take", column=column, what=what, hint=nearest_or_all(what, (*PACKED, *USED)))
            )
    grids = {column: parse_amount(str(step)) for column, step in row.get("grid", {}).items()}
    for column in grids:
        if column not in take:
            raise BadInput(fact("errors_models.grid", column=column))
    within = {column: _within(column, cell, take) for column, cell in row.get("within", {}).items()}
    own = {name: cell for name, cell in row.items() if name not in (FIELD, "take", "grid", "within", "sources")}
    said = row.get("sources", {})
    for name, drug in _drugs(wanted, recorded):
        alone = list(_of_drug(drug, wanted, take, units, grids, within))
        if not alone and wanted.only:
            if take:
                raise BadInput(fact("errors_models.no_figure_of_drug", figures=tuple(take.values()), drug=name))
            raise BadInput(fact("errors_models.no_use_of_drug", drug=name))
        for figures in alone:
            cells = {column: figure.cell for column, figure in figures.items()}
            cited = {column: figure.source for column, figure in figures.items()}
            yield drug.name, {"drug": name, **own, **cells, "sources": {**said, **cited}}


def _within(column: str, cell: Any, take: Mapping[str, str]) -> Within:
    if column not in take:
        raise BadInput(fact("errors_models.within_not_taken", column=column))
    ranged = isinstance(cell, Mapping)
    texts = cell if isinstance(cell, list) else [cell]
    if not texts or (not ranged and not all(isinstance(one, str) for one in texts)):
        raise BadInput(fact("errors_models.within_of_column", column=column, example=_RANGE))
    if ranged and not {"from", "to", "step"} <= set(cell):
        raise BadInput(fact("errors_models.within_incomplete", column=column, example=_RANGE))
    return Within(cell)


def _of_drug(
    drug: Drug,
    wanted: Filter,
    take: Mapping[str, str],
    units: Mapping[str, Unit],
    grids: Mapping[str, tuple[Fraction, Unit]],
    within: Mapping[str, Within],
) -> Iterator[dict[str, Figure]]:
    """The figures of a drug, one set for each use that fits and each way in which it is packed."""
    uses = [use for use in drug.uses if wanted.fits(use)]
    if wanted.of_uses and not uses:
        return
    packed = {column: what for column, what in take.items() if what in PACKED}
    used = {column: what for column, what in take.items() if what in USED}
    presentations = [one for one in drug.presentations if _presented(one, wanted)]
    for use in uses if used else [None]:
        try:
            of_use = used_figures(use, used, units, grids, within) if use is not None else {}
        except Unfit:
            continue
        fitting = [one for one in presentations if use is None or not (use.pushed and one.infused)]
        for packing in packed_figures(fitting, packed, units, within) if packed else [{}]:
            yield {**packing, **of_use}


def _presented(presentation: Any, wanted: Filter) -> bool:
    known = {
        "reconstitution": bool(presentation.mixing),
        "sizes": bool(presentation.volumes),
        "label": bool(presentation.labeled),
    }
    return (not wanted.forms or presentation.form in wanted.forms) and all(known[one] for one in wanted.has)


def _drugs(wanted: Filter, recorded: Mapping[str, str] | None) -> Iterator[tuple[str, Drug]]:
    """The drugs that a selection may take, with the names by which they are printed."""
    named: Callable[[str], Drug] = drug_named if recorded is None else recorded_drugs(recorded)
    if wanted.only:
        yield from ((name, named(name)) for name in wanted.only)
        return
    all_drugs = (
        formulary().items()
        if recorded is None
        else ((name, recorded_drug(name, text)) for name, text in sorted(recorded.items(), key=lambda p: p[0].lower()))
    )
    never = {named(name).name for name in wanted.never}
    yield from ((name, drug) for name, drug in all_drugs if name not in never)


def _filter(fields: Any) -> Filter:
    if not isinstance(fields, Mapping):
        raise BadInput(fact("errors_models.formulary_no_table"))
    for name in fields:
        if name not in _FILTERS:
            raise BadInput(
                fact("errors_models.selects_nothing", name=str(name), hint=nearest_or_all(str(name), _FILTERS))
            )
    has = _texts(fields.get("has", []))
    for one in has:
        if one not in _HAS:
            raise BadInput(fact("errors_models.has", name=one, hint=nearest_or_all(one, _HAS)))
    route = fields.get("route")
    high_alert = fields.get("high_alert")
    if high_alert not in (None, "yes", "no"):
        raise BadInput(fact("errors_models.high_alert"))
    return Filter(
        _texts(fields.get("only", [])),
        _texts(fields.get("except", [])),
        _ROUTES.get(str(route)) or _word(Route, route),
        _word(Manner, fields.get("manner")),
        _word(AgeGroup, fields.get("group")),
        str(fields.get("indication", "")),
        tuple(form for one in _texts(fields.get("form", [])) if (form := _word(Form, one)) is not None),
        has,
        None if high_alert is None else high_alert == "yes",
    )


def _texts(value: Any) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else tuple(str(one) for one in value)


def _word(kind: type[_Word], text: Any) -> _Word | None:
    try:
        return None if text is None else kind(str(text))
    except ValueError:
        raise BadInput(
            fact(
                "errors_models.not_known_in_selection",
                text=str(text),
                hint=nearest_or_all(str(text), [str(one) for one in kind]),
            )
        ) from None


def column_units(givens: Mapping[str, Any], table: str) -> dict[str, Unit]:
    """Return the unit in which a model sees each column of a table; columns of words have none.

    Args:
        givens: The givens as the file has them.
        table: The table.
    """
    rows = {name for name, one in givens.items() if one.get("kind") == "row" and one.get("draw") == table}
    found: dict[str, Unit] = {}
    for name in rows:
        for column, what in givens[name].get("columns", {}).items():
            kind, _, unit = str(what).partition(" ")
            if unit:
                found[column] = parse_unit(unit, kind)
    for one in givens.values():
        row, _, column = one["draw"].partition(".") if isinstance(one.get("draw"), str) else ("", "", "")
        if row in rows and "unit" in one:
            found[column] = parse_unit(one["unit"], one["kind"] if one["kind"] != "number" else None)
    return found
