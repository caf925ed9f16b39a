"""What an infusion would do at a typed number: which answers can be run, and the run as facts."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, NamedTuple

from calclib.answers.run_plans import DROP_FACTOR, DROPS, FLOW, OF_THE_KEY, TIME, VOLUME, RunPlan, run_plans
from calclib.answers.units import typed_unit
from calclib.errors.messages import BadInput
from calclib.items import Item
from calclib.items.part_names import with_own_names
from calclib.models.bank import item_model
from calclib.quantity.amounts import parse_amount
from calclib.quantity.units import parse_unit
from calclib.quantity.writing import write_quantity
from calclib.timeline import Comparison, Timeline, compared_runs, compared_steady
from calclib.timeline.simulation import LONGEST_MINUTES
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

MINUTES_PER_HOUR = 60
# An infusion slower or faster than this is a slip that a pump refuses; there is nothing to see of it.
LEAST_RATE, MOST_RATE = Fraction(1, 10), Fraction(2000)
HOUR = Fraction(60)
"""How long an infusion is looked at that has no end [min]."""


def run_of(
    item: Item, part: str, value: Fraction, unit: tuple[tuple[str, int], ...], *, final: bool
) -> Comparison | None:
    """Return what the infusion of a problem would do at a typed number.

    Args:
        item: The problem.
        part: The part that was answered.
        value: The number typed.
        unit: Its unit words with exponents, as read; () if none was typed.
        final: Whether the mark is final. Before that, only what the stem states is compared with.

    Returns:
        The runs, or None where this answer sets no infusion, measures something else, or would need a number of the
        key that isn't told yet.
    """
    plan = _plan(item, part)
    factor = typed_unit(unit, item.part(part).unit, tuple(item.equivalences.items())).factor
    if plan is None or factor is None or value <= 0 or not (final or plan.by_the_stem):
        return None
    run = _run(item, part, plan, value * factor)
    # Two ends that are told by the same words are no difference that can be seen.
    ends = None if run is None or run.your_end is None else (run.your_end, run.ordered_end)
    same = ends is not None and run is not None and run.outcome in ("sooner", "later", "as_ordered")
    return None if same and ends is not None and time_in_words(ends[0]) == time_in_words(ends[1]) else run


def _run(item: Item, part: str, plan: RunPlan, own: Fraction) -> Comparison | None:
    """The runs at a number in the unit asked."""
    order = _ordered(item, part, plan)
    if order is None:
        return None
    if plan.sets == "volume":
        own = _in(own, item.part(part).unit, VOLUME)
        dose = plan.follows == "dose"
        return (
            None
            if own == order.volume
            else compared_runs(volume=order.volume, minutes=order.minutes, to_infuse=own, dose=dose)
        )
    own_minutes = _in(own, item.part(part).unit, TIME) if plan.sets == "time" else None
    rate = _flow(item, part, plan, own) if own_minutes is None else order.volume * MINUTES_PER_HOUR / own_minutes
    if not LEAST_RATE <= rate <= MOST_RATE or rate == order.rate:
        return None
    if own_minutes is not None:
        return compared_runs(volume=order.volume, minutes=order.minutes, own_minutes=own_minutes)
    if order.steady:
        return compared_steady(rate=order.rate, own=rate, minutes=order.minutes, dose=plan.follows == "rate")
    return compared_runs(volume=order.volume, minutes=order.minutes, rate=rate, dose=plan.follows == "dose")


class _Order(NamedTuple):
    """What is ordered: a bag over a time, or a rate that is looked at for a while."""

    volume: Fraction
    minutes: Fraction
    steady: bool = False

    @property
    def rate(self) -> Fraction:
        """In mL/h."""
        return self.volume * MINUTES_PER_HOUR / self.minutes


def _ordered(item: Item, part: str, plan: RunPlan) -> _Order | None:
    """The order, as far as need be by the value of the key before rounding; None where that is no rate or time."""
    volume = _amount(item, plan.volume, VOLUME) if plan.volume else None
    minutes = _amount(item, plan.time, TIME) if plan.time else None
    steady = volume is None and minutes is None
    if volume is None or minutes is None:
        key = item.part(part).exact
        rate = _flow(item, part, plan, key) if isinstance(key, Fraction) and key > 0 else None
        if rate is None:
            return None
        if volume is not None:
            minutes = volume * MINUTES_PER_HOUR / rate
        else:
            minutes = minutes or HOUR
            volume = rate * minutes / MINUTES_PER_HOUR
    possible = volume > 0 and 0 < minutes <= LONGEST_MINUTES
    return _Order(volume, minutes, steady) if possible else None


def _flow(item: Item, part: str, plan: RunPlan, own: Fraction) -> Fraction:
    """A rate in the unit asked, of drops too, in mL/h."""
    if plan.per:
        return _in(own, item.part(part).unit, DROPS) * MINUTES_PER_HOUR / _amount(item, plan.per, DROP_FACTOR)
    return _in(own, item.part(part).unit, FLOW)


def _plan(item: Item, part: str) -> RunPlan | None:
    """How an answer is run; None too where the problem is none of the bank's as it is now."""
    plan = run_plans(item.model_id).get(part)
    return plan if plan is not None and item_model(item.model_id).hash == item.model_hash else None


def can_run(model_id: str, part: str) -> bool:
    """Tell whether answers to a part of a model of the bank can be run."""
    return part in run_plans(model_id)


def run_facts(run: Comparison, number: str) -> tuple[Fact, ...]:
    """Return what is told of a run, for `sentence`.

    Args:
        run: The runs.
        number: The typed number as it was read, "60 mL/h".
    """
    return (_end(run, number), *_dose(run), fact("run.caution"))


def recorded_run(item: Item, part: str, reading: Mapping[str, Any]) -> tuple[Comparison, str] | None:
    """Return the runs of an answer whose mark is final, and what is said of them, from the record of its reading.

    Args:
        item: The problem.
        part: The part that was answered.
        reading: What was read, as a verdict's record holds it.
    """
    own = with_own_names(item)
    part = next(mine.name for mine, known in zip(own.parts, item.parts, strict=True) if known.name == part)
    if not can_run(item.model_id, part):
        return None
    try:
        value, unit = parse_amount(" ".join(filter(None, (reading.get("value"), reading.get("unit")))))
    except BadInput:
        return None
    run = run_of(own, part, value, unit.powers, final=True)
    return None if run is None else (run, run_words(run, str(reading["shown"])))


def run_words(run: Comparison, number: str) -> str:
    """Return what is said of a run. Arguments as for `run_facts`."""
    return " ".join(sentence(one) for one in run_facts(run, number))


def _end(run: Comparison, number: str) -> Fact:
    volume, ordered = _ml(run.volume), time_in_words(run.ordered_end)
    if run.by_time:
        mine, theirs = (_ml_per_hour(one) for one in (run.yours, run.ordered))
        return fact("run.by_time", number=number, volume=volume, rate=mine, ordered=theirs)
    if run.outcome == "steady":
        mine, theirs = _ml(run.yours.primary_infused.last), _ml(run.ordered.primary_infused.last)
        return fact("run.steady", number=number, infused=mine, window=ordered, ordered=theirs)
    if run.outcome in ("later", "sooner") and run.your_end is not None:
        yours = time_in_words(run.your_end)
        if run.outcome == "sooner":
            return fact("run.sooner", number=number, volume=volume, ordered=ordered, yours=yours)
        infused = _ml(run.infused_by_then)
        return fact("run.later", number=number, volume=volume, ordered=ordered, infused=infused, yours=yours)
    if run.your_end is None:
        infused, until = _ml(run.infused_by_then), time_in_words(run.yours.until)
        left = _ml(run.left)
        return fact(
            "run.beyond", number=number, volume=volume, ordered=ordered, infused=infused, until=until, left=left
        )
    yours = time_in_words(run.your_end)
    if run.outcome == "left":
        return fact("run.left", number=number, volume=volume, yours=yours, left=_ml(run.left))
    return fact("run.dry", number=number, volume=volume, yours=yours, to_count=_ml(run.to_count))


def _dose(run: Comparison) -> tuple[Fact, ...]:
    if not run.dose:
        return ()
    if run.outcome == "steady":
        ordered = run.ordered.patient_drug.last
        return (fact("run.dose_steady", share=_share(100 * run.yours.patient_drug.last / ordered)),)
    if run.outcome == "sooner" and run.your_end is not None:
        return (fact("run.dose_sooner", yours=time_in_words(run.your_end)),)
    if run.outcome == "later":
        return (fact("run.dose_later", share=_share(run.yours.patient_drug.at(run.ordered_end))),)
    if run.outcome == "left":
        return (fact("run.dose_left", share=_share(run.yours.drug.in_bags)),)
    return ()


def time_in_words(minutes: Fraction) -> str:
    """Return a time in hours and minutes: "4 h", "8 h 20 min", "1.9 min"; from an hour on to the whole minute.

    Args:
        minutes: [min]
    """
    if minutes < MINUTES_PER_HOUR:
        return write_quantity(minutes, "min", 1)
    whole = (minutes + Fraction(1, 2)).__floor__()
    hours, rest = divmod(whole, MINUTES_PER_HOUR)
    return write_quantity(hours, "h") + (f" {rest} min" if rest else "")


def _ml(volume: Fraction) -> str:
    return write_quantity(volume, "mL", 1)


def _ml_per_hour(one: Timeline) -> str:
    assert one.hanging.primary is not None, "one bag is compared"
    return write_quantity(Fraction(one.hanging.primary.entered.rate), "mL/h", 1)


def _share(percent: Fraction) -> str:
    return write_quantity(percent, "%", 0)


def _amount(item: Item, name: str, unit: str) -> Fraction:
    """A given, or a value of the key before rounding, in a unit."""
    if name.startswith(OF_THE_KEY):
        part = item.part(name.removeprefix(OF_THE_KEY))
        assert isinstance(part.exact, Fraction), "the volume or time of an infusion is a number"
        return _in(part.exact, part.unit, unit)
    text = next((given.text for given in item.givens if given.name == name), None)
    if text is None:
        raise BadInput(fact("errors_answers.not_stated", model=item.model_id, name=name))
    number, found = parse_amount(text)
    return _in(number, str(found), unit)


def _in(number: Fraction, unit: str, wanted: str) -> Fraction:
    factor = typed_unit(parse_unit(unit).powers, wanted, ()).factor
    assert factor is not None, f"{unit} measures nothing in {wanted}"
    return number * factor
