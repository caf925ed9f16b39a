"""An infusion over time in words, for readers who can't see the plot."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby

from calclib.quantity import write_quantity
from calclib.timeline import Event, Timeline
from calclib.wording import fact, of_kind, said

PLACES = ("in_bag", "in_secondary_tubing", "in_shared_tubing", "lost")
"""Where the drug can be that hasn't reached the patient; the words stand in `wording`, in plot.toml."""


def describe(timeline: Timeline) -> str:
    """What happens and what arrives, as a paragraph.

    Args:
        timeline: The infusion over time.
    """
    return " ".join([*_event_sentences(timeline), outcome(timeline)])


def outcome(timeline: Timeline) -> str:
    """What has run and what has reached the patient by the last minute, in one or two sentences."""
    hanging = timeline.hanging
    names = [name for name in ("secondary", "primary") if getattr(hanging, name)]
    ran = tuple(
        fact("plot.ran", volume=ml(getattr(timeline, f"{name}_infused").last), bag=of_kind("infusion_event", name))
        for name in names
    )
    told = said("plot.have_run", time=minutes(timeline.until), bags=ran, count=len(ran))
    return told if not timeline.drug.hung else f"{told} {drug_sentence(timeline)}"


def drug_sentence(timeline: Timeline) -> str:
    """Where the drug is at the last minute, in one sentence."""
    drug, unit = timeline.drug, timeline.hanging.drug_unit
    given = fact("plot.reached_patient", amount=amount(drug.to_patient, unit), of=amount(drug.hung, unit))
    places = zip(PLACES, (drug.in_bags, drug.in_secondary_tubing, drug.in_shared_tubing, drug.taken_down), strict=True)
    rest = tuple(of_kind("plot", place, amount=amount(part, unit)) for place, part in places if part)
    return said("plot.drug", told=(given, *rest))


def _event_sentences(timeline: Timeline) -> list[str]:
    return [
        said("plot.at", time=minutes(at), events=tuple(event.says for event in events))
        for at, events in events_by_minute(timeline)
    ]


def events_by_minute(timeline: Timeline) -> list[tuple[Fraction, list[Event]]]:
    """Events, those of one minute together."""
    return [(at, list(events)) for at, events in groupby(timeline.events, key=lambda event: event.at)]


def minutes(at: Fraction) -> str:
    """A time as text: "60 min"."""
    return write_quantity(at, "min", 1)


def ml(volume: Fraction) -> str:
    """A volume as text: "100 mL"."""
    return write_quantity(volume, "mL", 1)


def amount(drug: Fraction, unit: str) -> str:
    """An amount of drug as text, to a tenth: "912.5 mg"."""
    return write_quantity(drug, unit, 1)
