"""An item as it was recorded, made ready to be judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from calclib.judging_papers.key_sources import KeySources
from calclib.records.sealed import SealedItem

if TYPE_CHECKING:
    from calclib.items import Item

# It recorded some values rounded that were to be recorded exact.
_ROUNDED = "0.1.0"


def recorded_item(sealed: SealedItem, drawn_by: str, keys: KeySources) -> Item:
    """Return a recorded item; what the version that drew it is known to have left out is worked out again.

    Args:
        sealed: The item, keyed as it counts now.
        drawn_by: The version of calclib that drew the paper.
        keys: The item models and rounding policies that key it.
    """
    from calclib.items import item_from_record
    from calclib.items.keys.unrounded import with_unrounded_values

    item = item_from_record(sealed.record)
    if drawn_by == _ROUNDED:
        for model, policy in keys.ways(sealed):
            if (model.hash, policy.name) == (item.model_hash, item.policy_name):
                return with_unrounded_values(item, model, policy)
    return item
