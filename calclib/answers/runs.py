"""What an infusion would do at a typed number: which answers can be run, and the run as facts."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.answers.units import typed_unit
from calclib.errors.messages import BadInput
from calclib.items import Item
from calclib.quantity.amounts import parse_amount
from calclib.quantity.units import parse_unit
from calclib.quantity.writing import write_quantity
from calclib.timeline import Comparison, compared_runs
from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence

MINUTES_PER_HOUR = 60
# An infusion slower or faster than this is a slip that a pump refuses; there is nothing to see of it.
LEAST_RATE, MOST_RATE = Fraction(1, 10), Fraction(2000)
OF_THE_KEY = "part:"


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
    row = _rows().get(item.model_id, {}).get(part)
    factor = typed_unit(unit, item.part(part).unit, tuple(item.equivalences.items())).factor
    if row is None or factor is None or value <= 0:
        return None
    if not final and any(str(field).startswith(OF_THE_KEY) for field in row.values()):
        return None
    volume, minutes = _amount(item, row["volume"], "mL"), _amount(item, row["time"], "min")
    own = value * factor
    if row["sets"] == "volume":
        return (
            None if own == volume else compared_runs(volume=volume, minutes=minutes, to_infuse=own, dose=_has_dose(row))
        )
    rate = own * MINUTES_PER_HOUR / _amount(item, row["per"], "gtt/mL") if "per" in row else own
    if not LEAST_RATE <= rate <= MOST_RATE:
        return None
    run = compared_runs(volume=volume, minutes=minutes, rate=rate, dose=_has_dose(row))
    # Two ends that are told by the same words are no difference that can be seen.
    same = run.your_end is not None and time_in_words(run.your_end) == time_in_words(run.ordered_end)
    return None if same else run


def _has_dose(row: Mapping[str, Any]) -> bool:
    return bool(row.get("dose", False))


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
    if item.model_id not in _rows() or part not in _rows()[item.model_id]:
        return None
    try:
        value, unit = parse_amount(" ".join(filter(None, (reading.get("value"), reading.get("unit")))))
    except BadInput:
        return None
    run = run_of(item, part, value, unit.powers, final=True)
    return None if run is None else (run, run_words(run, str(reading["shown"])))


def run_words(run: Comparison, number: str) -> str:
    """Return what is said of a run. Arguments as for `run_facts`."""
    return " ".join(sentence(one) for one in run_facts(run, number))


def runnable() -> Mapping[str, frozenset[str]]:
    """Return the parts whose answers can be run, by item model."""
    return {model: frozenset(parts) for model, parts in _rows().items()}


def _end(run: Comparison, number: str) -> Fact:
    volume, ordered = _ml(run.volume), time_in_words(run.ordered_end)
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


def _share(percent: Fraction) -> str:
    return write_quantity(percent, "%", 0)


def _amount(item: Item, name: str, unit: str) -> Fraction:
    """A given, or a value of the key before rounding, in a unit."""
    if name.startswith(OF_THE_KEY):
        part = item.part(name.removeprefix(OF_THE_KEY))
        assert isinstance(part.exact, Fraction), "the volume or time of an infusion is a number"
        number, found = part.exact, parse_unit(part.unit)
    else:
        text = next((given.text for given in item.givens if given.name == name), None)
        if text is None:
            raise BadInput(f"{item.model_id} states no “{name}”: runs.toml names a given or “part:NAME”")
        number, found = parse_amount(text)
    factor = typed_unit(found.powers, unit, ()).factor
    assert factor is not None, f"{name} of {item.model_id} is no amount in {unit}"
    return number * factor


@cache
def _rows() -> Mapping[str, Mapping[str, Mapping[str, Any]]]:
    return tomllib.loads(files("calclib.answers").joinpath("runs.toml").read_text("utf-8"))
