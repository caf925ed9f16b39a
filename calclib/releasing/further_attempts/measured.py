"""How hard problems proved to be for the class: how many had them right at first attempts, by item model and story."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from types import MappingProxyType

from sqlalchemy import Connection, select

from calclib.items.item import StatedGiven
from calclib.records.rulings.ruling import in_force, rulings_of
from calclib.records.sealed import sets_in_order
from calclib.records.tables import ITEM, MARK
from calclib.releasing.further_attempts.story import story_of_givens

FEWEST = 10
"""Of fewer answers nothing is taken to be measured."""

_STEP = Fraction(5, 100)
_WEIGHT = 10
"""A story's share of right answers is drawn toward its model's, as if so many more answers were as the model's are."""

Count = tuple[int, int]
Story = tuple[str, ...]


@dataclass(frozen=True)
class Measured:
    """How many first attempts at a problem were right, and of how many.

    Attributes:
        models: By item model.
        stories: By item model and story.
    """

    models: Mapping[str, Count] = field(default_factory=lambda: MappingProxyType({}))
    stories: Mapping[tuple[str, Story], Count] = field(default_factory=lambda: MappingProxyType({}))

    def of_model(self, model: str) -> Fraction | None:
        """Return the share of right answers to an item model, 0 to 1; None where too few are known."""
        right, of = self.models.get(model, (0, 0))
        return Fraction(right, of) if of >= FEWEST else None

    def of_story(self, model: str, story: Story) -> Fraction | None:
        """Return the share of right answers to an item model with a story, 0 to 1; None where too few are known."""
        right, of = self.stories.get((model, story), (0, 0))
        whole = self.of_model(model)
        return None if whole is None or of < FEWEST else (right + _WEIGHT * whole) / (of + _WEIGHT)

    def apart(self, model: str, story: Story, other: Story) -> int:
        """Return by how many steps of 5 points of 100 two stories differ, 0 where too little is known of either."""
        one, two = self.of_story(model, story), self.of_story(model, other)
        return 0 if one is None or two is None else int(abs(one - two) / _STEP)

    def models_apart(self, model: str, other: str) -> int:
        """Return by how many steps two item models differ: 2 where only the first is known, 0 where it isn't."""
        one, two = self.of_model(model), self.of_model(other)
        if one is None:
            return 0
        return 2 if two is None else int(abs(one - two) / _STEP)


NOTHING_MEASURED = Measured()


def measured(connection: Connection, models: Collection[str] | None = None) -> Measured:
    """Return what the class's own records tell of its problems, all sets taken together.

    Problems that faculty credited to everyone or declared void tell nothing.

    Args:
        connection: The class's database.
        models: The item models whose stories are told apart; those of all if None.
    """
    of_model: dict[str, Count] = {}
    of_story: dict[tuple[str, Story], Count] = {}
    for name in sets_in_order(connection):
        bad = {
            number
            for ruling in in_force(rulings_of(connection, name))
            if ruling.kind in ("credit", "void")
            for number in ruling.problems
        }
        right = _right(connection, name)
        wanted = select(ITEM.c.pseudonym, ITEM.c.slot, ITEM.c.model_id, ITEM.c.record)
        for row in connection.execute(wanted.where(ITEM.c.set_name == name, ITEM.c.attempt == 1)):
            known = right.get((row.pseudonym, row.slot))
            if known is None or row.slot in bad:
                continue
            of_model[row.model_id] = _added(of_model.get(row.model_id), known)
            if models is None or row.model_id in models:
                givens = map(StatedGiven._make, json.loads(row.record).get("givens", ()))
                key = row.model_id, story_of_givens(row.model_id, givens)
                of_story[key] = _added(of_story.get(key), known)
    return Measured(of_model, of_story)


def _right(connection: Connection, set_name: str) -> dict[tuple[str, int], bool]:
    """Whether every part of a problem was right at the first attempt, by pseudonym and number of the problem."""
    found: dict[tuple[str, int], bool] = {}
    wanted = select(MARK.c.pseudonym, MARK.c.slot, MARK.c.right)
    for row in connection.execute(wanted.where(MARK.c.set_name == set_name, MARK.c.attempt == 1)):
        key = row.pseudonym, row.slot
        found[key] = found.get(key, True) and row.right
    return found


def _added(count: Count | None, right: bool) -> Count:
    before = count or (0, 0)
    return before[0] + right, before[1] + 1
