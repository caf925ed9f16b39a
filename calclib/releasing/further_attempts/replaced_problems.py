"""What stands in later attempts in the place of a problem that went wrong: another, or nothing where it is void."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib.class_files.names import visible
from calclib.class_files.seeds import shuffle_key
from calclib.errors import BadInput
from calclib.records.rulings.ruling import Ruling, in_force, rulings_of
from calclib.records.sealed import SealedSet, Slot
from calclib.records.tables import ITEM

if TYPE_CHECKING:
    from calclib.items import Item
    from calclib.models import ItemModel


@dataclass(frozen=True)
class Replaced:
    """Which places of a set hold another problem in the attempts that are drawn from now on.

    Attributes:
        models: The id of the item model that stands there instead, by number of the problem.
        taken_out: Numbers of the problems that aren't asked any more, since they count for nobody.
    """

    models: Mapping[int, str]
    taken_out: frozenset[int]


AS_HANDED_OUT = Replaced({}, frozenset())


def replaced_problems(
    connection: Connection, sealed: SealedSet, secret: bytes, wanted: Mapping[int, str] | None = None
) -> Replaced:
    """Return what stands in the place of problems that faculty credited to everyone or declared void.

    A problem that is void isn't asked again. One that was credited gives way to another of its skill, or else of its
    topic, that asks the same parts; each is used once, so that one that went wrong too gives way to a third.

    Args:
        connection: A connection in a transaction.
        sealed: The set as it was handed out.
        secret: The course secret, which fixes whose turn it is.
        wanted: The item model that faculty choose, by number of the problem.

    Raises:
        BadInput: there is no such model, it asks other parts, or none that fits was found for a problem.
    """
    rulings = in_force(rulings_of(connection, sealed.name))
    chosen = wanted or {}
    slots = {slot.number: slot for slot in sealed.slots}
    unknown = next((number for number in chosen if number not in slots), None)
    if unknown is not None:
        raise BadInput(f"The set has no problem {unknown}: its problems are 1 to {max(slots)}.")
    void = frozenset(number for number, slot in slots.items() if _whole(slot, rulings, "void"))
    # A credit of an older version speaks of every attempt, later ones too: there the problem stays.
    credited = [ruling for ruling in rulings if ruling.value.get("attempts")]
    bad = [slot for slot in sealed.slots if _whole(slot, credited, "credit") and slot.number not in void]
    used = _models_used(connection, sealed)
    found = {number: _named(slots[number], name) for number, name in chosen.items()}
    for slot in bad:
        if slot.number not in found:
            found[slot.number] = _another(slot, {*used, *found.values()}, secret, sealed)
    return Replaced(found, void)


def fitted(item: Item, slot: Slot) -> Item:
    """Return an item of another model as it stands in a place: its only part has the name by which the place is known.

    An item of several parts keeps its names, which are those of the place.
    """
    from calclib.items.part_names import with_only_part

    names = list(slot.points)
    return with_only_part(item, names[0]) if len(names) == 1 else item


def _whole(slot: Slot, rulings: Iterable[Ruling], kind: str) -> bool:
    """Whether rulings of a kind speak of every part of a problem."""
    here = [ruling for ruling in rulings if ruling.kind == kind]
    return bool(here) and all(any(ruling.covers(slot.number, part, "") for ruling in here) for part in slot.points)


def _models_used(connection: Connection, sealed: SealedSet) -> frozenset[str]:
    drawn = connection.execute(select(ITEM.c.model_id).where(ITEM.c.set_name == sealed.name).distinct()).scalars()
    return frozenset((*drawn, *(slot.model for slot in sealed.slots)))


def _named(slot: Slot, name: str) -> str:
    from calclib.models import bank

    model = bank().get(name)
    if model is None:
        raise BadInput(f"There is no item model '{visible(name)}' in the bank: calclib items lists them.")
    if not _fits(model, slot):
        parts = ", ".join(f"{part.replace('_', ' ')} ({slot.kinds[part]})" for part in slot.points)
        raise BadInput(f"The item model '{name}' asks other parts than problem {slot.number}, which asks {parts}.")
    return name


def _another(slot: Slot, used: Iterable[str], secret: bytes, sealed: SealedSet) -> str:
    from calclib.models import bank

    models, gone = bank(), frozenset(used)
    topic = models[slot.model].topic if slot.model in models else ""
    fit = [
        model
        for model in models.values()
        if model.id not in gone and (model.skill == slot.skill or model.topic == topic) and _fits(model, slot)
    ]
    if not fit:
        raise BadInput(
            f"Problem {slot.number} was credited to everyone, so it isn't asked again, and no other problem of its "
            f"topic asks the same parts: say which takes its place (--replace {slot.number}=ITEM, as calclib items "
            "lists them), correct it (calclib rule --model), or take it out (calclib rule --void)."
        )
    return min(
        fit,
        key=lambda one: (one.skill != slot.skill, shuffle_key(secret, set_name=sealed.name, name=one.id)),
    ).id


def _fits(model: ItemModel, slot: Slot) -> bool:
    """Whether a model asks the parts of a place; the name of an only part doesn't matter."""
    from calclib.releasing.seal import example

    item = example(model, "tenths-and-wholes", f"parts of {model.id}")
    kinds = {part.name: part.kind for part in item.parts}
    if kinds == dict(slot.kinds) and list(kinds) == list(slot.points):
        return True
    return len(kinds) == len(slot.kinds) == 1 and [*kinds.values()] == [*slot.kinds.values()] == ["quantity"]
