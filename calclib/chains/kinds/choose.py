"""Choose: the smallest of several syringes, vials or sets that holds a value."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calclib.chains.factors import Env, Names, Value
from calclib.chains.kinds.choice import Choice
from calclib.chains.step import StepKind
from calclib.errors.messages import BadInput
from calclib.quantity.amounts import parse_amount
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit
from calclib.wording.facts import fact


@dataclass(frozen=True)
class Option:
    """What can be chosen for values up to a limit, the limit included; the last may have none."""

    upto: Fraction | None
    label: str


@dataclass(frozen=True)
class Choose(Choice):
    """The first option whose limit is not below the value.

    Args:
        of: The value's name.
        options: The options in rising order.
        shift: Options by which the choice is off (0; a fault takes a neighbor).
    """

    of: str
    options: tuple[Option, ...]
    shift: int = 0

    @property
    def inputs(self) -> tuple[str, ...]:
        """The name of the value."""
        return (self.of,)

    @property
    def labels(self) -> tuple[str, ...]:
        """The labels of the options."""
        return tuple(dict.fromkeys(option.label for option in self.options))

    def evaluate(self, env: Env) -> Value:
        """Return the label of the option.

        Raises:
            BadInput: No option holds the value.
        """
        value = env[self.of]
        assert not isinstance(value, str)
        for place, option in enumerate(self.options):
            if option.upto is None or value <= option.upto:
                if not 0 <= place + self.shift < len(self.options):
                    raise ZeroDivisionError("no neighboring option")
                return self.options[place + self.shift].label
        raise BadInput(fact("errors_chains.no_option", step=self.name, of=self.of, value=str(value)))


def compiled(common: Mapping[str, Any], fields: Mapping[str, Any], names: Names) -> Choose:
    """Return the step that `of` and `options` describe.

    Raises:
        BadInput: The value is unknown, a limit measures something else, or the options do not rise.
    """
    unit = names.unit(fields["of"])
    options = tuple(Option(_limit(row, unit, common["name"]), row["label"]) for row in fields["options"])
    limits = [option.upto for option in options[:-1]]
    known = [limit for limit in (*limits, options[-1].upto) if limit is not None]
    if None in limits or sorted(set(known)) != known or len(options) < 2:
        raise BadInput(fact("errors_chains.order_of_options", step=common["name"]))
    return Choose(**common, of=fields["of"], options=options)


def _limit(row: Mapping[str, str], unit: Unit, step: str) -> Fraction | None:
    if "upto" not in row:
        return None
    value, have = parse_amount(row["upto"])
    factor = Fraction(1) if have == unit else bridge_factor(have, unit, {})
    if factor is None:
        raise BadInput(fact("errors_chains.unit_of_limit", step=step, text=row["upto"], unit=str(unit)))
    return value * factor


KIND = StepKind(compiled, frozenset({"of", "options"}))
