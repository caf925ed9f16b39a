"""How a secondary infusion is really hung: one test for each thing that happens, with numbers worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.timeline import (
    Bag,
    BagChange,
    Entered,
    Flush,
    Hanging,
    Primary,
    Secondary,
    Timeline,
    infusion_timeline,
)

PRIMARY = Primary(Bag(1000), Entered(125))


def hang(secondary: Secondary, *, until: int = 240, primary: Primary | None = PRIMARY, **more: object) -> Timeline:
    """The timeline of a secondary infusion [until: min], with the primary above unless another is given."""
    return infusion_timeline(Hanging(primary=primary, secondary=secondary, **more), until=until)  # type: ignore[arg-type]


def kinds(timeline: Timeline) -> list[str]:
    """What happens, in order."""
    return [event.kind for event in timeline.events]


def test_exact_volume_entered_empties_the_bag_as_the_pump_changes_over() -> None:
    """With the true volume entered, bag empty, volume reached and primary resumed fall on one minute."""
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(200, 100)))
    assert kinds(timeline) == ["start", "primed", "secondary_empty", "secondary_volume_reached", "primary_resumes"]
    assert {event.at for event in timeline.events[2:]} == {Fraction(30)}
    assert timeline.primary_infused.at(240) == Fraction(125 * 210, 60)


def test_additive_and_overfill_are_left_when_the_label_volume_is_entered() -> None:
    """100 mL entered for a bag that holds 100 + 7 + 5 mL leaves 12 mL, and the drug in it, for the primary rate."""
    timeline = hang(Secondary(Bag(100, overfill=7, additive=5, drug=1120), Entered(100, 100)))
    assert timeline.time_of("secondary_volume_reached") == 60
    assert timeline.secondary_remaining.at(60) == 12
    assert timeline.patient_drug.at(60) == 1000
    assert timeline.secondary_remaining.at(60 + Fraction(12 * 60, 125)) == 0


def test_entered_too_small_the_rest_of_the_secondary_runs_at_the_primary_rate() -> None:
    """Of 100 mL with 80 mL entered, the last 20 mL of the secondary bag run at 125 mL/h, and only then the primary."""
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(200, 80)))
    assert timeline.time_of("secondary_volume_reached") == 24
    assert timeline.time_of("rest_at_primary_rate") == 24
    assert timeline.time_of("secondary_empty") == 24 + Fraction(20 * 60, 125)
    rest = timeline.segments[1]
    assert (rest.source, rest.rate, rest.drug_rate) == ("secondary", 125, 1250)
    assert timeline.primary_infused.at(Fraction("33.6")) == 0


def test_entered_too_large_primary_fluid_runs_at_the_secondary_rate() -> None:
    """Of 100 mL with 120 mL entered, 20 mL of primary fluid run at 200 mL/h before the primary rate comes back."""
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(200, 120)))
    assert timeline.time_of("primary_at_secondary_rate") == 30
    assert timeline.time_of("secondary_volume_reached") == 36
    assert timeline.primary_infused.at(36) == 20
    assert [(s.source, s.rate) for s in timeline.segments] == [("secondary", 200), ("primary", 200), ("primary", 125)]


def test_by_gravity_the_secondary_empties_and_the_primary_resumes_by_itself() -> None:
    """By gravity no volume is entered: at 100 mL the bag is empty and the primary flows on."""
    primary = Primary(Bag(1000), Entered(125))
    timeline = hang(Secondary(Bag(100), Entered(150)), primary=primary, mode="gravity")
    assert kinds(timeline) == ["start", "primed", "secondary_empty", "primary_resumes"]
    assert timeline.time_of("primary_resumes") == 40
    assert timeline.primary_infused.at(100) == 125


def test_by_gravity_the_primary_runs_at_the_old_flow_until_the_clamp_is_set() -> None:
    """With the clamp reset 12 minutes late, 30 mL of primary fluid have run at 150 mL/h."""
    timeline = hang(Secondary(Bag(100), Entered(150)), mode="gravity", clamp_reset_after=12)
    assert timeline.time_of("clamp_reset") == 52
    assert timeline.primary_infused.at(52) == 30
    assert timeline.primary_infused.at(112) == 155


def test_without_a_running_primary_the_residual_stays_in_the_tubing() -> None:
    """A 50 mL bag hung alone on 20 mL of tubing: 40% of its drug is left in the line when the bag is empty."""
    alone = Secondary(Bag(50, drug=1000), Entered(100, 30))
    timeline = hang(alone, primary=None, shared_tubing_volume=20)
    assert timeline.time_of("secondary_empty") == timeline.time_of("complete") == 18
    assert timeline.patient_drug.last == 600
    assert timeline.drug.in_shared_tubing == 400


def test_a_clamped_primary_leaves_the_residual_too() -> None:
    """If the primary hangs but its clamp is closed, nothing pushes the drug on."""
    clamped = Primary(Bag(1000), Entered(125), running=False)
    timeline = hang(Secondary(Bag(50, drug=1000), Entered(100, 50)), primary=clamped, shared_tubing_volume=20)
    assert timeline.drug.in_shared_tubing == 400
    assert timeline.primary_infused.last == 0
    assert kinds(timeline)[-2:] == ["complete", "stopped"]


def test_a_running_primary_pushes_the_residual_on() -> None:
    """With the primary running, the same 400 mg reach the patient with the next 20 mL of primary fluid."""
    timeline = hang(Secondary(Bag(50, drug=1000), Entered(100, 50)), shared_tubing_volume=20)
    assert timeline.patient_drug.at(30) == 600
    assert timeline.patient_drug.at(30 + Fraction(20 * 60, 125)) == 1000


def test_a_flush_brings_the_residual_to_the_patient() -> None:
    """A flush of at least the tubing volume delivers all of the drug; half of it delivers half of the residual."""
    alone = Secondary(Bag(50, drug=1000), Entered(100, 30))
    whole = hang(alone, primary=None, shared_tubing_volume=20, flush=Flush(25, 100))
    half = hang(alone, primary=None, shared_tubing_volume=20, flush=Flush(10, 100))
    assert whole.patient_drug.last == 1000
    assert half.patient_drug.last == 800
    assert whole.time_of("flush_done") == 18 + 15


def test_a_flush_replaces_a_bag_that_still_holds_overfill() -> None:
    """If the pump is complete before the bag is empty, the flush takes its place and the rest is taken down."""
    alone = Secondary(Bag(50, overfill=5, drug=1100), Entered(100, 30))
    timeline = hang(alone, primary=None, shared_tubing_volume=20, flush=Flush(20, 100))
    assert timeline.drug.taken_down == 100
    assert timeline.patient_drug.last == 1000


def test_back_priming_adds_primary_fluid_to_the_bag_and_loses_no_drug() -> None:
    """15 mL let up 10 mL of tubing: 105 mL in the bag, all 1,000 mg still in it, 15 mL less in the primary bag."""
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(105, 105), tubing_volume=10, back_primed=15), until=1)
    assert timeline.secondary_remaining.at(0) == 105
    assert timeline.primary_remaining.at(0) == 985
    assert timeline.drug.taken_down == 0
    assert timeline.drug.in_bags + timeline.drug.in_secondary_tubing == 1000
    assert timeline.patient_drug.last == 0


def test_priming_with_drug_loses_what_runs_out_of_the_end() -> None:
    """10 mL of 100 mL fill the tubing and 4 mL run out: 40 mg of 1,000 mg are lost before the infusion starts."""
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(100, 86), tubing_volume=10, primed_out=4))
    assert timeline.secondary_remaining.at(0) == 86
    assert timeline.drug.taken_down == 40
    assert timeline.drug.in_secondary_tubing == 100
    assert timeline.patient_drug.last == 860


def test_back_priming_leaves_less_drug_in_the_secondary_tubing_than_priming_with_drug() -> None:
    """The residual is 10 mL of 1,000 mg/105 mL after back-priming, 10 mL of 1,000 mg/100 mL after priming with drug."""
    back = hang(Secondary(Bag(100, drug=1000), Entered(105, 105), tubing_volume=10, back_primed=15))
    drug = hang(Secondary(Bag(100, drug=1000), Entered(90, 90), tubing_volume=10))
    assert back.drug.in_secondary_tubing == Fraction(10000, 105)
    assert drug.drug.in_secondary_tubing == 100


def test_a_rinse_carries_the_residual_back_into_the_bag() -> None:
    """20 mL let up after the bag is empty put 100 mg into 20 mL; when that has run, 50 mg are left in the tubing."""
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(100, 90), tubing_volume=10, rinse=20))
    assert timeline.secondary_remaining.at(54) == 20
    assert timeline.drug.in_secondary_tubing == 50
    assert timeline.patient_drug.last == 950


def test_primary_without_the_fluid_for_a_rinse_skips_it() -> None:
    """A rinse never takes more than the primary bag holds."""
    little = Primary(Bag(5), Entered(125))
    timeline = hang(Secondary(Bag(100), Entered(100, 90), tubing_volume=10, rinse=20), primary=little)
    assert "rinse" not in kinds(timeline)


def test_drug_arrives_after_the_tubing_has_been_cleared() -> None:
    """With 10 mL from port to patient at 100 mL/h, the first drug arrives after 6 minutes (plug flow)."""
    timeline = hang(Secondary(Bag(100, drug=500), Entered(100, 100)), shared_tubing_volume=10)
    assert timeline.patient_drug.at(6) == 0
    assert timeline.patient_drug.at(18) == 100
    assert any("plug flow" in sentence for sentence in timeline.assumptions)


def test_primary_bag_dry_stops_the_pump() -> None:
    """A primary bag of 50 mL at 125 mL/h is dry 24 minutes after it resumes; then nothing flows."""
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), primary=Primary(Bag(50), Entered(125)))
    assert timeline.time_of("primary_dry") == timeline.time_of("air") == 54
    assert timeline.segments[-1].source == "none"


def test_a_new_primary_bag_lets_the_infusion_go_on() -> None:
    """A bag changed 6 minutes after the old one ran dry: 6 minutes lost, then 125 mL/h again."""
    change = BagChange(60, "primary", Bag(1000))
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), primary=Primary(Bag(50), Entered(125)), changes=(change,))
    assert timeline.primary_infused.at(60) == 50
    assert timeline.primary_infused.at(120) == 175
    assert timeline.primary_remaining.at(60) == 1000


def test_a_bag_changed_early_takes_its_rest_down() -> None:
    """What is left in the old bag doesn't reach the patient and is accounted for."""
    change = BagChange(54, "primary", Bag(500))
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), changes=(change,))
    assert timeline.volume.taken_down == 950
    assert timeline.volume.missing == 0


def test_the_next_dose_brings_the_residual_of_the_last_one_with_it() -> None:
    """A second bag on the same tubing first pushes on the 100 mg that the first left in it."""
    change = BagChange(120, "secondary", Bag(100, drug=1000), Entered(100, 100))
    timeline = hang(Secondary(Bag(100, drug=1000), Entered(100, 90), tubing_volume=10), changes=(change,))
    assert timeline.patient_drug.at(120) == 900
    assert timeline.patient_drug.at(126) == 1000
    assert timeline.patient_drug.last == 1900


def test_keep_open_rate_follows_when_all_that_was_entered_has_run() -> None:
    """100 mL secondary at 200 mL/h, then 250 mL primary at 125 mL/h, then 20 mL/h from minute 150."""
    primary = Primary(Bag(1000), Entered(125, 250))
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), primary=primary, keep_open_rate=20)
    assert timeline.time_of("complete") == timeline.time_of("keep_open") == 150
    assert timeline.primary_infused.at(210) - timeline.primary_infused.at(150) == 20


def test_without_keep_open_rate_the_pump_stops() -> None:
    """With a keep-open rate of 0, nothing flows after completion."""
    primary = Primary(Bag(1000), Entered(125, 250))
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), primary=primary)
    assert kinds(timeline)[-2:] == ["complete", "stopped"]
    assert timeline.primary_infused.last == 250


def test_a_bag_alone_with_overfill_goes_on_at_the_keep_open_rate_until_it_is_empty() -> None:
    """5 mL of overfill at 10 mL/h last 30 minutes; then the pump stops and alarms."""
    alone = Secondary(Bag(100, overfill=5), Entered(100, 100))
    timeline = hang(alone, primary=None, keep_open_rate=10)
    assert timeline.time_of("keep_open") == 60
    assert timeline.time_of("air") == 90


def test_a_primary_infusion_alone_counts_down_and_completes() -> None:
    """Only a primary: 500 mL at 125 mL/h complete after 4 hours."""
    timeline = infusion_timeline(Hanging(primary=Primary(Bag(1000), Entered(125, 500))), until=300)
    assert timeline.time_of("complete") == 240
    assert timeline.events[0].says == "The primary infusion starts at 125 mL/h."


def test_volume_of_the_primary_still_to_be_counted_survives_a_second_dose() -> None:
    """The primary counts 250 mL over two stretches: 30 to 120 min (187.5 mL) and 180 min on."""
    primary = Primary(Bag(1000), Entered(125, 250))
    change = BagChange(120, "secondary", Bag(100), Entered(100, 100))
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), primary=primary, changes=(change,))
    assert timeline.time_of("complete") == 180 + Fraction("62.5") * 60 / 125


def test_after_completion_a_second_dose_returns_to_the_keep_open_rate() -> None:
    """Once the primary is complete, the end of a later dose doesn't start it again."""
    primary = Primary(Bag(1000), Entered(125, 125))
    change = BagChange(120, "secondary", Bag(100), Entered(100, 100))
    timeline = hang(Secondary(Bag(100), Entered(200, 100)), primary=primary, changes=(change,), keep_open_rate=10)
    assert timeline.primary_infused.at(240) == 125 + Fraction(10 * 30, 60) + 10


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Bag(0.5), "not as a float"),  # type: ignore[arg-type]
        (lambda: Bag(-1), "can't be negative"),
        (lambda: Entered(0), "can't be 0"),
        (lambda: Bag(0, drug=5), "needs a volume"),
        (lambda: Secondary(Bag(100), Entered(100, 100), tubing_volume=10, back_primed=5), "air is left"),
        (lambda: Secondary(Bag(5), Entered(100, 5), tubing_volume=10), "prime its tubing"),
        (Hanging, "at least one bag"),
        (lambda: Hanging(secondary=Secondary(Bag(100), Entered(100))), "enter its volume"),
        (lambda: Hanging(primary=Primary(Bag(9), Entered(9, 9)), mode="gravity"), "nothing counts the volume"),
        (lambda: Hanging(secondary=Secondary(Bag(99), Entered(9, 9), back_primed=9)), "needs a primary"),
        (lambda: BagChange(5, "secondary", Bag(9)), "needs a rate"),
        (lambda: infusion_timeline(Hanging(primary=PRIMARY), until=0), "last minute"),
    ],
)
def test_what_cant_be_hung_is_refused_in_one_sentence(make: object, words: str) -> None:
    """Nonsense is refused with a sentence that says how to mend it."""
    with pytest.raises(BadInput, match=words):
        make()  # type: ignore[operator]
