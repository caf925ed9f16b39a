"""Problems on secondary infusions have the answers that the simulation of the same infusion gives, exactly."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.items import Item, draw_item
from calclib.models import item_model
from calclib.timeline import Bag, Entered, Hanging, Primary, Secondary, Timeline, infusion_timeline

SEEDS = ["a", "b", "c", "d", "e"]


def stated(item: Item, name: str) -> Fraction:
    """A given in mL, mg or minutes, whatever form it is stated in."""
    number, unit = next(given.text for given in item.givens if given.name == name).split()
    scale = {"g": 1000, "mg": 1, "mL": 1, "L": 1000, "min": 1, "h": 60}
    return Fraction(number.replace(",", "")) * scale[unit]


def exact(item: Item, part: str) -> object:
    """The answer to a part before rounding."""
    return next(one.exact for one in item.parts if one.name == part)


def hung(secondary: Secondary) -> Timeline:
    """The infusion with a primary above which it hangs, long enough to end."""
    primary = Primary(Bag(2000), Entered(125))
    return infusion_timeline(Hanging(primary=primary, secondary=secondary), until=1440)


@pytest.mark.parametrize("seed", SEEDS)
def test_drug_left_in_a_tubing_primed_with_drug(seed: str) -> None:
    """Amount times tubing volume by bag volume is what stays in the tubing; the rest has arrived."""
    item = draw_item(item_model("tubing-drug-left"), seed)
    bag = Bag(stated(item, "total"), drug=stated(item, "amount"))
    timeline = hung(Secondary(bag, Entered(100, bag.volume), tubing_volume=stated(item, "tubing")))
    assert timeline.drug.in_secondary_tubing == exact(item, "left")
    assert timeline.patient_drug.last == exact(item, "received")


@pytest.mark.parametrize("seed", SEEDS)
def test_drug_left_in_a_back_primed_tubing(seed: str) -> None:
    """Back-priming dilutes the bag, so that less of its drug stays in the tubing."""
    item = draw_item(item_model("tubing-drug-left-back-primed"), seed)
    bag = Bag(stated(item, "total"), drug=stated(item, "amount"))
    tubing, back_primed = stated(item, "tubing"), stated(item, "back_primed")
    timeline = hung(Secondary(bag, Entered(100, bag.volume), tubing, back_primed))
    assert timeline.secondary_remaining.at(0) == exact(item, "mixed")
    assert timeline.drug.in_secondary_tubing == exact(item, "left")
    assert timeline.patient_drug.last == exact(item, "received")


@pytest.mark.parametrize("seed", SEEDS)
def test_drug_left_after_a_rinse(seed: str) -> None:
    """One rinse leaves tubing volume by rinse volume of what was in the tubing."""
    item = draw_item(item_model("tubing-rinse"), seed)
    bag = Bag(stated(item, "total"), drug=stated(item, "amount"))
    tubing, rinse = stated(item, "tubing"), stated(item, "rinse")
    before = hung(Secondary(bag, Entered(100, bag.volume), tubing))
    after = hung(Secondary(bag, Entered(100, bag.volume), tubing, rinse=rinse))
    assert before.drug.in_secondary_tubing == exact(item, "left")
    assert after.drug.in_secondary_tubing == exact(item, "rest")


@pytest.mark.parametrize("seed", SEEDS)
def test_what_to_enter_empties_the_bag_at_the_ordered_time(seed: str) -> None:
    """Bag and additive entered as they are, at the exact rate: the bag is empty when the ordered time is over."""
    item = draw_item(item_model("secondary-infusion-entries"), seed)
    bag = Bag(stated(item, "bag"), additive=stated(item, "added"))
    rate, volume = exact(item, "rate"), exact(item, "volume")
    assert isinstance(rate, Fraction)
    assert volume == bag.contents
    timeline = hung(Secondary(bag, Entered(rate, bag.contents)))
    assert timeline.time_of("secondary_empty") == timeline.time_of("primary_resumes") == stated(item, "time")
