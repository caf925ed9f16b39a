"""The figures of a drug as cells of an item model's table: strengths and sizes, doses on a grid, intervals."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from calclib.formulary.amount import ML, Amount, amount
from calclib.formulary.practical import practical_range
from calclib.formulary.records import RANGES, Citation, Kind, Mixing, Presentation, Use
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import write_number, write_quantity

_LISTED = ("strengths", "contents", "sizes")
"""Taken from all presentations at once."""
_SINGLE = ("strength", "content", "size", "label", "add", "makes", "made", "displacement")
"""Bound together: a row for each presentation, and for each way to make it up."""
PACKED = (*_LISTED, *_SINGLE)

_RANGED = tuple(str(kind) for kind in RANGES)
_MOST = ("dose_most", "day_most", "rate_most", "speed_most")
_TIMES = ("interval", "infusion_time")
USED = (
    *_RANGED, *(f"{kind} {end}" for kind in _RANGED for end in ("from", "to")), *_MOST, *_TIMES, "concentration",
    "diluents",
)  # fmt: skip

_MG = parse_unit("mg")
_DOSE_DAY = parse_unit("dose/day")
_COUNTED = ("tab", "cap", "vial")
_MEMORY = "from_memory"
_MG_IN_ONE_PERCENT, _MG_IN_A_GRAM = Fraction(10), Fraction(1000)
_IN_MILLIGRAMS = 1000
"""Micrograms from which the content of a vial or bag is labeled in milligrams."""
_WHOLE = re.compile(r"/[\d.,]+ m?L$")
"""A strength that names the whole volume, as that of a bag: 400 mg/250 mL."""


class Unfit(Exception):
    """A use or a presentation doesn't have the figure that is asked for, in the unit that is asked for."""


@dataclass(frozen=True)
class Within:
    """To what a column keeps of what the formulary has: some of its texts, or a narrower range.

    Args:
        cell: As the file has it: a list, a text, or a range with `from`, `to`, `step` and `unit`.
    """

    cell: Any

    @property
    def texts(self) -> tuple[str, ...]:
        """The texts of a list, or the one text; () for a range."""
        if isinstance(self.cell, Mapping):
            return ()
        return tuple(self.cell) if isinstance(self.cell, list) else (str(self.cell),)

    def ends(self, unit: Unit) -> tuple[Fraction, Fraction] | None:
        """Return the least and the greatest number in a unit; None if it is in another kind of unit."""
        texts = (
            [f"{self.cell[end]} {self.cell.get('unit', unit)}" for end in ("from", "to")]
            if isinstance(self.cell, Mapping)
            else self.texts
        )
        same = [amount(text).in_unit(unit) for text in texts]
        values = [one.value for one in same if one is not None]
        return (min(values), max(values)) if values and len(values) == len(same) else None


@dataclass(frozen=True)
class Figure:
    """A cell, and the source of what it says: a key of sources.toml, or citations written out."""

    cell: Any
    source: str


def packed_figures(
    presentations: Sequence[Presentation],
    take: Mapping[str, str],
    units: Mapping[str, Unit],
    within: Mapping[str, Within] = MappingProxyType({}),
) -> Iterator[dict[str, Figure]]:
    """Yield what presentations say, once for each that is bound together; nothing where a column stays empty.

    Args:
        presentations: The presentations that are selected.
        take: What each column takes, of `PACKED`.
        units: The unit in which the model sees each column.
        within: To what a column keeps.
    """
    listed = {
        c: _listed(presentations, what, units.get(c), within.get(c)) for c, what in take.items() if what in _LISTED
    }
    if not all(listed.values()):
        return
    all_listed = {column: figure for column, figure in listed.items() if figure is not None}
    single = {column: what for column, what in take.items() if what in _SINGLE}
    if not single:
        yield all_listed
        return
    for presentation in presentations:
        for mixing in presentation.mixing or (None,):
            found = {c: _single(presentation, mixing, what, units.get(c)) for c, what in single.items()}
            if all(figure is not None and _is_named(figure, within.get(c)) for c, figure in found.items()):
                yield {**all_listed, **{column: figure for column, figure in found.items() if figure is not None}}


def _listed(
    presentations: Sequence[Presentation], what: str, unit: Unit | None, within: Within | None
) -> Figure | None:
    kinds = (what,) if within is None or what == "sizes" else ("strengths", "contents", "makes")
    pairs = [(text, one.citation) for one in presentations for kind in kinds for text in _texts(one, kind, unit)]
    if within is None:
        texts = list(dict.fromkeys(text for text, _ in pairs))
        return Figure(texts, _cited([citation for _, citation in pairs])) if texts else None
    cited = {_plain(text): citation for text, citation in reversed(pairs)}
    if not within.texts or not all(_plain(one) in cited for one in within.texts):
        return None
    return Figure(within.cell, _cited([cited[_plain(one)] for one in within.texts]))


def _plain(text: str) -> str:
    """A text in milligrams without the commas of thousands, so that 1,000 mg/10 mL is 1 g/10 mL and 2% 20 mg/mL."""
    if text.endswith("%"):
        return f"{Fraction(text[:-1]) * _MG_IN_ONE_PERCENT} mg/mL"
    if text.startswith("1:"):
        return f"{_MG_IN_A_GRAM / Fraction(text[2:].replace(',', ''))} mg/mL"
    amount_of, slash, volume = text.replace(",", "").partition("/")
    same = amount(amount_of).in_unit(_MG)
    return f"{amount_of if same is None else f'{same.value} mg'}{slash}{volume}"


def _is_named(figure: Figure, within: Within | None) -> bool:
    if within is None:
        return True
    cells = figure.cell if isinstance(figure.cell, list) else [figure.cell]
    return any(_plain(cell) == _plain(one) for cell in cells for one in within.texts)


def _texts(presentation: Presentation, what: str, unit: Unit | None) -> list[str]:
    if what == "makes":
        return [str(one.makes) for one in presentation.mixing]
    if what == "strengths":
        found = _counted(presentation.strength, unit)
        return [found] if found is not None else []
    if what == "sizes":
        return [str(size) for size in presentation.volumes]
    if not presentation.volumes:
        return [str(presentation.strength)] if _WHOLE.search(presentation.strength.text) else []
    return [text for size in presentation.volumes if (text := _content(presentation.strength, size)) is not None]


def _counted(strength: Amount, unit: Unit | None) -> str | None:
    """A strength as the stem states it, of a tablet “20 mg/tab”; None if it is of another shape."""
    if unit is None or unit.dimension == strength.unit.dimension:
        return str(strength)
    for symbol in _COUNTED:
        if (symbol, -1) in unit.powers and (strength.unit * parse_unit(symbol) ** -1).dimension == unit.dimension:
            return f"{strength}/{symbol}"
    return None


def _content(strength: Amount, size: Amount) -> str | None:
    """What a vial or a bag holds in all, “200 mg/250 mL”."""
    in_ml = size.in_unit(ML)
    of = Unit.of([(symbol, power) for symbol, power in strength.unit.powers if power > 0])
    each = strength.in_unit(of * ML**-1)
    if in_ml is None or each is None:
        return None
    held = Amount(each.value * in_ml.value, of)
    if str(of) == "mcg" and held.value >= _IN_MILLIGRAMS:
        held = Amount(held.value / _IN_MILLIGRAMS, parse_unit("mg"))
    return f"{write_quantity(held.value, str(held.unit))}/{size}"


def _single(presentation: Presentation, mixing: Mixing | None, what: str, unit: Unit | None) -> Figure | None:
    of_powder = {"add", "makes", "made", "displacement"}
    citation = mixing.citation if mixing is not None and what in of_powder else presentation.citation
    match what:
        case "strength":
            cell: Any = _counted(presentation.strength, unit)
        case "content":
            cell = _texts(presentation, "contents", unit)
        case "size":
            cell = _texts(presentation, "sizes", unit)
        case "label":
            cell = presentation.labeled
        case _:
            value = None if mixing is None else _mixed(mixing, what)
            cell = None if value is None else str(value)
    return Figure(cell, _cited([citation])) if cell else None


def _mixed(mixing: Mixing, what: str) -> Amount | None:
    return {
        "add": mixing.add, "makes": mixing.makes, "made": mixing.volume, "displacement": mixing.displacement,
    }[what]  # fmt: skip


def used_figures(
    use: Use,
    take: Mapping[str, str],
    units: Mapping[str, Unit],
    grids: Mapping[str, tuple[Fraction, Unit]],
    within: Mapping[str, Within] = MappingProxyType({}),
) -> dict[str, Figure]:
    """Return what a use says.

    Args:
        use: The use.
        take: What each column takes, of `USED`.
        units: The unit in which the model sees each column.
        grids: The steps of columns whose range isn't drawn in practical steps.
        within: To what a column keeps.

    Raises:
        Unfit: It lacks a figure, has it in units that the column doesn't take, or a column keeps to what is beyond it.
    """
    found = {}
    for column, what in take.items():
        unit, kept = units.get(column), within.get(column)
        found[column] = (
            _used(use, what, unit, grids.get(column)) if kept is None else kept_figure(use, what, unit, kept)
        )
    return found


def kept_figure(use: Use, what: str, unit: Unit | None, within: Within) -> Figure:
    """Return a column that keeps within what a use says.

    Args:
        use: The use.
        what: What the column takes, of `USED`.
        unit: The unit in which the model sees the column.
        within: To what it keeps.

    Raises:
        Unfit: It keeps to what is beyond the use.
    """
    name, _, end = what.partition(" ")
    limit = use.limit(Kind(name))
    if limit is None or end == "from":
        raise Unfit
    source = _cited([limit.citation])
    if name == Kind.DILUENTS:
        if not within.texts or not set(within.texts) <= set(limit.words):
            raise Unfit
        return Figure(within.cell, source)
    if name == Kind.INFUSION_TIME:
        return _not_shorter(limit.high, unit, within, source)
    if name in _TIMES:
        known = {amount(_timed(one, unit)) for one in limit.high}
        if not within.texts or not all(amount(one) in known for one in within.texts):
            raise Unfit
        return Figure(within.cell, source)
    if unit is None:
        raise Unfit
    low, high, citations = _ends(use, Kind(name), unit)
    low = None if end else low
    values = within.ends(unit)
    if values is None or (low is not None and values[0] < low) or values[1] > high:
        raise Unfit
    return Figure(within.cell, _cited(citations))


def _not_shorter(least: Sequence[Amount], unit: Unit | None, within: Within, source: str) -> Figure:
    """Times of one dose, none of them shorter than the shortest that the use has."""
    values = None if unit is None else within.ends(unit)
    shortest = [same.value for one in least if unit is not None and (same := one.in_unit(unit)) is not None]
    if values is None or not shortest or values[0] < min(shortest):
        raise Unfit
    return Figure(within.cell, source)


def _ends(use: Use, kind: Kind, unit: Unit) -> tuple[Fraction | None, Fraction, list[Citation]]:
    """The least and the most of a kind, and where they come from; a most alone has no least."""
    limit = use.limit(kind)
    assert limit is not None
    citations = [limit.citation]
    most = [same.value for one in limit.high if (same := one.in_unit(unit)) is not None]
    least = None if limit.low is None else limit.low.in_unit(unit)
    if not most or (limit.low is not None and least is None):
        raise Unfit
    top = use.limit(Kind(f"{kind}_most")) if f"{kind}_most" in _MOST else None
    if top is not None:
        further = [same.value for one in top.high if (same := one.in_unit(unit)) is not None]
        if further and min(further) > min(most):
            most, citations = further, [*citations, top.citation]
    return None if least is None else least.value, min(most), citations


def _used(use: Use, what: str, unit: Unit | None, grid: tuple[Fraction, Unit] | None) -> Figure:
    name, _, end = what.partition(" ")
    limit = use.limit(Kind(name))
    if limit is None:
        raise Unfit
    source = _cited([limit.citation])
    if name == Kind.DILUENTS:
        return Figure(list(limit.words), source)
    if name in _TIMES:
        if not limit.high:
            raise Unfit
        return Figure([_timed(one, unit) for one in limit.high], source)
    low, high = limit.low, limit.high
    if end == "from" and low is not None:
        high = (low,)
    if unit is None:
        return Figure(str(high[0]), source)
    fitting = [same.value for one in high if (same := one.in_unit(unit)) is not None]
    if not fitting:
        raise Unfit
    if end or low is None:
        return Figure(write_quantity(min(fitting), str(unit)), source)
    first = low.in_unit(unit)
    if first is None:
        raise Unfit
    return _ranged(use, Kind(name), (first.value, min(fitting)), unit, grid, source)


def _ranged(
    use: Use, kind: Kind, ends: tuple[Fraction, Fraction], unit: Unit, grid: tuple[Fraction, Unit] | None, source: str
) -> Figure:
    """A range on its grid, that doesn't pass the most of the same kind."""
    low, high = ends
    most = use.limit(Kind(f"{kind}_most")) if f"{kind}_most" in _MOST else None
    bounds = [same.value for one in (most.high if most is not None else ()) if (same := one.in_unit(unit)) is not None]
    high = min([high, *bounds])
    if high < low:
        raise Unfit
    step = Amount(*grid).in_unit(unit) if grid is not None else None
    found = practical_range(low, high, None if step is None else step.value)
    if not found.step:
        return Figure([write_quantity(found.high, str(unit))], source)
    start, end, by = (write_number(one) for one in (found.low, found.high, found.step))
    return Figure({"from": start, "to": end, "step": by, "unit": str(unit)}, source)


def _timed(time: Amount, unit: Unit | None) -> str:
    """An interval as it stands, or as doses a day where the column counts them."""
    if unit is None or unit.dimension == time.unit.dimension:
        return str(time)
    same = time.in_unit(parse_unit("day"))
    if unit.dimension != _DOSE_DAY.dimension or same is None:
        raise Unfit
    return write_quantity(1 / same.value, "dose/day")


def _cited(citations: Sequence[Citation]) -> str:
    """The sources of a cell; of several, memory is said where one of them is memory."""
    if any(one.from_memory for one in citations):
        return _MEMORY
    keys = {one.key: None for one in citations if not one.place}
    texts = list(dict.fromkeys(one.key if one.key in keys else str(one) for one in citations))
    if len(texts) == 1:
        return texts[0]
    return "; ".join(dict.fromkeys(str(one) for one in citations))
