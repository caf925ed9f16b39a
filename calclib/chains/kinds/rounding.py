"""Round: to what a device or a policy can deliver, before the next step uses it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calclib.chains.factors import Env, Names, Value
from calclib.chains.step import Step, StepKind
from calclib.quantity.rounding import RoundingRule


@dataclass(frozen=True)
class Round(Step):
    """A value rounded by a rule of the policy."""

    of: str
    rule: RoundingRule

    @property
    def inputs(self) -> tuple[str, ...]:
        """The name of the value."""
        return (self.of,)

    def evaluate(self, env: Env) -> Value:
        """Return the rounded value.

        Raises:
            Undecided: An enclosure straddles a boundary.
        """
        value = env[self.of]
        assert not isinstance(value, str)
        return self.rule.rounded(value)


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Round:
    """Return the step that `of` and the policy's rule (already looked up) describe.

    Raises:
        BadInput: The value is unknown.
    """
    names.unit(fields["of"])
    return Round(**common, of=fields["of"], rule=fields["rule"])


KIND = StepKind(compiled, frozenset({"of", "rule"}))
