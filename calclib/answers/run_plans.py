"""Which answers set an infusion that can be run, and from what: derived from an item model's steps, never listed.

An answer can be run where it is a rate that is set on a pump, a rate of drops by a drop factor, a volume entered beside
such a rate, or the time that a volume takes at a rate. What the bag holds and how long it is to take are the factors of
the step that is asked, and where the step has neither, as in a titrated infusion, an hour is looked at.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from calclib.answers.units import typed_unit
from calclib.chains.expression import parse_product, parse_sum
from calclib.errors.messages import BadInput
from calclib.models.bank import item_model
from calclib.models.model import ItemModel, PartModel, StepModel

OF_THE_KEY = "part:"
PUMP = "pump"
VOLUME, TIME, FLOW, DROP_FACTOR, DROPS = "mL", "min", "mL/h", "gtt/mL", "gtt/min"
MOST_EXPANDED = 6


@dataclass(frozen=True)
class RunPlan:
    """How one answer is run.

    Args:
        sets: What the answer sets: rate, volume or time.
        volume: What the bag holds: a given, or `part:` and the name of a part; "" where neither tells it.
        time: The ordered time, likewise.
        per: The given that turns drops per minute into mL, "" for none.
        follows: What is followed of a drug: the `dose` in the bag, the ordered `rate` of a dose, or "" for nothing.
    """

    sets: str
    volume: str
    time: str
    per: str = ""
    follows: str = ""

    @property
    def by_the_stem(self) -> bool:
        """Whether the order can be run by what the stem states, without a number of the key."""
        stated = (self.volume, self.time)
        return self.sets == "rate" and all(name and not name.startswith(OF_THE_KEY) for name in stated)


@cache
def run_plans(model_id: str) -> Mapping[str, RunPlan]:
    """Return how the answers of a model of the bank are run, by part; nothing for a model that isn't there.

    Args:
        model_id: The item model.
    """
    try:
        model = item_model(model_id)
    except BadInput:
        return {}
    found = {part.name: plan for part in model.parts if (plan := _rate_plan(model, part)) is not None}
    for part in model.parts:
        if part.name not in found and (plan := _volume_plan(part, found) or _time_plan(model, part)) is not None:
            found[part.name] = plan
    return found


def _rate_plan(model: ItemModel, part: PartModel) -> RunPlan | None:
    if part.kind or not ((_is(part.unit, FLOW) and part.set_on == PUMP) or _is(part.unit, DROPS)):
        return None
    factors = _factors(model, part.asks, (VOLUME, TIME))
    per = _one(model, factors, DROP_FACTOR, 1)
    if _is(part.unit, DROPS) and per not in model.givens:
        return None
    volume = _source(model, _one(model, factors, VOLUME, 1)) or _bag_beside(model)
    time = _source(model, _one(model, factors, TIME, -1))
    if _is_part_of_the_bag(model, factors, volume):
        volume = time = ""
    plan = RunPlan("rate", volume, time, per if _is(part.unit, DROPS) else "")
    return replace(plan, follows=_follows(model, time, steady=not volume and not time))


def _volume_plan(part: PartModel, rates: Mapping[str, RunPlan]) -> RunPlan | None:
    """A volume entered on the pump that one of the rates is for."""
    if part.set_on != PUMP or not _is(part.unit, VOLUME):
        return None
    own = OF_THE_KEY + part.name
    return next((replace(plan, sets="volume") for plan in rates.values() if plan.volume == own and plan.time), None)


def _time_plan(model: ItemModel, part: PartModel) -> RunPlan | None:
    """The time that a volume takes at a rate of flow, or of drops."""
    if part.kind or not _is(part.unit, TIME):
        return None
    factors = _factors(model, part.asks, (VOLUME, FLOW, DROPS))
    volume = _source(model, _one(model, factors, VOLUME, 1))
    by_flow = _one(model, factors, FLOW, -1)
    by_drops = _one(model, factors, DROPS, -1) and _one(model, factors, DROP_FACTOR, 1)
    return RunPlan("time", volume, OF_THE_KEY + part.name) if volume and (by_flow or by_drops) else None


def _factors(model: ItemModel, asked: str, kept: tuple[str, ...]) -> Mapping[str, int]:
    """The factors of a step with their exponents; those that are products themselves are opened, unless they measure
    what is looked for."""
    steps = {step.name: step for step in model.steps}
    factors = _product(steps.get(asked))
    for _ in range(MOST_EXPANDED):
        closed = (name for name in factors if _product(steps.get(name)))
        name = next((name for name in closed if not any(_measures(model, name, unit) for unit in kept)), None)
        if name is None:
            break
        exponent = factors.pop(name)
        for inner, power in _product(steps[name]).items():
            factors[inner] = factors.get(inner, 0) + exponent * power
    return factors


def _product(step: StepModel | None) -> dict[str, int]:
    if step is None or step.kind != "product":
        return {}
    return {power.name: power.exponent for power in parse_product(step.fields["of"]) if power.number is None}


def _one(model: ItemModel, factors: Mapping[str, int], unit: str, exponent: int) -> str:
    """The one factor that measures what a unit measures, "" if there is none or several."""
    found = [name for name, power in factors.items() if power == exponent and _measures(model, name, unit)]
    return found[0] if len(found) == 1 else ""


def _measures(model: ItemModel, name: str, unit: str) -> bool:
    given = model.givens.get(name)
    if given is not None:
        return given.unit is not None and _is(given.unit, unit)
    step = next((step for step in model.steps if step.name == name), None)
    if step is not None:
        return unit == TIME if step.kind == "between" else _is(step.unit, unit)
    return name in model.constants and _is(model.constants[name][1], unit)


@cache
def _is(unit: object, like: str) -> bool:
    powers = getattr(unit, "powers", ())
    return bool(powers) and typed_unit(powers, like, ()).factor is not None


def _is_part_of_the_bag(model: ItemModel, factors: Mapping[str, int], volume: str) -> bool:
    """Whether not all that a bag holds is run: a share of the volume, or a volume to which another is added."""
    name = volume.removeprefix(OF_THE_KEY)
    summed = (step.fields["of"] for step in model.steps if step.kind == "sum")
    added = any(name in {power.name for power in term.powers} for of in summed for term in parse_sum(of))
    return bool(volume) and (added or any(name in model.constants for name in factors))


def _source(model: ItemModel, name: str) -> str:
    """Where the value of a factor is found in an item: a given that the stem states, or a part of the key."""
    if name in model.givens:
        return name if model.givens[name].role != "hidden" and not model.givens[name].drawn_on else ""
    return next((OF_THE_KEY + part.name for part in model.parts if part.asks == name and not part.kind), "")


def _bag_beside(model: ItemModel) -> str:
    """The bag that the stem states though the rate doesn't follow from it."""
    bags = [given for given in model.givens.values() if given.kind == "volume" and given.role == "distractor"]
    return bags[0].name if len(bags) == 1 else ""


def _follows(model: ItemModel, time: str, *, steady: bool) -> str:
    """What is followed of the drug that is ordered: a dose over this time, or a dose by the hour."""
    for order in model.orders:
        over = tuple(power.name for power in order.amounts.get("time", ()))
        if "drug" in order.words and "dose" in order.amounts and time and over == (time.removeprefix(OF_THE_KEY),):
            return "dose"
        if "drug" in order.words and "rate" in order.amounts and steady:
            return "rate"
    return ""
