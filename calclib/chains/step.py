"""What every kind of step has in common."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

from calclib.chains.factors import Env, Value
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
