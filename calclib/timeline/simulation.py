"""The event-by-event simulation of a primary and a secondary infusion."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from calclib.errors import BadInput
from calclib.timeline.cautions import assumptions_of, cautions_of
from calclib.timeline.curve import PiecewiseLinear, curve_through
from calclib.timeline.hanging import Amount, BagChange, Entered, Hanging
from calclib.timeline.line import InfusionLine, Reservoir, primed_line
from calclib.timeline.record import Event, EventKind, Segment, Timeline
from calclib.timeline.wording import event_words
from calclib.wording.facts import fact

LONGEST_MINUTES = 7 * 24 * 60
MINUTES_PER_HOUR = 60

Phase = Literal["secondary", "primary", "keep_open", "flush", "stopped"]


def infusion_timeline(hanging: Hanging, *, until: Amount) -> Timeline:
    """What flows when, from the moment the secondary infusion is started.

    Args:
        hanging: What is hung, entered and planned.
        until: Last minute of the timeline [min].

    Returns:
        Segments, events and exact curves, with the balance of volume and drug at the last minute.

    Raises:
        BadInput: `until` is not an exact number of minutes above 0 and at most 7 days.
    """
    if not _is_exact(until) or not 0 < until <= LONGEST_MINUTES:
        raise BadInput(fact("errors_timeline.last_minute", most=LONGEST_MINUTES))
    return _Simulation(hanging, Fraction(until)).run()


class _Simulation:
    """Clock and settings. Between two events one fluid flows at one rate, so every stretch is exact."""

    def __init__(self, hanging: Hanging, until: Fraction) -> None:
        self.hanging, self.until, self.now = hanging, until, Fraction(0)
        self.line: InfusionLine = primed_line(hanging)
        self.primary = hanging.primary.entered if hanging.primary else None
        self.secondary = hanging.secondary.entered if hanging.secondary else None
        self.rinse_left = Fraction(hanging.secondary.rinse) if hanging.secondary else Fraction(0)
        self.flush_waits = hanging.flush is not None
        self.changes = sorted(hanging.changes, key=lambda change: change.at)
        self.phase: Phase = "secondary" if self.secondary else "primary"
        self.to_count = _counted(self.secondary or self.primary)
        self.primary_to_count = _counted(self.primary)
        self.primary_done = False
        self.clamp_reset_at: Fraction | None = None
        self.before_stop: Phase = self.phase
        self.up: set[Reservoir] = {bag for bag, now in self.line.bags.items() if bag != "flush" and now.volume}
        self.events: list[Event] = []
        self.segments: list[Segment] = []
        self.points: dict[str, list[tuple[Fraction, Fraction]]] = {}

    def run(self) -> Timeline:
        self._tell("start")
        if self.hanging.secondary:
            self._tell("back_primed" if self.hanging.secondary.back_primed else "primed")
        if self._higher_bag() is None:
            self._stop("stopped")
        self._note()
        self._settle()
        while self.now < self.until:
            self._advance()
            self._settle()
        return self._timeline()

    # What flows

    @property
    def primary_runs(self) -> bool:
        return self.hanging.primary is not None and self.hanging.primary.running

    def _higher_bag(self) -> Reservoir | None:
        """The secondary bag hangs higher: while it holds fluid, it flows and the primary waits."""
        if self.line.bags["secondary"].volume:
            return "secondary"
        return "primary" if self.primary_runs and self.line.bags["primary"].volume else None

    def _source(self) -> Reservoir | None:
        if self.phase == "stopped":
            return None
        return "flush" if self.phase == "flush" else self._higher_bag()

    def _rate(self) -> Fraction:
        """The rate [mL/h] of the phase."""
        if self.phase == "flush" and self.hanging.flush:
            return Fraction(self.hanging.flush.rate)
        if self.phase == "keep_open":
            return Fraction(self.hanging.keep_open_rate)
        at_primary_rate = self.phase == "primary" and self.clamp_reset_at is None
        entered = self.primary if at_primary_rate else self.secondary
        assert entered is not None, "a phase runs only where something was entered for it"
        return Fraction(entered.rate)

    def _counts(self) -> bool:
        return self.to_count is not None and self.phase in ("secondary", "primary")

    # One stretch of time

    def _advance(self) -> None:
        source = self._source()
        rate = self._rate() if source else Fraction(0)
        stretch = self._stretch(source, rate)
        drug_before, start = self.line.patient.drug, self.now
        if source:
            volume = rate * stretch / MINUTES_PER_HOUR
            self.line.flow(source, volume)
            if self.to_count is not None and self._counts():
                self.to_count -= volume
        self.now += stretch
        drug_rate = (self.line.patient.drug - drug_before) * MINUTES_PER_HOUR / stretch
        self._add_segment(Segment(start, self.now, source or "none", rate, drug_rate))
        self._note()

    def _stretch(self, source: Reservoir | None, rate: Fraction) -> Fraction:
        """Minutes until something changes."""
        moments = [self.until]
        if self.changes:
            moments.append(Fraction(self.changes[0].at))
        if source and self.clamp_reset_at is not None:
            moments.append(self.clamp_reset_at)
        if source:
            volumes = [self.line.bags[source].volume, self.line.steady_volume(source)]
            volumes += [self.to_count] if self._counts() else []
            moments += [self.now + volume * MINUTES_PER_HOUR / rate for volume in volumes if volume is not None]
        return min(moments) - self.now

    def _add_segment(self, new: Segment) -> None:
        last = self.segments[-1] if self.segments else None
        if last and (last.source, last.rate, last.drug_rate) == (new.source, new.rate, new.drug_rate):
            self.segments[-1] = Segment(last.start, new.end, new.source, new.rate, new.drug_rate)
        else:
            self.segments.append(new)

    # What happens between two stretches

    def _settle(self) -> None:
        if self.clamp_reset_at is not None and self.now >= self.clamp_reset_at:
            self.clamp_reset_at = None
            self._tell("clamp_reset")
        if self.phase == "flush" and not self.line.bags["flush"].volume:
            self._flush_done()
        if self.secondary and "secondary" in self.up and not self.line.bags["secondary"].volume:
            self._secondary_empty()
        if "primary" in self.up and not self.line.bags["primary"].volume and self._higher_bag() is None:
            self._primary_dry()
        if self._counts() and self.to_count == 0:
            self._counted_out()
        while self.changes and self.changes[0].at <= self.now:
            self._change_bag(self.changes.pop(0))

    def _secondary_empty(self) -> None:
        self.up.discard("secondary")
        self._tell("secondary_empty")
        done_counting = self._counts() and self.to_count == 0
        if self.rinse_left and self.line.bags["primary"].volume >= self.rinse_left:
            self.line.let_up(self.rinse_left)
            self.rinse_left = Fraction(0)
            self.up.add("secondary")
            self._tell("rinse")
            self._note()
        elif self.flush_waits and not (done_counting and not self.primary_runs):
            self._start_flush()
        elif self._higher_bag() is None:
            if not done_counting and self.phase != "stopped":
                self._stop("air")
        elif self.hanging.mode == "gravity":
            self._resume_by_gravity()
        elif self.phase == "secondary" and not done_counting:
            self._tell("primary_at_secondary_rate")
        elif self.phase == "primary":
            self._tell("primary_resumes")

    def _resume_by_gravity(self) -> None:
        self.phase, self.to_count = "primary", None
        if self.hanging.clamp_reset_after:
            self.clamp_reset_at = self.now + self.hanging.clamp_reset_after
        self._tell("primary_resumes")

    def _primary_dry(self) -> None:
        self.up.discard("primary")
        self._tell("primary_dry")
        if self.phase != "stopped" and self.primary_runs and not (self._counts() and self.to_count == 0):
            self._stop("air")

    def _counted_out(self) -> None:
        if self.phase == "primary":
            self._complete()
            return
        self._tell("secondary_volume_reached")
        if self.primary_done or not self.primary_runs:
            self._complete()
            return
        self.phase, self.to_count = "primary", self.primary_to_count
        source = self._higher_bag()
        if source is None:
            self._stop("air")
        else:
            self._tell("rest_at_primary_rate" if source == "secondary" else "primary_resumes")

    def _complete(self) -> None:
        self._tell("complete")
        self.primary_done = self.primary_runs
        self.to_count = self.primary_to_count = None
        if self.flush_waits and not self.primary_runs:
            self._start_flush()
        elif self.hanging.keep_open_rate and self._higher_bag():
            self.phase = "keep_open"
            self._tell("keep_open")
        else:
            self._stop("stopped")

    def _start_flush(self) -> None:
        self.flush_waits = False
        self.line.take_down("secondary")
        self.up.discard("secondary")
        self.phase = "flush"
        self._tell("flush_start")
        self._note()

    def _flush_done(self) -> None:
        self._tell("flush_done")
        if self.primary_runs and self.line.bags["primary"].volume:
            self.phase, self.to_count = "primary", self.primary_to_count
            self._tell("primary_resumes")
        else:
            self._stop("stopped")

    def _stop(self, why: Literal["air", "stopped"]) -> None:
        self.before_stop, self.phase = self.phase, "stopped"
        self._tell(why)

    def _change_bag(self, change: BagChange) -> None:
        self.line.change(change.line, change.bag)
        self.up.add(change.line)
        if change.line == "secondary":
            if self.phase == "primary":
                self.primary_to_count = self.to_count
            self.secondary, self.phase, self.to_count = change.entered, "secondary", _counted(change.entered)
            self.clamp_reset_at = None
        elif change.entered:
            self.primary, self.primary_to_count = change.entered, _counted(change.entered)
            self.primary_done = False
            if self.phase in ("primary", "keep_open", "stopped") and self.primary_runs:
                self.phase, self.to_count = "primary", self.primary_to_count
        elif self.phase == "stopped" and self.primary_runs:
            self.phase = self.before_stop
        self._tell("bag_change")
        self._note()

    # What is written down

    def _tell(self, kind: EventKind) -> None:
        short, says = event_words(
            kind,
            self.hanging,
            bags=self.line.bags,
            to_count=self.to_count,
            primary=self.primary,
            secondary=self.secondary,
        )
        self.events.append(Event(self.now, kind, says, short))

    def _note(self) -> None:
        line, zero = self.line, Fraction(0)
        for name, value in (
            ("primary_remaining", line.bags["primary"].volume),
            ("secondary_remaining", line.bags["secondary"].volume),
            ("primary_infused", line.infused.get("primary", zero)),
            ("secondary_infused", line.infused.get("secondary", zero)),
            ("patient_volume", line.patient.volume),
            ("patient_drug", line.patient.drug),
        ):
            self.points.setdefault(name, []).append((self.now, value))

    def _timeline(self) -> Timeline:
        curves: dict[str, PiecewiseLinear] = {name: curve_through(points) for name, points in self.points.items()}
        return Timeline(
            hanging=self.hanging,
            until=self.until,
            segments=tuple(self.segments),
            events=tuple(self.events),
            volume=self.line.volume_balance(),
            drug=self.line.drug_balance(),
            assumptions=assumptions_of(self.hanging),
            cautions=cautions_of(self.hanging),
            **curves,
        )


def _counted(entered: Entered | None) -> Fraction | None:
    return None if entered is None or entered.volume is None else Fraction(entered.volume)


def _is_exact(value: object) -> bool:
    return isinstance(value, (int, Fraction)) and not isinstance(value, bool)
