"""Re-keying a later part from a student's own values of earlier parts."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from calclib.chains.chain import Edit
from calclib.chains.factors import Value
from calclib.items.compiled import CompiledModel
from calclib.items.item import ItemPart
from calclib.items.keys.keying import part_of
from calclib.items.part_units import in_step_unit
from calclib.models.model import SETUP, ItemModel
from calclib.quantity.enclosure import Undecided
from calclib.quantity.rounding import RoundingPolicy


def rekeyed_part(
    model: ItemModel,
    policy: RoundingPolicy,
    ready: CompiledModel,
    done: Mapping[str, Value],
    part: str,
    own: Mapping[str, Fraction | str],
) -> ItemPart | None:
    """Return a part keyed from a student's own values of earlier parts; None where it does not depend on them.

    Args:
        model: The item model.
        policy: The rounding policy.
        ready: The compiled model.
        done: All values of the item.
        part: The part's name.
        own: The student's own values of earlier parts, in the units asked.
    """
    chain = ready.chain
    asks = model.part(part).asks
    values: dict[str, Value] = {}
    for name, value in own.items():
        earlier = model.part(name)
        goes_on = earlier.asks != asks or earlier.kind == SETUP
        if goes_on and chain.depends(asks, earlier.asks) and (isinstance(value, str) or value > 0):
            values[earlier.asks] = value if isinstance(value, str) else in_step_unit(value, earlier, chain)
    if not values:
        return None
    try:
        return part_of(model.part(part), policy, chain, chain.reevaluate(done, Edit(values=values)))
    except (ZeroDivisionError, Undecided):
        return None
