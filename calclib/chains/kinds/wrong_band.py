"""A rate by bands in which the rest is not taken: a mistake, not a kind for item models."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calclib.chains.factors import Env, Value
from calclib.chains.kinds.band import Band
from calclib.chains.step import Step


@dataclass(frozen=True)
class WholeForRest(Step):
    """The full lower bands, and the last rate for the whole value in the place of the rest.

    Args:
        right: The step done rightly.
    """

    right: Band

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names that the step uses."""
        return self.right.inputs

    def evaluate(self, env: Env) -> Value:
        """Return the wrong amount.

        Raises:
            ZeroDivisionError: The value ends in the first band, so that there is no rest.
        """
        value = env[self.right.of]
        assert not isinstance(value, str)
        reached = self.right.reached(value)
        if reached == 0:
            raise ZeroDivisionError("no rest")
        below = self.right.bands[reached - 1].upto or Fraction(0)
        total = self.right.evaluate({self.right.of: below})
        assert not isinstance(total, str)
        return total + value * self.right.bands[reached].rate
