"""A colleague's sign-off of a set before it goes out: recorded for exactly what was looked at."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, select

from calclib.class_files.blueprint import read_blueprint
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.class_folder import class_folder
from calclib.class_files.names import visible
from calclib.class_files.secrets_file import read_secret
from calclib.errors import BadInput
from calclib.gradebook.opening import gradebook_transaction
from calclib.records.frozen.policy_texts import marking_text, rounding_text
from calclib.records.history import EventKind, write_history
from calclib.records.tables import HISTORY
from calclib.releasing.ordered_set import ordered_set
from calclib.releasing.slots import Ordered, models_in_order
from calclib.wording.facts import fact

_LONGEST_NAME = 120


@dataclass(frozen=True)
class SignedOff:
    """A sign-off as it is recorded.

    Attributes:
        set_name: The set.
        by: Who signed.
        at: When, ISO 8601.
        content: Hash of what was signed.
    """

    set_name: str
    by: str
    at: str
    content: str


def sign_off(folder: Path, blueprint: Path | str, *, by: str, now: dt.datetime) -> SignedOff:
    """Record that a colleague has looked at the preview of a set and signed it.

    Args:
        folder: The class folder.
        blueprint: The blueprint's file, or the name of a set.
        by: Who signs.
        now: The time that is recorded.

    Raises:
        BadInput: the blueprint or a file that it names is wrong, or no name is given.
    """
    name = name_of_signer(by)
    where = class_folder(folder)
    file = where.blueprint(blueprint) if isinstance(blueprint, str) else blueprint
    catalogue = whole_catalogue()
    order = read_blueprint(file, catalogue)
    ordered = ordered_set(order, catalogue, file)
    content = content_of(ordered, read_secret(where.secret))
    with gradebook_transaction(where) as connection:
        detail = {"by": name, "content": content}
        write_history(connection, at=now, kind=EventKind.SIGNED_OFF, set_name=order.set, detail=detail)
    return SignedOff(order.set, name, now.isoformat(timespec="seconds"), content)


def name_of_signer(by: str) -> str:
    """Return the name of whoever signs, as it is recorded.

    Raises:
        BadInput: it is no name.
    """
    name = " ".join(by.split())
    if not name or len(name) > _LONGEST_NAME or not name.isprintable():
        raise BadInput(fact("errors_releasing.who_signs", most=_LONGEST_NAME))
    return name


def content_of(ordered: Ordered, secret: bytes) -> str:
    """Return a hash of what a set is drawn from and marked by: blueprint, item models and policies as they are now."""
    from calclib.models import item_model
    from calclib.quantity import rounding_policy

    order = ordered.blueprint
    texts = [order.text, rounding_text(rounding_policy(order.rounding)), marking_text(ordered.marking)]
    for name, _, line in models_in_order(order, ordered.catalogue, secret):
        names = (name, line.replacement) if line.replacement else (name,)
        texts += [(ordered.own.get(one) or item_model(one)).hash for one in names]
    return hashlib.sha256("\x1f".join(texts).encode()).hexdigest()


def sign_offs(connection: Connection, set_name: str) -> tuple[SignedOff, ...]:
    """Return the sign-offs of a set, oldest first."""
    wanted = select(HISTORY.c.at, HISTORY.c.detail).where(
        HISTORY.c.set_name == set_name, HISTORY.c.event == EventKind.SIGNED_OFF.value
    )
    found = []
    for row in connection.execute(wanted.order_by(HISTORY.c.id)):
        detail = json.loads(row.detail)
        found.append(SignedOff(set_name, detail["by"], row.at, detail["content"]))
    return tuple(found)


def refuse_unsigned(connection: Connection, ordered: Ordered, secret: bytes) -> None:
    """Refuse a set that its blueprint wants signed, and that nobody has signed as it is.

    Raises:
        BadInput: nobody has, or something of it has changed since.
    """
    order = ordered.blueprint
    if not order.rules.signed_off:
        return
    known = sign_offs(connection, order.set)
    if any(one.content == content_of(ordered, secret) for one in known):
        return
    how = fact("errors_releasing.show_and_sign")
    if not known:
        raise BadInput(fact("errors_releasing.not_signed_off", how=how))
    last = known[-1]
    raise BadInput(fact("errors_releasing.changed_since_signed", by=visible(last.by), day=last.at[:10], how=how))
