"""Which item model stands in each place of a set, and what it is worth there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from calclib.class_files.blueprint import Blueprint, BlueprintLine
from calclib.class_files.catalogue import Catalogue
from calclib.class_files.seeds import shuffle_key
from calclib.records.sealed_slots import Slot

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy
    from calclib.items import Item
    from calclib.models import ItemModel


@dataclass(frozen=True)
class Ordered:
    """What a blueprint orders.

    Attributes:
        blueprint: The blueprint.
        catalogue: The item models of the bank.
        own: Item models of faculty's own, by the path that the blueprint gives; none if the set is sealed already.
        own_marking: The marking policy of faculty's own that the blueprint names; None if it names one that ships, or
            if the set is sealed already.
        file: Name of the blueprint's file, for messages; "" if the set is sealed already.
    """

    blueprint: Blueprint
    catalogue: Catalogue
    own: Mapping[str, ItemModel]
    own_marking: MarkingPolicy | None = None
    file: str = ""

    @property
    def marking(self) -> MarkingPolicy:
        """The marking policy that the blueprint orders."""
        from calclib.answers import marking_policy

        return self.own_marking or marking_policy(self.blueprint.marking)


def models_in_order(
    order: Blueprint, catalogue: Catalogue, secret: bytes
) -> tuple[tuple[str, Fraction | None, BlueprintLine], ...]:
    """Return the item model, the points and the line of each problem of a blueprint, the same for every student.

    Where a line names a skill or a topic with several item models, they are taken in turn, in an order that the
    course secret fixes.
    """
    chosen: list[tuple[str, Fraction | None, BlueprintLine]] = []
    for line in order.lines:
        names = catalogue.models(line.by, line.name)
        turn = sorted(names, key=lambda name: shuffle_key(secret, set_name=order.set, name=name))
        chosen += [(turn[n % len(turn)], line.points, line) for n in range(line.count)]
    return tuple(chosen)


def slot_of(item: Item, *, number: int, title: str, points: Fraction | None, own: str = "") -> Slot:
    """Return the place of a set in which `item` is an example of the item model.

    Args:
        item: Any draw of the item model.
        number: The place, from 1.
        title: Title of the item model.
        points: Points of the whole problem, shared by the weights of its parts; None for the weights themselves.
        own: Hash of the item model's recorded text if it is a file of faculty's own.
    """
    weights = {part.name: Fraction(part.points) for part in item.parts}
    scale = Fraction(1) if points is None else points / sum(weights.values())
    return Slot(
        number=number,
        model=item.model_id,
        title=title,
        skill=item.skill,
        points={name: weight * scale for name, weight in weights.items()},
        kinds={part.name: part.kind for part in item.parts},
        own=own,
        says={part.name: part.says for part in item.parts if part.says},
    )
