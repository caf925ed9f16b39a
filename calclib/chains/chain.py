"""A chain: the steps that lead from the stated values to the answers, run on exact numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from calclib.chains.factors import EQUIVALENCE, Env, Names, Value
from calclib.chains.step import Step
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact


@dataclass(frozen=True)
class Edit:
    """A change of a chain: one step replaced, or some values replaced.

    Args:
        step: The step that stands in the place of the one with its name, None to keep all.
        values: New values by name.
        scales: Numbers by which values are multiplied, by name.
        rounding: A rounding put after a step, by the step's name.
    """

    step: Step | None = None
    values: Mapping[str, Value] = field(default_factory=dict)
    scales: Mapping[str, Value] = field(default_factory=dict)
    rounding: Mapping[str, RoundingRule] = field(default_factory=dict)

    @cached_property
    def touches(self) -> frozenset[str]:
        """The names of values and steps that the edit changes."""
        step = (self.step.name,) if self.step else ()
        return frozenset((*step, *self.values, *self.scales, *self.rounding))


NO_EDIT = Edit()


@dataclass(frozen=True)
class Chain:
    """Compiled steps in order.

    Args:
        steps: The steps; each uses given values, equivalences and earlier steps.
        names: Units, components and words of all values.
        conversions: Names of the steps that only convert a given from the form in which it is stated.
        rounded: Roundings that the policy requires on the way, by step name.
    """

    steps: tuple[Step, ...]
    names: Names
    conversions: frozenset[str] = frozenset()
    rounded: Mapping[str, RoundingRule] = field(default_factory=dict)

    @cached_property
    def equivalences(self) -> tuple[str, ...]:
        """The names of the equivalences that the steps use, in order of first use."""
        used = (name for step in self.steps for name in step.inputs if name.startswith(EQUIVALENCE))
        return tuple(dict.fromkeys(name.removeprefix(EQUIVALENCE) for name in used))

    @cached_property
    def by_name(self) -> Mapping[str, Step]:
        """The steps by name."""
        return {step.name: step for step in self.steps}

    def unit(self, name: str) -> Unit:
        """Return the unit of a step or given."""
        return self.by_name[name].unit if name in self.by_name else self.names.unit(name)

    @cached_property
    def _after(self) -> Mapping[str, frozenset[str]]:
        """For each name the steps that depend on it."""
        after: dict[str, set[str]] = {}
        for step in reversed(self.steps):
            mine = {step.name} | after.get(step.name, set())
            for name in step.inputs:
                after.setdefault(name, set()).update(mine)
        return {name: frozenset(steps) for name, steps in after.items()}

    def steps_from(self, touched: frozenset[str]) -> tuple[Step, ...]:
        """Return the steps to run again after a change of some values or steps."""
        if touched not in self._plans:
            stale = touched.union(*(self._after.get(name, frozenset()) for name in touched))
            self._plans[touched] = tuple(step for step in self.steps if step.name in stale)
        return self._plans[touched]

    @cached_property
    def _plans(self) -> dict[frozenset[str], tuple[Step, ...]]:
        return {}

    def rounded_first(self) -> tuple[Fact, ...]:
        """What is told of each value that the policy requires to be rounded on the way."""
        return tuple(_rounded_first(self.by_name[name], rule) for name, rule in self.rounded.items())

    def depends(self, step: str, on: str) -> bool:
        """Return whether a step's value changes with another value."""
        return step == on or step in self._after.get(on, frozenset())

    def ancestors(self, step: str) -> frozenset[str]:
        """Return the step itself and the names of all values that it depends on."""
        if step not in self._behind:
            self._behind[step] = frozenset({step} | {name for name, after in self._after.items() if step in after})
        return self._behind[step]

    @cached_property
    def _behind(self) -> dict[str, frozenset[str]]:
        return {}

    def evaluate(self, env: Env, rounding: Mapping[str, RoundingRule] | None = None) -> dict[str, Value]:
        """Return all values after running the steps.

        Args:
            env: Stated values and equivalences by name.
            rounding: Roundings on the way, by step name; the policy's required ones if None.

        Raises:
            ZeroDivisionError: A denominator is 0.
            Undecided: An irrational value stands too near to a boundary.
        """
        rules = self.rounded if rounding is None else rounding
        values: dict[str, Value] = dict(env)
        for step in self.steps:
            values[step.name] = _rounded(step.evaluate(values), rules.get(step.name))
        return values

    def reevaluate(self, done: Mapping[str, Value], edit: Edit) -> dict[str, Value]:
        """Return all values after an edit, running again only the steps that depend on what it changes.

        Args:
            done: The values of an earlier run of the same chain.
            edit: What is changed.

        Raises:
            ZeroDivisionError: A denominator is 0.
            Undecided: An irrational value stands too near to a boundary.
        """
        values = dict(done)
        for name, scale in edit.scales.items():
            values[name] = _scaled(values[name], scale)
        values.update(edit.values)
        for step in self.steps_from(edit.touches):
            if step.name in edit.values:
                continue
            replaced = edit.step if edit.step is not None and edit.step.name == step.name else step
            value = _rounded(replaced.evaluate(values), edit.rounding.get(step.name) or self.rounded.get(step.name))
            values[step.name] = _scaled(value, edit.scales[step.name]) if step.name in edit.scales else value
        return values


def _rounded_first(step: Step, rule: RoundingRule) -> Fact:
    unit = str(step.unit)
    to = rule.to(unit)
    if to is None:
        return fact("worked.round_first_by_size", phrase=step.says, how=rule.how(unit))
    return fact("worked.round_first", phrase=step.says, to=to)


def _scaled(value: Value, scale: Value) -> Value:
    assert not isinstance(value, str) and not isinstance(scale, str)
    return value * scale


def _rounded(value: Value, rule: RoundingRule | None) -> Value:
    return value if rule is None or isinstance(value, str) else rule.rounded(value)
