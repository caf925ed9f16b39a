"""What is told of a number that is run: exact words, and no number of the key before the mark is final."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pytest

from calclib.answers import recorded_run, run_of, run_words, time_in_words
from calclib.answers.run_plans import run_plans
from calclib.items import Item, draw_item
from calclib.models import bank, item_model
from tests.items.drawn import FULL

SEEDS = ["a", "b", "c"] if FULL else ["a"]
PARTS = [(model, part) for model in sorted(bank()) for part in sorted(run_plans(model))]


@cache
def drawn(model: str, seed: str) -> Item:
    """A problem."""
    return draw_item(item_model(model), seed)


def typed(item: Item, part: str, times: Fraction) -> Fraction:
    """So many times the key."""
    key = item.part(part).key
    assert key is not None
    return key * times


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("model", "part"), PARTS)
def test_every_row_runs(model: str, part: str, seed: str) -> None:
    """Half and twice of the key, as far as a pump takes it, can be run once the mark is final."""
    item = drawn(model, seed)
    doubled = (
        Fraction(2) if item.part(part).unit != "mL/h" or typed(item, part, Fraction(2)) <= 2000 else Fraction(3, 4)
    )
    for times in (doubled, Fraction(1, 2)):
        run = run_of(item, part, typed(item, part, times), (), final=True)
        assert run is not None and run.outcome != "as_ordered"
        assert run_words(run, "that").endswith("it shows the arithmetic, not your patient.")


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize(("model", "part"), PARTS)
def test_before_the_mark_is_final_nothing_comes_from_the_key(model: str, part: str, seed: str) -> None:
    """With every key of the problem changed, what is told before is the same: it rests on stem and answer."""
    item = drawn(model, seed)
    value = typed(item, part, Fraction(3))
    changed = item._replace(
        parts=tuple(
            one._replace(exact=Fraction(17), key=Fraction(17), answer="17") if one.key is not None else one
            for one in item.parts
        )
    )
    told = [run_of(each, part, value, (), final=False) for each in (item, changed)]
    assert told[0] == told[1]
    words = [None if one is None else run_words(one, "that") for one in told]
    assert words[0] == words[1]


def test_what_is_said_of_a_slow_pump() -> None:
    """750 mL over 7 h at 53.5 mL/h: 374.5 mL by then; empty after 841 min, 14 h 1 min."""
    item = draw_item(item_model("pump-rate"), "s1", given={"volume": "750 mL", "time": "7 h"})
    run = run_of(item, "rate", Fraction("53.5"), (("mL", 1), ("h", -1)), final=False)
    assert run is not None
    assert run_words(run, "53.5 mL/h").startswith(
        "At 53.5 mL/h only 374.5 mL of 750 mL would have run in after the ordered 7 h; "
        "the bag would be empty after 14 h 1 min."
    )


def test_another_unit_of_the_same_kind_runs_at_the_same_rate() -> None:
    """1 mL/min is 60 mL/h."""
    item = drawn("pump-rate", "s1")
    hour = run_of(item, "rate", Fraction(60), (("mL", 1), ("h", -1)), final=False)
    assert hour is not None
    assert run_of(item, "rate", Fraction(1), (("mL", 1), ("min", -1)), final=False) == hour


@pytest.mark.parametrize(
    ("model", "part", "value", "unit"),
    [
        ("pump-rate", "rate", Fraction(60), (("mL", 1),)),  # a volume is no rate
        ("pump-rate", "rate", Fraction(0), ()),
        ("pump-rate", "rate", Fraction(30_000), ()),  # no pump takes it
        ("pump-rate", "rate", Fraction(1, 1000), ()),
        ("injection-volume", "volume", Fraction(2), ()),  # no infusion
    ],
)
def test_what_sets_no_infusion_is_not_run(
    model: str, part: str, value: Fraction, unit: tuple[tuple[str, int], ...]
) -> None:
    """Nothing is drawn of what isn't a rate or volume of an infusion."""
    assert run_of(drawn(model, "a"), part, value, unit, final=True) is None


def test_a_recorded_reading_runs_as_the_answer_did() -> None:
    """The record of a verdict holds number and unit as texts; the run is the same."""
    item = drawn("pump-rate", "s1")
    found = recorded_run(item, "rate", {"value": "53.5", "unit": "mL/h", "shown": "53.5 mL/h"})
    assert found is not None
    assert found[0] == run_of(item, "rate", Fraction("53.5"), (), final=True)
    assert recorded_run(item, "rate", {"value": "about a liter", "unit": None, "shown": "about a liter"}) is None


@pytest.mark.parametrize(
    ("minutes", "words"),
    [("1.9", "1.9 min"), ("59", "59 min"), ("60", "1 h"), ("841.1", "14 h 1 min"), ("119.6", "2 h")],
)
def test_times_in_words(minutes: str, words: str) -> None:
    """Below an hour to a tenth of a minute, from there on to the whole minute."""
    assert time_in_words(Fraction(minutes)) == words


@pytest.mark.parametrize("model", sorted(bank()))
def test_what_is_set_on_a_pump_or_counted_in_drops_can_be_run(model: str) -> None:
    """Each rate that is set on a pump, and each rate of drops by a drop factor that wasn't counted."""
    found = run_plans(model)
    for part in item_model(model).parts:
        if part.kind == "" and (part.set_on == "pump" or str(part.unit) == "gtt/min"):
            assert (part.name in found) == (model != "drip-chamber-count"), part.name
    assert all(plan.volume for plan in found.values() if plan.sets != "rate")


def test_a_titrated_rate_is_told_by_the_hour_and_by_its_dose() -> None:
    """Twice the rate gives twice the dose: 200% of what is ordered."""
    item = drawn("titrated-rate", "a")
    exact = item.part("rate").exact
    assert isinstance(exact, Fraction)
    run = run_of(item, "rate", 2 * exact, (), final=True)
    assert run is not None
    words = run_words(run, "that")
    assert words.startswith("At that, ")
    assert " would run in over 1 h; ordered: " in words
    assert "The patient would get 200% of the ordered dose." in words
    assert run_of(item, "rate", Fraction(5), (), final=False) is None


def test_a_wrong_time_is_run_at_the_rate_that_it_would_take() -> None:
    """Half the time that the bag takes is twice the rate: empty in half of it."""
    item = drawn("infusion-duration", "a")
    minutes = item.part("time").exact
    assert isinstance(minutes, Fraction)
    run = run_of(item, "time", minutes / 2, (("min", 1),), final=True)
    assert run is not None
    assert (run.outcome, run.your_end, run.ordered_end) == ("sooner", minutes / 2, minutes)
    stated = next(given.text for given in item.givens if given.name == "rate")
    assert run_words(run, "85 min").startswith("For ")
    assert f"; it is {stated}." in run_words(run, "85 min")


def test_the_share_of_a_bag_is_not_taken_for_all_of_it() -> None:
    """Half of the burn fluid is ordered in 8 h, and a drug's volume comes to the bag's: neither bag is run whole."""
    assert run_plans("burn-fluid-bounds")["rate"].volume == ""
    assert run_plans("nominal-and-true-dose")["rate"].volume == ""


def test_a_problem_that_is_another_by_now_is_not_run() -> None:
    """Its model has changed since it was drawn, or is none of the bank."""
    item = drawn("pump-rate", "s1")
    assert run_of(item._replace(model_hash="0"), "rate", Fraction(60), (), final=True) is None
    assert run_of(item._replace(model_id="mine"), "rate", Fraction(60), (), final=True) is None
