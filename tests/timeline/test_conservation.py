"""Laws that hold for every infusion, whatever is hung and entered."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from calclib.timeline import Bag, BagChange, Entered, Flush, Hanging, Primary, Secondary, Timeline, infusion_timeline

tenths = st.integers(0, 300).map(lambda n: Fraction(n, 10))
rates = st.integers(1, 9990).map(lambda n: Fraction(n, 10))
volumes = st.integers(1, 5000).map(lambda n: Fraction(n, 10))


@st.composite
def hangings(draw: st.DrawFn) -> Hanging:
    """Anything that can be hung."""
    gravity = draw(st.booleans())

    def entered(counted: bool = True) -> Entered:
        return Entered(draw(rates), draw(volumes) if counted and not gravity else None)

    def bag(least: int | Fraction = 0) -> Bag:
        return Bag(draw(volumes) + least, draw(tenths), draw(tenths), draw(st.integers(0, 2000)))

    primary = draw(st.none() | st.just(True)) and Primary(bag(60), entered(draw(st.booleans())), draw(st.booleans()))
    tubing, shared = draw(tenths), draw(tenths)
    back = bool(primary) and draw(st.booleans())
    secondary = Secondary(
        bag(90),
        entered(),
        tubing_volume=tubing,
        back_primed=tubing + draw(tenths) if back else 0,
        primed_out=0 if back else draw(tenths),
        rinse=draw(tenths) if primary else 0,
    )
    lines = ["secondary", "primary"] if primary else ["secondary"]
    changes = tuple(
        BagChange(draw(st.integers(0, 400)), line, bag(), entered())  # type: ignore[arg-type]
        for line in draw(st.lists(st.sampled_from(lines), max_size=3))
    )
    return Hanging(
        primary=primary or None,
        secondary=secondary,
        mode="gravity" if gravity else "pump",
        shared_tubing_volume=shared,
        keep_open_rate=0 if gravity else draw(st.sampled_from([0, 5, 20])),
        clamp_reset_after=draw(st.integers(0, 20)),
        flush=draw(st.none() | st.builds(Flush, volumes, rates)),
        changes=changes,
    )


@st.composite
def timelines(draw: st.DrawFn) -> Timeline:
    """The timeline of anything that can be hung."""
    return infusion_timeline(draw(hangings()), until=draw(st.integers(1, 600)))


@given(timelines())
def test_volume_and_drug_are_conserved_exactly(timeline: Timeline) -> None:
    """Every mL and every part of the drug that was hung is in the patient, a bag, a tube, or taken down."""
    assert timeline.volume.missing == 0
    assert timeline.drug.missing == 0


@given(timelines())
def test_nothing_is_ever_negative_and_what_is_infused_never_falls(timeline: Timeline) -> None:
    """Bags never hold less than nothing; infused volume and drug only rise."""
    for remaining in (timeline.primary_remaining, timeline.secondary_remaining):
        assert min(value for _, value in remaining.points) >= 0
    for rising in (timeline.primary_infused, timeline.secondary_infused, timeline.patient_drug):
        values = [value for _, value in rising.points]
        assert values == sorted(values)


@given(timelines())
def test_segments_tile_the_time_and_add_up_to_what_the_patient_got(timeline: Timeline) -> None:
    """Segments follow on one another without a gap; rate times time is the volume, drug rate times time the drug."""
    ends = [segment.end for segment in timeline.segments]
    assert [segment.start for segment in timeline.segments] == [Fraction(0), *ends[:-1]]
    assert ends[-1] == timeline.until
    hours = [(segment, (segment.end - segment.start) / 60) for segment in timeline.segments]
    assert sum(segment.rate * time for segment, time in hours) == timeline.patient_volume.last
    assert sum(segment.drug_rate * time for segment, time in hours) == timeline.patient_drug.last


@given(hangings(), st.integers(1, 300), st.integers(1, 300))
def test_a_longer_look_doesnt_change_what_came_before(hanging: Hanging, early: int, later: int) -> None:
    """The curves of a short timeline are the beginning of those of a long one."""
    short, long = infusion_timeline(hanging, until=early), infusion_timeline(hanging, until=early + later)
    for minute in (Fraction(early) / 3, Fraction(early) * 2 / 3):
        assert short.patient_drug.at(minute) == long.patient_drug.at(minute)
        assert short.secondary_remaining.at(minute) == long.secondary_remaining.at(minute)


@given(timelines())
def test_every_event_is_told_in_one_sentence(timeline: Timeline) -> None:
    """Events come in order of time, and each says what happens in a sentence without gaps."""
    times = [event.at for event in timeline.events]
    assert times == sorted(times)
    for event in timeline.events:
        assert event.says.endswith(".")
        assert "{" not in event.says + event.short
        assert "  " not in event.says
