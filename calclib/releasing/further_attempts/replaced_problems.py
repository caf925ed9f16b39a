"""What stands in later attempts in the place of a problem that went wrong: another, or nothing where it is void."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib.class_files.names import visible
from calclib.class_files.reviews import Reviews, read_reviews
from calclib.class_files.seeds import shuffle_key
from calclib.class_files.toml_lines import recorded_toml
from calclib.errors import BadInput
from calclib.records.frozen.frozen_models import freeze_model
from calclib.records.frozen.recorded_policies import recorded_model
from calclib.records.rulings.ruling import Ruling, in_force, rulings_of
from calclib.records.sealed import SealedSet
from calclib.records.sealed_slots import Slot
from calclib.records.tables import ITEM
from calclib.releasing.further_attempts.measured import NOTHING_MEASURED, Measured
from calclib.releasing.proved_model import proved_model, refuse_taken_id
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.items import Item
    from calclib.models import ItemModel

_ASKED = {
    "quantity": fact("errors_releasing.asks_number"),
    "clock": fact("errors_releasing.asks_time"),
    "choice": fact("errors_releasing.asks_choice"),
    "setup": fact("errors_releasing.asks_setup"),
}


@dataclass(frozen=True)
class Replaced:
    """Which places of a set hold another problem in the attempts that are drawn from now on.

    Attributes:
        models: The id of the item model that stands there instead, by number of the problem.
        taken_out: Numbers of the problems that aren't asked any more, since they count for nobody.
        own: Of these models the hash of the recorded text, by id, where the bank doesn't hold them.
    """

    models: Mapping[int, str]
    taken_out: frozenset[int]
    own: Mapping[str, str] = field(default_factory=dict)


AS_HANDED_OUT = Replaced({}, frozenset())


def replaced_problems(
    connection: Connection,
    sealed: SealedSet,
    secret: bytes,
    folder: Path,
    wanted: Mapping[int, str] | None = None,
    known: Measured = NOTHING_MEASURED,
) -> Replaced:
    """Return what stands in the place of problems that faculty credited to everyone or declared void.

    A problem that is void isn't asked again. One that was credited gives way to the one that faculty choose; else to
    the one that has its place by now, unless that was credited too; else to the one that the blueprint names; else to
    one of its skill or topic that asks for answers of the same kinds and that the set didn't hold yet, if it can be one
    that proved as hard for the class.

    Args:
        connection: A connection in a transaction.
        sealed: The set as it was handed out.
        secret: The course secret, which fixes whose turn it is.
        folder: The class folder, which holds the school's reviews.
        wanted: The item model that faculty choose, or a file of theirs, by number of the problem.
        known: How hard problems proved to be for the class.

    Raises:
        BadInput: there is no such model, it asks for more or fewer answers, or none that fits was found for a problem.
    """
    rulings = in_force(rulings_of(connection, sealed.name))
    chosen = wanted or {}
    slots = {slot.number: slot for slot in sealed.slots}
    unknown = next((number for number in chosen if number not in slots), None)
    if unknown is not None:
        raise BadInput(fact("errors_releasing.no_problem", problem=unknown, most=max(slots)))
    void = taken_out_by(sealed, rulings)
    # A credit of an older version speaks of every attempt, later ones too: there the problem stays.
    credited = [ruling for ruling in rulings if ruling.value.get("attempts")]
    bad = [slot for slot in sealed.slots if _whole(slot, credited, "credit") and slot.number not in void]
    search = _Search(connection, sealed, secret, _reviews(sealed, folder), known)
    for number, name in chosen.items():
        search.take(slots[number], search.named(slots[number], name))
    for slot in bad:
        if slot.number not in search.found:
            search.take(slot, search.standing(slot, credited) or search.ordered(slot) or search.another(slot))
    return Replaced(search.found, void, search.own)


def taken_out_by(sealed: SealedSet, rulings: Iterable[Ruling]) -> frozenset[int]:
    """Return the numbers of the problems that some rulings declare void; later attempts don't ask them."""
    known = tuple(rulings)
    return frozenset(slot.number for slot in sealed.slots if _whole(slot, known, "void"))


def fitted(item: Item, slot: Slot) -> Item:
    """Return an item of another model as it stands in a place: its parts have the names by which the place is known."""
    from calclib.items.part_names import with_part_names

    names = list(slot.points)
    if item.model_id == slot.model or len(item.parts) != len(names):
        return item
    return with_part_names(item, names)


class _Search:
    """Finds what takes the place of problems, each item model once.

    Attributes:
        found: The id of the item model by number of the problem.
        own: The hash of recorded item models of faculty's own, by id.
    """

    def __init__(
        self, connection: Connection, sealed: SealedSet, secret: bytes, reviews: Reviews | None, known: Measured
    ) -> None:
        self.connection, self.sealed, self.secret, self.reviews = connection, sealed, secret, reviews
        self.measured = known
        self.found: dict[int, str] = {}
        self.own: dict[str, str] = {}
        wanted = select(ITEM.c.slot, ITEM.c.model_id, ITEM.c.model_hash, ITEM.c.attempt)
        rows = connection.execute(wanted.where(ITEM.c.set_name == sealed.name).distinct().order_by(ITEM.c.attempt))
        self.drawn = tuple(rows.all())
        self.used = {row.model_id for row in self.drawn} | {slot.model for slot in sealed.slots}

    def take(self, slot: Slot, name: str) -> None:
        """Put an item model into a place."""
        self.found[slot.number] = name
        self.used.add(name)

    def standing(self, slot: Slot, credited: Iterable[Ruling]) -> str:
        """The item model that took the place already, "" where it went wrong too or there is none."""
        bad = [ruling for ruling in credited if ruling.kind == "credit" and slot.number in ruling.problems]
        for row in reversed(self.drawn):
            if row.slot != slot.number or any(ruling.in_attempt(row.attempt) for ruling in bad):
                continue
            if row.model_id != slot.model:
                return self._known(row.model_id, row.model_hash)
        return ""

    def ordered(self, slot: Slot) -> str:
        """The item model that the blueprint names for the place, "" if none or if the set held it already."""
        name = slot.replacement.model
        return self._known(name, slot.replacement.own) if name and name not in self.used else ""

    def named(self, slot: Slot, name: str) -> str:
        """The item model that faculty choose, of the bank or in a file of theirs."""
        from calclib.models import bank

        model = proved_model(name) if name.endswith(".toml") else bank().get(name)
        if model is None:
            raise BadInput(fact("errors_releasing.no_model", name=visible(name), problem=slot.number))
        if len(model.parts) != len(slot.points):
            asks, room = len(model.parts), len(slot.points)
            raise BadInput(
                fact(
                    "errors_releasing.other_number_of_answers",
                    name=visible(name),
                    asks=asks,
                    problem=slot.number,
                    room=room,
                )
            )
        if self.reviews and (lacking := self.reviews.lacking(model)):
            raise BadInput(fact("errors_releasing.not_reviewed", name=visible(name), lacking=lacking))
        if name.endswith(".toml"):
            refuse_taken_id(model, self._own_models(), Path(name).name)
            freeze_model(self.connection, model)
        return self._known(model.id, model.hash)

    def _own_models(self) -> Iterator[ItemModel]:
        """The item models of faculty's own that the set holds."""
        for digest in {slot.own for slot in self.sealed.slots} | {slot.replacement.own for slot in self.sealed.slots}:
            if digest and (model := recorded_model(self.connection, digest)):
                yield model

    def another(self, slot: Slot) -> str:
        """An item model of the same skill, or else topic, that proved nearly as hard, whose turn it is."""
        fit = list(self._fitting(slot))
        if not fit:
            asked = tuple(_ASKED[kind] for kind in slot.kinds.values())
            raise BadInput(
                fact(
                    "errors_releasing.nothing_reviewed" if self.reviews else "errors_releasing.nothing_in_its_place",
                    problem=slot.number,
                    asked=asked,
                )
            )
        return min(
            fit,
            key=lambda one: (
                one.skill != slot.skill,
                self.measured.models_apart(slot.model, one.id),
                shuffle_key(self.secret, set_name=self.sealed.name, name=one.id),
            ),
        ).id

    def _fitting(self, slot: Slot) -> Iterator[ItemModel]:
        from calclib.models import bank
        from calclib.releasing.seal import example

        models = bank()
        topic = models[slot.model].topic if slot.model in models else ""
        for model in models.values():
            alike = model.skill == slot.skill or model.topic == topic
            if model.id in self.used or not alike or len(model.parts) != len(slot.points):
                continue
            if self.reviews and self.reviews.lacking(model):
                continue
            parts = example(model, self.sealed.rounding, f"parts of {model.id}").parts
            if [part.kind for part in parts] == [*slot.kinds.values()]:
                yield model

    def _known(self, name: str, digest: str) -> str:
        from calclib.models import bank

        if name not in bank():
            self.own[name] = digest
        return name


def _reviews(sealed: SealedSet, folder: Path) -> Reviews | None:
    """The reviews by which problems are chosen, None where the blueprint doesn't ask for reviewed ones."""
    asked = recorded_toml(sealed.blueprint, where="blueprint").get("reviewed", False)
    return read_reviews(folder) if asked else None


def _whole(slot: Slot, rulings: Iterable[Ruling], kind: str) -> bool:
    """Whether rulings of a kind speak of every part of a problem."""
    here = [ruling for ruling in rulings if ruling.kind == kind]
    return bool(here) and all(any(ruling.covers(slot.number, part, "") for ruling in here) for part in slot.points)
