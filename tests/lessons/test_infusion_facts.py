"""What the lesson on secondary infusions says of its infusions, held against the exact timeline."""

from __future__ import annotations

from fractions import Fraction

from calclib.lessons import lesson
from calclib.timeline import Timeline, infusion_timeline


def shown(name: str) -> Timeline:
    """An infusion of the lesson."""
    of_lesson = lesson("secondary").infusions[name]
    return infusion_timeline(of_lesson.hanging, until=of_lesson.until)


def rounded(value: Fraction) -> int:
    """To the nearest whole."""
    return (value + Fraction(1, 2)).__floor__()


def at(timeline: Timeline, kind: str) -> Fraction:
    """The minute of an event."""
    return next(event.at for event in timeline.events if event.kind == kind)


def test_as_ordered_it_runs_half_an_hour() -> None:
    """130 mL at 260 mL/h are in after 30 min; what stays in the tubing is about 154 mg of 2,000 mg."""
    timeline = shown("as-ordered")
    assert timeline.secondary_remaining.at(0) == 130
    assert timeline.secondary_remaining.at(30) == 0
    assert timeline.secondary_remaining.at(29) > 0
    assert rounded(timeline.drug.in_secondary_tubing) == 154


def test_entered_too_small_the_rest_runs_at_the_primary_rate() -> None:
    """30 mL are left at minute 23, and the bag is empty after 37.5 min instead of 30."""
    timeline = shown("too-small")
    change = Fraction(100 * 60, 260)
    assert rounded(change) == 23
    assert timeline.secondary_remaining.at(change) == 30
    assert timeline.secondary_remaining.at(Fraction("37.5")) == 0
    assert timeline.secondary_remaining.at(37) > 0
    assert timeline.secondary_remaining.at(change) - timeline.secondary_remaining.at(change + 12) == 25  # 125 mL/h


def test_entered_too_large_primary_fluid_runs_at_the_secondary_rate() -> None:
    """From minute 30, 30 mL of primary fluid run within 7 min, at 260 mL/h."""
    timeline = shown("too-large")
    end = Fraction(160 * 60, 260)
    assert timeline.secondary_remaining.at(30) == 0
    assert timeline.primary_infused.at(30) == 0
    assert timeline.primary_infused.at(end) == 30
    assert rounded(end - 30) == 7
    assert timeline.primary_infused.at(end + 12) - 30 == 25


def test_by_gravity_the_primary_runs_too_fast_until_the_clamp_is_set() -> None:
    """In 10 min 43 mL instead of 21 mL."""
    timeline = shown("gravity")
    assert rounded(timeline.primary_infused.at(40)) == 43
    assert rounded(Fraction(125, 6)) == 21
    assert timeline.primary_infused.at(52) - timeline.primary_infused.at(40) == 25


def test_priming_with_drug_costs_an_eighth() -> None:
    """250 mg of 2,000 mg: 5 mL in the cup, 10 mL in the tubing."""
    timeline = shown("primed-with-drug")
    assert timeline.drug.to_patient == 1750


def test_alone_the_line_keeps_what_a_flush_brings() -> None:
    """600 mg of 1,000 mg arrive; after a flush of the line's volume, all."""
    assert shown("alone").drug.to_patient == 600
    assert shown("flushed").drug.to_patient == 1000
