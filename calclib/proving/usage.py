"""Givens of a model that nothing uses, and distractors that are used after all."""

from __future__ import annotations

import re
from collections.abc import Iterator

from calclib.chains.chain import Chain
from calclib.models.model import Formula, FromRow, ItemModel, TableRow
from calclib.wording.facts import Fact, fact


def unused_givens(model: ItemModel, chain: Chain) -> Iterator[tuple[str, Fact]]:
    """Yield each given that does not do what its role says, and why.

    Args:
        model: The model.
        chain: The model compiled for one way of stating its givens.
    """
    used = {_given(name) for part in model.parts for name in chain.ancestors(part.asks)}
    behind = _behind_draws(model)
    for name, given in model.givens.items():
        if given.kind == "text" or isinstance(given.draw, TableRow):
            continue
        if given.role == "distractor" and name in used:
            yield name, fact("errors_proving.used_distractor", name=name)
        elif given.role == "stated" and name not in used:
            yield name, fact("errors_proving.unused_given", name=name)
        elif given.role == "hidden" and name not in used | behind:
            yield name, fact("errors_proving.unused_hidden", name=name)
        elif given.role == "column" and name not in used | behind and name not in model.printed:
            yield name, fact("errors_proving.unused_column", name=name)


def _given(name: str) -> str:
    """The given to which a name in a chain belongs: strength for strength.amount."""
    return re.sub(r"\.(?:stated|amount|volume)$", "", name)


def _behind_draws(model: ItemModel) -> set[str]:
    """Names that formulas and constraints use."""
    names: set[str] = set()
    for given in model.givens.values():
        if isinstance(given.draw, Formula):
            names |= {power.name for power in given.draw.powers}
        elif isinstance(given.draw, FromRow):
            names.add(f"{given.draw.row}.{given.draw.column}")
    for condition in model.where:
        names |= {power.name for power in (*condition.left, *condition.right)}
    return names
