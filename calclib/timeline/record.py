"""The result of a simulation: segments, events, curves, and where everything went."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from calclib.timeline.curve import PiecewiseLinear
from calclib.timeline.hanging import Hanging

Source = Literal["primary", "secondary", "flush", "none"]
EventKind = Literal[
    "start",
    "primed",
    "back_primed",
    "secondary_empty",
    "secondary_volume_reached",
    "rest_at_primary_rate",
    "primary_at_secondary_rate",
    "primary_resumes",
    "clamp_reset",
    "rinse",
    "flush_start",
    "flush_done",
    "bag_change",
    "primary_dry",
    "air",
    "complete",
    "keep_open",
    "stopped",
]


@dataclass(frozen=True)
class Event:
    """Something that happens at a minute.

    Args:
        at: [min]
        kind: What happens, for programs.
        says: What happens, in one sentence.
        short: Two or three words, for a plot.
    """

    at: Fraction
    kind: EventKind
    says: str
    short: str


@dataclass(frozen=True)
class Segment:
    """A stretch of time in which one fluid flows at one rate.

    Args:
        start: [min]
        end: [min]
        source: The bag that flows.
        rate: [mL/h]
        drug_rate: Drug that enters the patient [drug unit/h].
    """

    start: Fraction
    end: Fraction
    source: Source
    rate: Fraction
    drug_rate: Fraction


@dataclass(frozen=True)
class Balance:
    """Where a total went; `hung` is the sum of the others, exactly.

    Args:
        hung: Everything that was hung, with what filled the line at the start.
        to_patient: What the patient got.
        in_bags: What the bags still hold, a flush that has not run included.
        in_secondary_tubing: What the secondary tubing holds.
        in_shared_tubing: What the tubing from port to patient holds.
        taken_down: What went out with a changed bag, or was lost in priming.
    """

    hung: Fraction
    to_patient: Fraction
    in_bags: Fraction
    in_secondary_tubing: Fraction
    in_shared_tubing: Fraction
    taken_down: Fraction

    @property
    def missing(self) -> Fraction:
        """What is unaccounted for: 0 by the law of conservation."""
        elsewhere = self.in_bags + self.in_secondary_tubing + self.in_shared_tubing + self.taken_down
        return self.hung - self.to_patient - elsewhere


@dataclass(frozen=True)
class Timeline:
    """An infusion over time. Curves run over minutes; volumes in mL, drug in `hanging.drug_unit`."""

    hanging: Hanging
    until: Fraction
    segments: tuple[Segment, ...]
    events: tuple[Event, ...]
    primary_remaining: PiecewiseLinear
    secondary_remaining: PiecewiseLinear
    primary_infused: PiecewiseLinear
    secondary_infused: PiecewiseLinear
    patient_volume: PiecewiseLinear
    patient_drug: PiecewiseLinear
    volume: Balance
    drug: Balance
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]

    def first(self, kind: EventKind) -> Event | None:
        """The first event of a kind, or None."""
        return next((event for event in self.events if event.kind == kind), None)

    def time_of(self, kind: EventKind) -> Fraction | None:
        """The minute of the first event of a kind, or None."""
        event = self.first(kind)
        return None if event is None else event.at
