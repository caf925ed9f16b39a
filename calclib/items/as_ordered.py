"""Whether the doses and rates of a draw are ones that somebody orders."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import lru_cache

from calclib.formulary.amount import Amount
from calclib.formulary.as_ordered import (
    OrderedUnits,
    is_dose_as_ordered,
    is_per_kilogram_as_ordered,
    is_rate_as_ordered,
    ordered_units,
)
from calclib.formulary.catalogue import drug_named
from calclib.formulary.edition import UnknownDrug, recorded_drugs
from calclib.formulary.records import Drug
from calclib.models.identity import ByIdentity
from calclib.models.model import Choices, Draw, Formula, FromRow, GivenModel, ItemModel
from calclib.models.orders import OrderModel
from calclib.models.stated import Stated
from calclib.quantity.units import parse_unit

FEWEST_UNITS = 100
"""Units below which each one is counted, as of insulin."""
BY_WEIGHT = ("dose_by_weight", "dose_by_weight_per_time")
_ALONE = {"dose": (*BY_WEIGHT, "drug_amount"), "rate": (*BY_WEIGHT, "dose_rate"), "day": BY_WEIGHT}
"""By what an order says, the kinds of givens that have a number of their own in it."""

Rows = Mapping[str, Mapping[str, object]]


def is_as_ordered(model: ItemModel, given: GivenModel, value: Stated, draw: Draw, rows: Rows) -> bool:
    """Tell whether a dose or a rate of an order has a number with which somebody orders it.

    What a model lists one by one is taken as it stands; `tests/models` looks at it.

    Args:
        model: The item model.
        given: The given that is drawn.
        value: The value as it is stated.
        draw: The list, range or formula from which it comes.
        rows: The rows that are drawn, by name.
    """
    order = _orders(ByIdentity(model)).get(given.name)
    if order is None or isinstance(draw, Choices) or value.working is None or given.unit is None:
        return True
    if isinstance(draw, Formula) and any(_is_of_tablets(model, power.name) for power in draw.powers):
        return True
    drug = drug_ordered(model, order, rows)
    return _is_as_ordered(
        ByIdentity(model), ByIdentity(order), ByIdentity(given), ByIdentity(value), drug and ByIdentity(drug)
    )


# A grid states few different values, each the same record at every draw.
@lru_cache(maxsize=8192)
def _is_as_ordered(
    model: ByIdentity[ItemModel],
    order: ByIdentity[OrderModel],
    given: ByIdentity[GivenModel],
    value: ByIdentity[Stated],
    drug: ByIdentity[Drug] | None,
) -> bool:
    return amount_is_as_ordered(model.record, order.record, given.record, value.record, drug.record if drug else None)


def amount_is_as_ordered(
    model: ItemModel, order: OrderModel, given: GivenModel, value: Stated, drug: Drug | None
) -> bool:
    """Tell whether what an order says by a given is a number that somebody orders.

    Args:
        model: The item model.
        order: The order that names the given.
        given: The given.
        value: Its value as it is stated.
        drug: The drug of the order, None if the formulary doesn't have it.
    """
    assert value.working is not None and given.unit is not None
    units = OrderedUnits() if drug is None else _units(ByIdentity(drug))
    if given.kind in BY_WEIGHT:
        return is_per_kilogram_as_ordered(_in_its_unit(given, value), units)
    if given.kind == "dose_rate":
        return is_rate_as_ordered(_in_its_unit(given, value), units)
    counted = str(given.unit) == "units"
    if (counted and value.working < FEWEST_UNITS) or {"weight", "area"} & set(order.amounts):
        return True
    return is_dose_as_ordered(Amount(value.working, given.unit), OrderedUnits() if counted else units)


def drug_ordered(model: ItemModel, order: OrderModel, rows: Rows) -> Drug | None:
    """Return the drug of an order by the rows that are drawn, None if it is unknown."""
    named = order.words.get("drug", "")
    given = model.givens.get(named)
    if given is not None:
        draw = given.draw
        if isinstance(draw, FromRow):
            named = str(rows.get(draw.row, {}).get(draw.column, ""))
        elif isinstance(draw, Choices) and len(draw.texts) == 1:
            named = draw.texts[0]
    try:
        return (recorded_drugs(model.recorded) if model.recorded else drug_named)(named)
    except UnknownDrug:
        return None


def ordered_givens(model: ItemModel) -> Iterator[tuple[str, OrderModel]]:
    """Yield each given that is a dose or a rate of an order by itself, with the order."""
    for order in model.orders:
        for name, kinds in _ALONE.items():
            for power in order.amounts.get(name, ()):
                if power.name in model.givens and model.givens[power.name].kind in kinds:
                    yield power.name, order


@lru_cache(maxsize=512)
def _orders(key: ByIdentity[ItemModel]) -> Mapping[str, OrderModel]:
    return dict(reversed(list(ordered_givens(key.record))))


@lru_cache(maxsize=1024)
def _units(key: ByIdentity[Drug]) -> OrderedUnits:
    return ordered_units(key.record)


def _in_its_unit(given: GivenModel, value: Stated) -> Amount:
    """The number that the order writes, with its unit."""
    assert value.working is not None and given.unit is not None
    in_all = Amount(value.working, given.unit)
    kind, *units = value.form
    return in_all if kind != "unit" else in_all.in_unit(parse_unit(units[0])) or in_all


def _is_of_tablets(model: ItemModel, name: str) -> bool:
    return name in model.givens and model.givens[name].kind == "drug_per_tab"
