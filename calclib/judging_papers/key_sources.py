"""By which item models and rounding policies the items of a set are keyed: as handed out, and as ruled since."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.records.frozen.recorded_policies import recorded_model, recorded_rounding
from calclib.records.rulings.ruled_set import with_rounding_in_force
from calclib.records.rulings.ruling import Keying, Ruling, in_force, keying, keying_rulings_of
from calclib.records.sealed import SealedItem, SealedSet, sealed_set

if TYPE_CHECKING:
    from calclib.items.keys.corrected_item import Way
    from calclib.models import ItemModel
    from calclib.quantity import RoundingPolicy


@dataclass(frozen=True)
class KeySources:
    """What the keys of a set come from.

    Attributes:
        keying: The rulings by which they are re-keyed.
        rounding: The rounding policy.
        handed_out: The rounding policy that the notebooks print.
        models: The item models by hash: those from which the items were drawn, and the corrected ones. One that this
            version can't read is left out; then nothing is carried forward.
    """

    keying: Keying
    rounding: RoundingPolicy
    handed_out: RoundingPolicy
    models: Mapping[str, ItemModel]

    def ways(self, item: SealedItem) -> tuple[Way, ...]:
        """Return the item models and rounding policies by which answers to an item are right, those of its key first.

        Args:
            item: The item as it is keyed now.
        """
        return ways_of(self.keying, item, self.models, (self.rounding, self.handed_out))


def ways_of(
    keying: Keying, item: SealedItem, models: Mapping[str, ItemModel], policies: tuple[RoundingPolicy, RoundingPolicy]
) -> tuple[Way, ...]:
    """Return the item models and rounding policies by which answers to an item are right, those of its key first.

    Args:
        keying: The rulings by which items are re-keyed.
        item: The item.
        models: The item models by hash; one that isn't there is left out.
        policies: The rounding policy by which the item is keyed, and the one that the notebook prints.
    """
    hashes = [item.model_hash, item.drawn_by] if _keeps(keying.models.get(item.model_id)) else [item.model_hash]
    rules = policies if _keeps(keying.rounding) and policies[0] is not policies[1] else policies[:1]
    found = (models.get(key) for key in dict.fromkeys(hashes))
    return tuple((model, policy) for model in found if model is not None for policy in rules)


def key_sources(connection: Connection, sealed: SealedSet, hashes: Iterable[str]) -> KeySources:
    """Return what keys the items of a set now.

    Args:
        connection: The class's database.
        sealed: The set, as it was handed out or as it is ruled.
        hashes: The hashes of the item models from which the items were drawn that are looked at.

    Raises:
        CalclibError: the record of a policy is lost.
    """
    keys = keying(in_force(keying_rulings_of(connection, sealed.name)))
    before = sealed_set(connection, sealed.name)
    assert before is not None, "its record was read a moment ago"
    wanted = dict.fromkeys((*hashes, *(ruling.value["hash"] for ruling in keys.models.values())))
    models = [recorded_model(connection, key) for key in wanted]
    now = with_rounding_in_force(before, [keys.rounding] if keys.rounding else ())
    return KeySources(
        keys,
        recorded_rounding(connection, now.rounding_hash),
        recorded_rounding(connection, before.rounding_hash),
        {model.hash: model for model in models if model is not None},
    )


def _keeps(ruling: Ruling | None) -> bool:
    """Whether what is right as it was handed out stays right beside what a ruling on the keys makes right."""
    return ruling is not None and bool(ruling.value["printed"])
