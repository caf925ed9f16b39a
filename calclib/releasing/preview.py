"""A look at a set before it is handed out: a sample notebook and all that a colleague reviews; nothing is recorded."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from calclib.class_files.blueprint import Blueprint, read_blueprint
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.class_folder import class_folder
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.text_files import replace_file
from calclib.gradebook.notebook import notebook_bytes, problem_of, render_notebook
from calclib.records.database import reading
from calclib.records.sealed import sealed_set
from calclib.records.sealed_slots import Slot
from calclib.releasing.ordered_set import ordered_set
from calclib.releasing.printed_rules import costs_in_short, rule_lines, rules_of_order
from calclib.releasing.seal import placed
from calclib.releasing.sign_off import SignedOff, content_of, sign_offs

if TYPE_CHECKING:
    from calclib.items import Item
    from calclib.models import ItemModel

_NOBODY = "preview"


@dataclass(frozen=True)
class Previewed:
    """A sample of a set.

    Attributes:
        order: The set as it is ordered.
        notebook: Where the sample is.
        problems: Each place of the set, with an item drawn for it and its item model.
        rules: The rules that the notebooks print.
        handed_out: When a set of this name was handed out, "" if it wasn't.
        signed: The sign-offs of exactly this set.
        content: Hash of what is signed.
    """

    order: Blueprint
    notebook: Path
    problems: tuple[tuple[Slot, Item, ItemModel], ...]
    rules: tuple[str, ...]
    handed_out: str
    signed: tuple[SignedOff, ...]
    content: str

    @property
    def page(self) -> Path:
        """Where the page for a colleague's review goes."""
        return self.notebook.with_suffix(".html")


def preview(folder: Path, blueprint: Path | str) -> Previewed:
    """Write the notebook that an invented student would get beside the blueprint; no record is touched.

    Args:
        folder: The class folder.
        blueprint: The blueprint's file, or the name of a set that was handed out before.

    Raises:
        BadInput: the class isn't started, or the blueprint or a file that it names is wrong.
    """
    from calclib.models import item_model
    from calclib.quantity import rounding_policy

    where = class_folder(folder)
    file = where.blueprint(blueprint) if isinstance(blueprint, str) else blueprint
    catalogue = whole_catalogue()
    order = read_blueprint(file, catalogue)
    ordered = ordered_set(order, catalogue, file)
    secret = read_secret(where.secret)
    content = content_of(ordered, secret)
    with reading(where) as connection:
        before = sealed_set(connection, order.set)
        signed = tuple(one for one in sign_offs(connection, order.set) if one.content == content)
    drawn = tuple(placed(ordered, secret, _NOBODY))
    own = {model.id: model for model in ordered.own.values()}
    rules = rules_of_order(order, rounding_policy(order.rounding), ordered.marking)
    lines = rule_lines(rules, order.due, order.zone)
    # Handed in by mistake, it is set aside: nobody has that pseudonym.
    notebook = render_notebook(
        set_name=order.set,
        title=f"{order.title} (preview)",
        problems=tuple(
            problem_of(item, number=slot.number, title=slot.title, points=slot.points) for slot, item in drawn
        ),
        made_for=_NOBODY,
        tag=_NOBODY,
        rules=lines,
        costs=costs_in_short(rules),
    )
    path = file.parent / f"{order.set}-preview.ipynb"
    replace_file(path, notebook_bytes(notebook))
    problems = tuple((slot, item, own.get(item.model_id) or item_model(item.model_id)) for slot, item in drawn)
    return Previewed(order, path, problems, lines, before.handed_out if before else "", signed, content)
