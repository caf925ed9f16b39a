"""Compare and choose: is a value below, within or above its limits?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from calclib.chains.factors import Env, Factor, Names, Value, bridged, product_value
from calclib.chains.kinds.choice import Choice
from calclib.chains.step import StepKind
from calclib.errors.messages import BadInput
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Compare(Choice):
    """The choice that follows from where a value lies; a value equal to a limit is within.

    Args:
        value: The value that is judged.
        low: The lower limit (empty if there is none).
        high: The upper limit (empty if there is none).
        choices: What follows below, within and above.
        if_missed: What it would mean to miss that a value lies below, within or above, in sentences.
    """

    value: tuple[Factor, ...]
    low: tuple[Factor, ...]
    high: tuple[Factor, ...]
    choices: Mapping[str, str]
    if_missed: Mapping[str, str] = field(default_factory=dict)

    @property
    def inputs(self) -> tuple[str, ...]:
        """The names of value and limits."""
        return tuple(f.name for part in (self.value, self.low, self.high) for f in part if f.number is None)

    @property
    def labels(self) -> tuple[str, ...]:
        """What follows below, within and above, each once."""
        return tuple(dict.fromkeys(self.choices.values()))

    @property
    def proceed(self) -> str:
        """What follows within the limits."""
        return self.choices["within"]

    def missed(self, label: str) -> str:
        """Return what it would mean to choose another label where this one is right."""
        return next((self.if_missed.get(side, "") for side, one in self.choices.items() if one == label), "")

    def evaluate(self, env: Env) -> Value:
        """Return the label of the choice."""
        value = product_value(self.value, env)
        if self.low and value < product_value(self.low, env):
            return self.choices["below"]
        if self.high and value > product_value(self.high, env):
            return self.choices["above"]
        return self.choices["within"]


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Compare:
    """Return the step that `value`, `low`, `high` and `choices` describe.

    Raises:
        BadInput: A name is unknown, units do not fit, or a choice is missing.
    """
    unit = names.unit(fields["value"])

    def side(name: str | None) -> tuple[Factor, ...]:
        if not name:
            return ()
        names.unit(name)
        return bridged((Factor(name, 1),), names, unit, common["name"], per_dose=True)

    low, high = side(fields.get("low")), side(fields.get("high"))
    choices = dict(fields["choices"])
    for needed, there in (("within", True), ("below", bool(low)), ("above", bool(high))):
        if there and needed not in choices:
            raise BadInput(fact("errors_chains.choice_missing", step=common["name"], choice=needed))
    if not low and not high:
        raise BadInput(fact("errors_chains.no_limit", step=common["name"]))
    missed = dict(fields.get("missed", {}))
    if unknown := set(missed) - set(choices):
        raise BadInput(fact("errors_chains.unknown_choice", step=common["name"], choice=min(unknown)))
    return Compare(**common, value=side(fields["value"]), low=low, high=high, choices=choices, if_missed=missed)


KIND = StepKind(compiled, frozenset({"value", "choices"}), frozenset({"low", "high", "missed"}))
