"""One draw worked out as far as its order: the values of all steps, and what speaks against it before it is keyed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from calclib.chains.factors import Value
from calclib.chains.kinds.decide import Decide
from calclib.errors.messages import BadInput, told_of
from calclib.formulary.order import Order
from calclib.items.compiled import CompiledModel, compiled
from calclib.items.keys.keying import variants_of
from calclib.items.orders import Beyond, beyond, orders_of
from calclib.items.stated_rounding import rounded_as_stated
from calclib.models.model import ItemModel
from calclib.models.stated import Stated
from calclib.quantity.enclosure import Undecided
from calclib.quantity.rounding import RoundingPolicy
from calclib.wording.facts import Fact, fact


class Refused(Enum):
    """Why a draw is not used.

    It can't be computed, a constraint fails, a pharmacist would stop its order, it is not fair, or mistakes share an
    answer.
    """

    NOT_COMPUTED = "not computed"
    IMPLAUSIBLE = "implausible"
    BEYOND = "beyond the formulary"
    UNFAIR = "unfair"
    AMBIGUOUS = "ambiguous"


@dataclass(frozen=True)
class Against:
    """What speaks against a draw, and of which kind it is."""

    why: Fact
    refused: Refused


@dataclass(frozen=True)
class Computed:
    """The values of a draw.

    Args:
        model: The item model, with the rounding that its stem states.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: The values of all steps.
        variants: Values that count as right for each conversion, the key's first.
        orders: The orders that its right answers carry out.
        found: In what they go beyond the formulary; empty but for a teacher's numbers.
        note: What is unusual about the values; None but for a teacher's numbers.
    """

    model: ItemModel
    ready: CompiledModel
    stated: Mapping[str, Stated]
    done: Mapping[str, Value]
    variants: Mapping[str, tuple[Fraction, ...]]
    orders: tuple[Order, ...]
    found: tuple[Beyond, ...]
    note: Fact | None

    @property
    def stopped(self) -> Fact | None:
        """That a pharmacist would stop the order, None if nobody would."""
        return _stopped(self.found)


def computed(
    model: ItemModel, policy: RoundingPolicy, use: Mapping[str, Fraction], stated: Mapping[str, Stated], *, fixed: bool
) -> Computed | Against:
    """Return the values of a draw, or why it is not used.

    Args:
        model: The item model.
        policy: The rounding policy.
        use: Values of equivalences that a teacher fixed.
        stated: The givens as stated.
        fixed: Whether a teacher fixed numbers: then it is used whatever they are, if it can be computed.
    """
    model = rounded_as_stated(model, stated, policy)
    ready = compiled(model, stated, policy)
    variants = variants_of(model, ready.chain, policy, use)
    try:
        env = environment(ready, stated)
        done = ready.chain.evaluate({**env, **{f"eq:{name}": values[0] for name, values in variants.items()}})
        doubtful = any(isinstance(step, Decide) and step.held(done) > 1 for step in ready.chain.steps)
        broken = [one.condition.text for one in ready.where if not one.holds(done)]
    except (ZeroDivisionError, Undecided, BadInput) as error:
        return Against(fact("draw.not_computed", error=told_of(error)), Refused.NOT_COMPUTED)
    note = fact("draw.outside", conditions=tuple(broken)) if broken else None
    note = note or (fact("draw.two_findings") if doubtful else None)
    if note and not fixed:
        return Against(note, Refused.IMPLAUSIBLE)
    orders = tuple(orders_of(model, stated, ready.chain, done)) if model.orders else ()
    found = tuple(beyond(model, orders))
    if found and not fixed and (stopped := _stopped(found)) is not None:
        return Against(stopped, Refused.BEYOND)
    return Computed(model, ready, stated, done, variants, orders, found, note)


def _stopped(found: tuple[Beyond, ...]) -> Fact | None:
    kinds = tuple(dict.fromkeys(str(one.finding.kind) for one in found))
    return fact("draw.beyond", kinds=kinds) if found else None


def environment(ready: CompiledModel, stated: Mapping[str, Stated]) -> dict[str, Fraction | str]:
    """Return the values of all stated numbers and constants by name."""
    env: dict[str, Fraction | str] = dict(ready.constants)
    for value in stated.values():
        env.update(value.numbers)
    return env
