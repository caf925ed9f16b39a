"""Whether the order of a drawn item is sound, read again from its stem, and what nobody has a source for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.chains.factors import Value
from calclib.formulary.edition import UnknownDrug
from calclib.formulary.findings import order_findings, speaks_of
from calclib.formulary.order import Order
from calclib.formulary.sentences import finding_sentence
from calclib.items.computed import Computed
from calclib.items.item import Item, ItemPart
from calclib.items.orders import orders_of
from calclib.items.own_values.drug_measure import as_measured
from calclib.items.solution import rebuilt, recorded_givens
from calclib.items.stated_rounding import too_far
from calclib.models.model import ItemModel
from calclib.quantity.policies import rounding_policies
from calclib.quantity.rounding import RoundingPolicy


@dataclass(frozen=True)
class OrderLook:
    """What a look at an order shows.

    Args:
        beyond: For each sourced limit that it passes its kind and a sentence.
        unsourced: The drug, route and age group of an amount that no source limits, "" if there is none.
        rounded: The same as `beyond`, of limits that only a rounded answer passes.
    """

    beyond: tuple[tuple[str, str], ...] = ()
    unsourced: str = ""
    rounded: tuple[tuple[str, str], ...] = ()


def looks_at_orders(item: Item, model: ItemModel, policy: RoundingPolicy) -> Iterator[OrderLook]:
    """Yield what each order of an item shows; an order that is rightly not carried out is left out.

    Args:
        item: The item.
        model: Its model.
        policy: Its rounding policy.
    """
    measured = as_measured(item, model)
    ready, values = rebuilt(item, model, policy)
    stated = recorded_givens(item, measured)
    for order in orders_of(measured, stated, ready.chain, values):
        yield _look(order)
    said = {kind for order in orders_of(measured, stated, ready.chain, values) for kind, _ in _look(order).beyond}
    for keyed in _as_keyed(item.parts, model, values):
        for order in orders_of(measured, stated, ready.chain, keyed):
            past = tuple((kind, says) for kind, says in _look(order).beyond if kind not in said)
            if past:
                yield OrderLook(rounded=past)


def glance_at_orders(done: Computed, parts: Sequence[ItemPart]) -> Iterator[OrderLook]:
    """Yield what the orders of a draw that is used show: none goes beyond the formulary, unless rounded.

    Args:
        done: The draw.
        parts: Its parts with their keys.
    """
    for order in done.orders:
        yield OrderLook(unsourced=_unsourced(order))
    for keyed in _as_keyed(parts, done.model, done.done):
        for order in orders_of(done.model, done.stated, done.ready.chain, keyed):
            if past := _look(order).beyond:
                yield OrderLook(rounded=past)


def _as_keyed(
    parts: Sequence[ItemPart], model: ItemModel, values: Mapping[str, Value]
) -> Iterator[Mapping[str, Value]]:
    """Yield the values of the steps with the answers rounded up as they are keyed, by each policy that applies."""
    seen = set()
    named = frozenset(name for order in model.orders for name in order.names)
    for policy in rounding_policies().values():
        keyed = dict(values)
        for part in parts:
            step = model.part(part.name).asks
            rule = policy.rules.get(part.rule.name) if part.rule is not None else None
            value, exact = values.get(step), part.exact
            if rule is None or step not in named or not isinstance(exact, Fraction) or not isinstance(value, Fraction):
                continue
            key = rule.rounded(exact)
            if exact > 0 and key > exact and not too_far(rule, key, exact, high_alert=False):
                keyed[step] = value * key / exact
        mark = tuple(keyed[name] for name in sorted(named) if name in keyed)
        if mark not in seen and keyed != values:
            seen.add(mark)
            yield keyed


def _look(order: Order) -> OrderLook:
    try:
        findings = order_findings(order)
    except UnknownDrug:
        return OrderLook(unsourced=_unsourced(order))
    found = tuple((str(one.kind), finding_sentence(one, order.drug)) for one in findings if one.decides)
    return OrderLook(found, _unsourced(order))


def _unsourced(order: Order) -> str:
    """The drug, route and age group of an amount that no source limits, "" if there is none."""
    if not order.drug or (order.dose or order.day or order.rate) is None:
        return ""
    try:
        known = speaks_of(order, sourced=True)
    except UnknownDrug:
        known = False
    return "" if known else f"{order.drug} {'/'.join(order.routes)} {order.patient.group}"
