"""What of the formulary an item model was drawn with, so that it is recorded beside it: drugs, and bodies."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from calclib.errors.messages import BadInput
from calclib.formulary.body import BODY, shipped_body
from calclib.formulary.catalogue import drug_text
from calclib.models.model import Choices, FromRow, TableRow
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.models.model import GivenModel
    from calclib.models.orders import OrderModel

RowText = Callable[[str], str | None]
"""From the hash of a recorded text of a drug to the text; None if it isn't recorded."""

_HEAD = "\n[formulary]\n"


def own_text(text: str) -> str:
    """Return the text of a model's file without the list of the formulary's rows that is recorded with it."""
    return text.partition(_HEAD)[0]


def with_rows(text: str, rows: Mapping[str, str]) -> str:
    """Return the text as it is recorded: the file, and for each drug the hash of its text."""
    lines = "".join(f'"{name}" = "{digest}"\n' for name, digest in sorted(rows.items()))
    return f"{text}{_HEAD}{lines}" if rows else text


def drugs_of(
    orders: Iterable[OrderModel],
    givens: Mapping[str, GivenModel],
    rows: Mapping[str, tuple[Mapping[str, object], ...]],
    selected: Iterable[str] = (),
) -> Mapping[str, str]:
    """Return the hash of the text of each drug by generic name, of those that the formulary has.

    Args:
        orders: The orders, with the names of drugs that they may use.
        givens: The givens from which the names come.
        rows: The tables from which the givens come.
        selected: The drugs that the tables select.
    """
    found = {}
    for name in selected:
        known = drug_text(name)
        assert known is not None
        found[known[0]] = hashlib.sha256(known[1].encode()).hexdigest()
    for order in orders:
        said = order.words.get("drug", "")
        for name in _texts(givens[said], givens, rows) if said in givens else (said,):
            known = drug_text(name)
            if known is not None:
                found[known[0]] = hashlib.sha256(known[1].encode()).hexdigest()
    return found


def _texts(
    given: GivenModel, givens: Mapping[str, GivenModel], rows: Mapping[str, tuple[Mapping[str, object], ...]]
) -> Iterator[str]:
    """All that a text given may say."""
    if isinstance(given.draw, Choices):
        yield from given.draw.texts
    elif isinstance(given.draw, FromRow) and isinstance((row := givens[given.draw.row]).draw, TableRow):
        for one in rows[row.draw.table]:
            cell = one.get(given.draw.column)
            yield from map(str, cell) if isinstance(cell, list) else (str(cell),)


def recorded_texts(rows: Mapping[str, str], row_text: RowText | None) -> Mapping[str, str]:
    """Return the recorded text of each drug by its name, and of what a body takes; {} where nothing is recorded.

    Args:
        rows: The hash of each text.
        row_text: What finds a recorded text.

    Raises:
        BadInput: A text is neither recorded nor the one that ships.
    """
    found = {}
    for name, digest in rows.items():
        text = row_text(digest) if row_text is not None else None
        shipped = shipped_text(name)
        if text is None and shipped is not None and hashlib.sha256(shipped.encode()).hexdigest() == digest:
            text = shipped
        if text is None:
            raise BadInput(fact("errors_models.row_missing", name=name))
        found[name] = text
    return found


def shipped_text(name: str) -> str | None:
    """Return the text that ships of a drug, or of what a body takes; None if there is none."""
    if name == BODY:
        return shipped_body().text
    known = drug_text(name)
    return None if known is None else known[1]


def body_row() -> Mapping[str, str]:
    """Return the hash of what a body takes, as it is recorded beside the drugs of a model that states orders."""
    return {BODY: hashlib.sha256(shipped_body().text.encode()).hexdigest()}
