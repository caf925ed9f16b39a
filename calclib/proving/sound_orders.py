"""Whether the order of a drawn item is sound, read again from its stem, and what nobody has a source for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calclib.formulary.catalogue import drug_named
from calclib.formulary.edition import UnknownDrug
from calclib.formulary.findings import order_findings, speaks_of
from calclib.formulary.order import Order
from calclib.formulary.sentences import finding_sentence
from calclib.items.item import Item
from calclib.items.orders import orders_of
from calclib.items.own_values.drug_measure import as_measured
from calclib.items.solution import rebuilt, recorded_givens
from calclib.models.model import ItemModel
from calclib.quantity.rounding import RoundingPolicy


@dataclass(frozen=True)
class OrderLook:
    """What a look at an order shows.

    Args:
        beyond: For each sourced limit that it passes its kind and a sentence.
        unsourced: The drug, route and age group of an amount that no source limits, "" if there is none.
    """

    beyond: tuple[tuple[str, str], ...] = ()
    unsourced: str = ""


def looks_at_orders(item: Item, model: ItemModel, policy: RoundingPolicy) -> Iterator[OrderLook]:
    """Yield what each order of an item shows; an order that is rightly not carried out is left out.

    Args:
        item: The item.
        model: Its model.
        policy: Its rounding policy.
    """
    measured = as_measured(item, model)
    ready, values = rebuilt(item, model, policy)
    for order in orders_of(measured, recorded_givens(item, measured), ready.chain, values):
        yield _look(order)


def _look(order: Order) -> OrderLook:
    amounts = order.dose or order.day or order.rate
    group = f"{order.drug} {'/'.join(order.routes)} {order.patient.group}"
    try:
        if order.drug:
            drug_named(order.drug)
    except UnknownDrug:
        return OrderLook(unsourced=group if amounts else "")
    found = tuple((str(one.kind), finding_sentence(one, order.drug)) for one in order_findings(order) if one.decides)
    known = not order.drug or amounts is None or speaks_of(order, sourced=True)
    return OrderLook(found, "" if known else group)
