"""Who of a school has reviewed which item models and drugs: `reviews.toml`, beside the blueprints.

[[model]]              an item model that was looked at, as it was in one version
  id, version
[[drug]]               a drug's row in the formulary
  name
  by, on               of each: who looked at it, and the date, such as "2026-03-01"
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from calclib.class_files.blueprint import Blueprint
from calclib.class_files.catalogue import Catalogue
from calclib.class_files.names import visible
from calclib.class_files.text_files import read_text_file
from calclib.class_files.toml_lines import line_of, read_toml
from calclib.errors import BadInput
from calclib.wording.facts import Fact, fact

if TYPE_CHECKING:
    from calclib.models import ItemModel

FILE = "reviews.toml"
# Every item model and every drug that ships, with long names.
_LONGEST = 256_000
_FIELDS = {"model": ("id", "version", "by", "on"), "drug": ("name", "by", "on")}


@dataclass(frozen=True)
class Reviews:
    """What was reviewed: versions of item models by id, and drugs by generic name."""

    models: frozenset[tuple[str, int]] = frozenset()
    drugs: frozenset[str] = frozenset()

    def lacking(self, model: ItemModel) -> Fact | None:
        """Return what of a model nobody has reviewed; None if all of it is."""
        from calclib.formulary import drug_named

        if not model.reviews and (model.id, model.version) not in self.models:
            return fact("errors_class_files.version_of_it", version=model.version)
        missing = [name for name in model.formulary if name not in self.drugs and not drug_named(name).reviews]
        return fact("errors_class_files.drugs_of_formulary", drugs=tuple(missing)) if missing else None


def read_reviews(folder: Path) -> Reviews:
    """Return the reviews that a school has recorded in a folder, none if it has no `reviews.toml`.

    Raises:
        BadInput: A table lacks a field, or a date is none; with the line.
    """
    path = folder / FILE
    if not path.is_file():
        return Reviews()
    text = read_text_file(path)
    top = read_toml(text, where=FILE, longest=_LONGEST)
    for kind in top:
        if kind not in _FIELDS:
            raise BadInput(fact("errors_class_files.no_review", name=visible(kind)), where=FILE, line=1)
        if not isinstance(top[kind], list) or not all(isinstance(row, dict) for row in top[kind]):
            raise BadInput(fact("errors_class_files.review_no_table", table=kind), where=FILE, line=line_of(text, kind))
    rows = {kind: [_row(text, kind, number, row) for number, row in enumerate(top.get(kind, ()))] for kind in _FIELDS}
    models = frozenset((str(row["id"]), row["version"]) for row in rows["model"])
    return Reviews(models, frozenset(str(row["name"]) for row in rows["drug"]))


def _row(text: str, kind: str, number: int, row: Mapping[str, Any]) -> Mapping[str, Any]:
    def refuse(what: Fact) -> NoReturn:
        line = line_of(text, next(iter(row), ""), table=kind, number=number)
        raise BadInput(what, where=FILE, line=line)

    for name in _FIELDS[kind]:
        value = row.get(name)
        right = type(value) is int if name == "version" else isinstance(value, str) and bool(value.strip())
        if not right:
            refuse(fact("errors_class_files.fields_of_review", table=kind, fields=tuple(_FIELDS[kind])))
        if not str(value).isprintable():
            refuse(fact("errors_class_files.unseen_in_review", name=name))
    try:
        dt.date.fromisoformat(row["on"])
    except ValueError:
        refuse(fact("errors_class_files.date_of_review"))
    return row


def reviewed_only(order: Blueprint, catalogue: Catalogue, blueprint: Path) -> Catalogue:
    """Return the catalogue without the item models that nobody has reviewed, where a blueprint asks for that.

    Args:
        order: The blueprint.
        catalogue: All item models of the bank.
        blueprint: Its file, beside which the school's reviews stand.

    Raises:
        BadInput: A line of the blueprint has no reviewed item model; says what is lacking.
    """
    if not order.reviewed:
        return catalogue
    from calclib.models import bank

    reviews = read_reviews(blueprint.parent)
    lacking = {name: reviews.lacking(bank()[name]) for name in catalogue.skills}
    kept = Catalogue(
        {name: skill for name, skill in catalogue.skills.items() if not lacking[name]},
        {name: topic for name, topic in catalogue.topics.items() if not lacking[name]},
        catalogue.rounding,
        catalogue.marking,
    )
    for line in order.lines:
        missing = lacking.get(line.name) if line.by == "item" else None
        if other := lacking.get(line.replacement):
            raise BadInput(_nobody(line.replacement, other), where=blueprint.name, line=line.line)
        if missing or (line.by != "item" and not kept.models(line.by, line.name)):
            raise BadInput(_nobody(line.name, missing), where=blueprint.name, line=line.line)
    return kept


def refuse_unreviewed(order: Blueprint, own: Mapping[str, ItemModel], blueprint: Path) -> None:
    """Refuse a file of faculty's own that nobody has reviewed, where a blueprint asks for that.

    Raises:
        BadInput: There is one; with its line.
    """
    reviews = read_reviews(blueprint.parent) if order.reviewed else Reviews()
    for line in order.lines if order.reviewed else ():
        for name in line.own_files:
            if name in own and (missing := reviews.lacking(own[name])):
                raise BadInput(_nobody(name, missing), where=blueprint.name, line=line.line)


def _nobody(name: str, lacking: Fact | None) -> Fact:
    if lacking is None:
        return fact("errors_class_files.none_reviewed", name=name, file=FILE)
    return fact("errors_class_files.not_reviewed", name=name, lacking=lacking, file=FILE)
