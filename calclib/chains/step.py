"""What every kind of step has in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calclib.chains.factors import Env, Names, Value
from calclib.quantity.units import Unit


@dataclass(frozen=True)
class Step(ABC):
    """One step of a solution.

    Args:
        name: The name of its result.
        says: The words for its result.
        unit: The unit of its result; no powers for a choice.
        quantity: The kind of quantity by which a policy rounds it on the way ("" if it does not).
        sources: Keys of the sources of its formula.
    """

    name: str
    says: str
    unit: Unit
    quantity: str
    sources: tuple[str, ...]

    @property
    @abstractmethod
    def inputs(self) -> tuple[str, ...]:
        """The names of the values that the step uses, equivalences included."""

    @abstractmethod
    def evaluate(self, env: Env) -> Value:
        """Return the exact result from the values in `env`."""


Compiler = Callable[[Mapping[str, Any], Mapping[str, Any], Names], Step]


@dataclass(frozen=True)
class StepKind:
    """What the file of an item model may say of a step of one kind, and how it becomes a step.

    Args:
        compiled: Makes the step from what all kinds have in common, the fields of its own, and the names in use.
        needed: The fields that it must have.
        optional: The fields that it may have.
    """

    compiled: Compiler
    needed: frozenset[str]
    optional: frozenset[str] = frozenset()
