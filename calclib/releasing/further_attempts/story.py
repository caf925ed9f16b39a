"""What a problem is about: its drug, else its fluids, people and other words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from calclib.models.bank import bank

if TYPE_CHECKING:
    from calclib.items import Item
    from calclib.items.item import StatedGiven
    from calclib.models.model import ItemModel


def story_of(item: Item) -> tuple[str, ...]:
    """Return what a problem is about: its drug, else its fluids, people and other words; nothing if it has none.

    A fluid or a scoring beside the drug makes no other story.
    """
    return story_of_givens(item.model_id, item.givens)


def story_of_givens(model_id: str, givens: Iterable[StatedGiven]) -> tuple[str, ...]:
    """Return what a problem with some givens is about; see `story_of`."""
    model = bank().get(model_id)
    words = [given for given in givens if given.role != "hidden" and _is_words(model, given)]
    drugs = tuple(given.text for given in words if given.name.endswith("drug"))
    return drugs or tuple(given.text for given in words)


def _is_words(model: ItemModel | None, given: StatedGiven) -> bool:
    """Whether a given is words; of faculty's own item model what holds no number."""
    known = model.givens.get(given.name) if model else None
    if known is not None:
        return known.kind == "text"
    return bool(given.text) and not any(sign.isdigit() for sign in given.text)
