"""A set is sealed once, when it is first handed out; later runs find it and change nothing that was drawn."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, update

from calclib import __version__
from calclib.class_files.blueprint import Blueprint, BlueprintLine
from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.set_rules import recorded_rules
from calclib.class_files.toml_lines import recorded_toml
from calclib.errors import BadInput, CalclibError
from calclib.gradebook.notebook import problem_of
from calclib.gradebook.template import change_due, write_template
from calclib.records.frozen.frozen_models import freeze_model
from calclib.records.frozen.frozen_texts import freeze_text
from calclib.records.frozen.policy_texts import marking_text, rounding_text
from calclib.records.frozen.recorded_policies import recorded_model
from calclib.records.history import EventKind, write_history
from calclib.records.rulings.ruling import in_force, keying, keying_rulings_of
from calclib.records.sealed import SealedSet, lock_set, seal_set, sealed_set
from calclib.records.sealed_slots import NONE_NAMED, Replacement, Slot
from calclib.records.tables import SET
from calclib.releasing.printed_rules import costs_in_short, rules_of_set
from calclib.releasing.sign_off import refuse_unsigned
from calclib.releasing.slots import Ordered, models_in_order, slot_of
from calclib.wording import fact, said

if TYPE_CHECKING:
    from calclib.items import Item
    from calclib.models import ItemModel


def sealed_or_found(
    connection: Connection, where: ClassFolder, order: Ordered, secret: bytes, now: dt.datetime
) -> SealedSet:
    """Return the set as it was sealed before, or seal it now.

    Args:
        connection: A connection in a transaction.
        where: The class folder.
        order: The set as it is ordered.
        secret: The course secret.
        now: The time that is recorded.

    Raises:
        BadInput: another set was handed out under this name.
    """
    # Whoever takes it back meanwhile is done first.
    lock_set(connection, order.blueprint.set)
    before = sealed_set(connection, order.blueprint.set)
    if before is not None:
        return _again(connection, before, order.blueprint, now)
    refuse_unsigned(connection, order, secret)
    return _sealed_now(connection, where, order, secret, now)


def example(model: str | ItemModel, rounding: str, seed: str) -> Item:
    """Draw an item of a model, of the bank if it is an id, by the rounding policy of a set."""
    from calclib.items import draw_item
    from calclib.models import item_model
    from calclib.quantity import rounding_policy

    found = item_model(model) if isinstance(model, str) else model
    return draw_item(found, seed, policy=rounding_policy(rounding))


class ModelsToDraw(dict[str, "ItemModel"]):
    """The item models from which a set is drawn, by id; each is recorded.

    As faculty ruled, else faculty's own as it was when the set was first handed out, else the bank's.

    Args:
        connection: A connection in a transaction that holds the set.
        set_name: The set.
    """

    def __init__(self, connection: Connection, set_name: str) -> None:
        super().__init__()
        self.connection = connection
        sealed = sealed_set(connection, set_name)
        slots = sealed.slots if sealed else ()
        self.recorded = {slot.replacement.model: slot.replacement.own for slot in slots if slot.replacement.own}
        self.recorded |= {slot.model: slot.own for slot in slots if slot.own}
        ruled = keying(in_force(keying_rulings_of(connection, set_name))).models
        self.recorded |= {name: ruling.value["hash"] for name, ruling in ruled.items()}

    def __missing__(self, name: str) -> ItemModel:
        from calclib.models import item_model

        recorded = self.recorded.get(name)
        model = item_model(name) if recorded is None else recorded_model(self.connection, recorded)
        if model is None:
            raise CalclibError(fact("errors_releasing.model_not_read", name=name))
        freeze_model(self.connection, model)
        self[name] = model
        return model


def _sealed_now(
    connection: Connection, where: ClassFolder, ordered: Ordered, secret: bytes, now: dt.datetime
) -> SealedSet:
    from calclib.quantity import rounding_policy

    order, marking = ordered.blueprint, ordered.marking
    slots, problems = [], []
    # The template shows no numbers; draws that are thrown away lend it the words of the questions.
    for slot, item in placed(ordered, secret, "template"):
        stem = said("handing_out.each_copy", title=slot.title)
        slots.append(slot)
        problems.append(problem_of(item, number=slot.number, title=slot.title, points=slot.points, stem=stem))
    for model in ordered.own.values():
        freeze_model(connection, model)
    sealed = SealedSet(
        name=order.set,
        title=order.title,
        blueprint=order.text,
        rounding=order.rounding,
        rounding_hash=freeze_text(
            connection, "rounding", order.rounding, rounding_text(rounding_policy(order.rounding))
        ),
        marking=marking.name,
        marking_hash=freeze_text(connection, "marking", marking.name, marking_text(marking)),
        cut_score=order.cut_score,
        due=order.due,
        late_percent=order.late.percent_a_day,
        attempts=order.attempts,
        keep=order.keep,
        slots=tuple(slots),
        library=__version__,
        handed_out=now.isoformat(timespec="seconds"),
    )
    seal_set(connection, sealed)
    rules = rules_of_set(sealed, rounding_policy(order.rounding), marking)
    write_template(connection, where, sealed, tuple(problems), costs_in_short(rules))
    return sealed


def placed(ordered: Ordered, secret: bytes, seed: str) -> Iterator[tuple[Slot, Item]]:
    """Yield each place of a set that is ordered, with an item drawn for it.

    Args:
        ordered: What is ordered.
        secret: The course secret, which fixes whose turn it is where a line names a skill or a topic.
        seed: Any text; the same text draws the same numbers, others in each place.
    """
    from calclib.models import item_model

    order = ordered.blueprint
    for number, (name, points, line) in enumerate(models_in_order(order, ordered.catalogue, secret), start=1):
        own = ordered.own.get(name)
        model = own or item_model(name)
        item = example(model, order.rounding, f"{seed} {number}")
        slot = slot_of(item, number=number, title=model.title, points=points, own=own.hash if own else "")
        yield replace(slot, replacement=_replacement(ordered, line, model)), item


def _replacement(ordered: Ordered, line: BlueprintLine, model: ItemModel) -> Replacement:
    """What a line of a blueprint names to take the place of a problem that goes wrong."""
    from calclib.models import item_model

    if not line.replacement:
        return NONE_NAMED
    own = ordered.own.get(line.replacement)
    other = own or item_model(line.replacement)
    name = visible(line.replacement)
    if other.id == model.id:
        wrong = fact("errors_releasing.replacement_is_the_problem", name=name)
    elif len(other.parts) != len(model.parts):
        asks, room = len(other.parts), len(model.parts)
        wrong = fact("errors_releasing.replacement_asks_other", name=name, asks=asks, model=model.id, room=room)
    else:
        return Replacement(other.id, own.hash if own else "")
    raise BadInput(wrong, where=ordered.file, line=line.line)


def _again(connection: Connection, before: SealedSet, order: Blueprint, now: dt.datetime) -> SealedSet:
    old, new = (recorded_toml(text, where="blueprint") for text in (before.blueprint, order.text))
    fixed = (before.title, before.rounding, old["marking"]) == (order.title, order.rounding, order.marking)
    if not fixed or old["items"] != new["items"]:
        raise BadInput(
            fact("errors_releasing.went_out_otherwise", set_name=order.set, day=before.handed_out[:10]),
            where=f"{order.set}.toml",
        )
    wanted: dict[str, Any] = {
        "cut_score": order.cut_score,
        "due": order.due,
        "late_percent": order.late.percent_a_day,
        "attempts": order.attempts,
        "keep": order.keep,
    }
    changed = {name: value for name, value in wanted.items() if value != getattr(before, name)}
    rules = ("set_rules",) if recorded_rules(before.blueprint) != order.rules else ()
    if changed or rules:
        words = {name: _word(value) for name, value in changed.items()}
        connection.execute(update(SET).where(SET.c.name == before.name).values(**words, blueprint=order.text))
        words |= dict.fromkeys(rules, "changed")
        change_due(connection, before.name, order.due)
        write_history(connection, at=now, kind=EventKind.BLUEPRINT_CHANGED, set_name=before.name, detail=words)
    return replace(before, blueprint=order.text, **changed)


def _word(value: object) -> object:
    if isinstance(value, dt.datetime):
        return value.isoformat()
    return str(value) if isinstance(value, Fraction) else value
