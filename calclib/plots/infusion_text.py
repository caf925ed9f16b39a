"""An infusion over time in words, for readers who can't see the plot."""

from __future__ import annotations

from fractions import Fraction
from itertools import groupby

from calclib.quantity import write_quantity
from calclib.timeline import Event, Timeline


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
    ran = [f"{ml(getattr(timeline, f'{name}_infused').last)} of the {name} bag" for name in names]
    verb = "has" if len(ran) == 1 else "have"
    sentence = f"By {minutes(timeline.until)}, {' and '.join(ran)} {verb} run."
    return sentence if not timeline.drug.hung else f"{sentence} {drug_sentence(timeline)}"


def drug_sentence(timeline: Timeline) -> str:
    """Where the drug is at the last minute, in one sentence."""
    drug, unit = timeline.drug, timeline.hanging.drug_unit
    given = f"{amount(drug.to_patient, unit)} of {amount(drug.hung, unit)} of the drug has reached the patient"
    places = (
        (drug.in_bags, "in the bag"),
        (drug.in_secondary_tubing, "in the secondary tubing"),
        (drug.in_shared_tubing, "in the tubing to the patient"),
        (drug.taken_down, "lost with what was taken down or primed out"),
    )
    rest = [f"{amount(part, unit)} is {place}" for part, place in places if part]
    return "; ".join([given, *rest]) + "."


def _event_sentences(timeline: Timeline) -> list[str]:
    return [
        f"At {minutes(at)}: {' '.join(event.says for event in events)}" for at, events in events_by_minute(timeline)
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
