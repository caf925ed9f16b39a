"""The list of hostile kinds: a name, what is planted, what eve gets for it, and how a person is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.hostile.hall import Hall

Plant = Callable[[Hall], object]


@dataclass(frozen=True)
class Kind:
    """One way to do harm.

    Attributes:
        name: The way, in a few words.
        plant: Puts it into the inbox or the submissions of a class.
        points: What eve gets in all: 1 for her one right answer, or 0 where nothing of hers can be marked.
        says: Words of the one sentence that a person is told, "" where nobody needs to look.
    """

    name: str
    plant: Plant
    points: float
    says: str


class Kinds(list[Kind]):
    """Collects kinds, each a function that plants it."""

    def add(self, *, points: float, says: str) -> Callable[[Plant], Plant]:
        """Note a function as a kind that is named by it."""

        def note(plant: Plant) -> Plant:
            name = getattr(plant, "__name__", "").replace("_", " ")
            self.append(Kind(name, plant, points, says))
            return plant

        return note
