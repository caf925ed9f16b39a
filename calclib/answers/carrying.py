"""A wrong earlier part carried forward: later parts are judged from the student's own value."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache

from calclib.answers.judging import Carried
from calclib.chains.factors import Value
from calclib.errors.messages import BadInput
from calclib.items.compiled import CompiledModel
from calclib.items.item import Item, ItemPart
from calclib.items.keys.carried_part import rekeyed_part
from calclib.items.keys.corrected_item import with_beside
from calclib.items.own_values.drug_measure import as_measured
from calclib.items.solution import rebuilt
from calclib.items.stated_rounding import rounded_as_recorded
from calclib.models.model import ItemModel
from calclib.quantity.rounding import RoundingPolicy
from calclib.wording.facts import fact


def carried_from(item: Item, model: ItemModel, policy: RoundingPolicy) -> Carried | None:
    """Return what re-keys a later part for `judge_item`; the chain is compiled only when it is asked for.

    Args:
        item: The item.
        model: Its model, of the same text as when it was drawn.
        policy: The rounding policy under which it was keyed.
    """
    if len(item.parts) < 2 or model.hash != item.model_hash:
        return None

    @cache
    def values() -> tuple[CompiledModel, dict[str, Value]] | None:
        try:
            return rebuilt(item, model, policy)
        except BadInput:
            return None

    def carried(part: str, own: Mapping[str, Fraction | str]) -> ItemPart | None:
        found = values()
        rounded = rounded_as_recorded(item, as_measured(item, model), policy)
        try:
            return None if found is None else rekeyed_part(rounded, policy, *found, part, own)
        except BadInput:  # a value for which a table has no row, or that no device holds
            return None

    return carried


def either(one: Carried | None, other: Carried | None) -> Carried | None:
    """Return what keys a part in two ways at once: the key is that of the first, right is what is so by either."""
    if one is None or other is None:
        return one or other

    def carried(part: str, own: Mapping[str, Fraction | str]) -> ItemPart | None:
        found, beside = one(part, own), other(part, own)
        if found is None or beside is None:
            return found or beside
        return with_beside(found, beside, fact("way.beside_the_key"))

    return carried
