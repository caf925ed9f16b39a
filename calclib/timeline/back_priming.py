"""Hanging a secondary bag and back-priming it, step by step: what is asked, what each option does to the drug."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.quantity.writing import write_quantity
from calclib.timeline.hanging import Bag, Entered, Hanging, Primary, Secondary
from calclib.timeline.simulation import infusion_timeline

# The exercise: told above the diagram. Volumes in mL, drug in mg.
VOLUME, DRUG, TUBING, EXTRA, RATE = 100, 1000, 15, 20, 200
PRIMARY_VOLUME, PRIMARY_RATE, HOURS_WATCHED = 1000, 125, 3


@dataclass(frozen=True)
class Option:
    """Something that one may do.

    Args:
        does: The words of it.
        right: Whether it is right.
        says: What happens.
        shows: How the diagram then stands: bag, clamp, tubing, flow.
    """

    does: str
    right: bool
    says: str
    shows: dict[str, str]


@dataclass(frozen=True)
class PrimingStep:
    """One step with its options; exactly one is right."""

    asks: str
    options: tuple[Option, ...]


def priming_steps() -> tuple[PrimingStep, ...]:
    """Return the steps in their order, with the amounts of the exercise worked out by the simulation."""
    values = priming_amounts()
    return tuple(PrimingStep(step["asks"], tuple(_option(one, values) for one in step["option"])) for step in _steps())


def _option(row: dict[str, Any], values: dict[str, str]) -> Option:
    return Option(row["does"], row.get("right", False), row["says"].format_map(values), row["shows"])


@cache
def priming_amounts() -> dict[str, str]:
    """Return the amounts that the steps tell, by name."""
    primed = infusion_timeline(_hung(back_primed=0), until=HOURS_WATCHED * 60)
    good = infusion_timeline(_hung(back_primed=TUBING), until=HOURS_WATCHED * 60)
    fuller = infusion_timeline(_hung(back_primed=TUBING + EXTRA), until=HOURS_WATCHED * 60)
    # What has not run when the volume entered is counted; the rest would follow at the primary rate.
    counted = fuller.time_of("secondary_volume_reached")
    assert counted is not None, "the volume entered is counted within the time watched"
    left = fuller.secondary_remaining.at(counted)
    strength = Fraction(DRUG) / (VOLUME + EXTRA)
    return {
        "volume": _ml(Fraction(VOLUME)),
        "drug": _mg(Fraction(DRUG)),
        "tubing": _ml(Fraction(TUBING)),
        "tubing_drug": _mg(Fraction(DRUG) - primed.secondary_remaining.at(0) * DRUG / VOLUME),
        "extra": _ml(Fraction(EXTRA)),
        "fuller": _ml(fuller.secondary_remaining.at(0)),
        "left": _ml(left),
        "left_drug": _mg(left * strength),
        "tubing_left": _ml(Fraction(TUBING)),
        "tubing_left_drug": _mg(good.drug.in_secondary_tubing),
    }


def _hung(*, back_primed: int) -> Hanging:
    secondary = Secondary(Bag(VOLUME, drug=DRUG), Entered(RATE, VOLUME), TUBING, back_primed)
    return Hanging(Primary(Bag(PRIMARY_VOLUME), Entered(PRIMARY_RATE)), secondary)


def _ml(volume: Fraction) -> str:
    return write_quantity(volume, "mL", 1)


def _mg(drug: Fraction) -> str:
    return write_quantity(drug, "mg", 1)


@cache
def _steps() -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = tomllib.loads(
        files("calclib.timeline").joinpath("back_priming.toml").read_text("utf-8")
    )["step"]
    return rows
