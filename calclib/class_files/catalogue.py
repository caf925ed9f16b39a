"""Which items, skills, topics and policies a blueprint may name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Catalogue:
    """Names that a blueprint may use.

    Attributes:
        skills: Skill of each item model, by its id, in the order of learning.
        topics: Topic of each item model, by its id.
        rounding: Names of the rounding policies.
        marking: Names of the marking policies.
    """

    skills: Mapping[str, str]
    topics: Mapping[str, str]
    rounding: frozenset[str]
    marking: frozenset[str]

    def names(self, by: str) -> frozenset[str]:
        """Return the names that a blueprint line may give: `by` is "item", "skill" or "topic"."""
        if by == "item":
            return frozenset(self.skills)
        return frozenset((self.skills if by == "skill" else self.topics).values())

    def models(self, by: str, name: str) -> tuple[str, ...]:
        """Return the ids of the item models that a blueprint line stands for, in the order of learning."""
        if by == "item":
            return (name,)
        of = self.skills if by == "skill" else self.topics
        return tuple(model for model, group in of.items() if group == name)


def whole_catalogue() -> Catalogue:
    """Return the catalogue of the bank and of the policies that come with the library."""
    from calclib.answers import marking_policies
    from calclib.models import bank
    from calclib.quantity import rounding_policies

    models = sorted(bank().values(), key=lambda model: (model.order, model.id))
    return Catalogue(
        skills={model.id: model.skill for model in models},
        topics={model.id: model.topic for model in models},
        rounding=frozenset(rounding_policies()),
        marking=frozenset(marking_policies()),
    )
