"""An infusion as ordered and as a number of one's own would make it run: facts, exact."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from calclib.errors import BadInput
from calclib.timeline.hanging import Bag, Entered, Hanging, Primary
from calclib.timeline.record import Timeline
from calclib.timeline.simulation import LONGEST_MINUTES, infusion_timeline
from calclib.wording.facts import fact

MOST_OF_THE_ORDER = 3
"""How many times the ordered time is looked at where one's own number runs longer."""
WHOLE_DOSE = 100
MINUTES_PER_HOUR = 60

Outcome = Literal["as_ordered", "sooner", "later", "left", "dry", "steady"]
"""How one's own infusion ends: in the ordered time; before or after it; with fluid left in the bag; with nothing left
while the pump still counts; not at all, where a rate is kept up."""


@dataclass(frozen=True)
class Comparison:
    """Two runs of one bag.

    Args:
        ordered: The infusion as ordered.
        yours: The infusion at the numbers of one's own.
        outcome: How one's own ends.
        ordered_end: When the ordered one is over [min].
        your_end: When one's own is over [min]; None if it still runs at the last minute.
        volume: What is in the bag [mL].
        dose: Whether the bag holds a drug, followed in percent of the dose.
        by_time: Whether one's own number is the time, from which the rate comes.
    """

    ordered: Timeline
    yours: Timeline
    outcome: Outcome
    ordered_end: Fraction
    your_end: Fraction | None
    volume: Fraction
    dose: bool
    by_time: bool = False

    @property
    def infused_by_then(self) -> Fraction:
        """What has run of one's own when the ordered one is over [mL]."""
        return self.yours.primary_infused.at(self.ordered_end)

    @property
    def left(self) -> Fraction:
        """What is left in the bag at the last minute [mL]."""
        return self.yours.primary_remaining.last

    @property
    def to_count(self) -> Fraction:
        """What the pump still counts down when the bag is empty [mL]; 0 where it counts no more than the bag holds."""
        entered = self.yours.hanging.primary
        assert entered is not None and entered.entered.volume is not None, "one's own run is counted"
        return max(entered.entered.volume - self.volume, Fraction(0))


def compared_runs(
    *,
    volume: Fraction,
    minutes: Fraction,
    rate: Fraction | None = None,
    to_infuse: Fraction | None = None,
    own_minutes: Fraction | None = None,
    dose: bool = False,
) -> Comparison:
    """Return a bag as ordered against the same bag with a rate or a volume to be infused of one's own.

    Args:
        volume: What is in the bag and is to be infused [mL].
        minutes: The time ordered [min].
        rate: One's own rate [mL/h]; None for the one ordered.
        to_infuse: One's own volume to be infused [mL]; None for the one ordered.
        own_minutes: One's own time [min], in place of a rate.
        dose: Whether the bag holds a drug.

    Raises:
        BadInput: A number is not above 0, or the order takes more than 7 days.
    """
    if not (volume > 0 and minutes > 0) or minutes > LONGEST_MINUTES:
        raise BadInput(fact("errors_timeline.order_to_compare"))
    right = volume * MINUTES_PER_HOUR / minutes
    if own_minutes is not None:
        rate = volume * MINUTES_PER_HOUR / own_minutes
    own = Entered(right if rate is None else rate, volume if to_infuse is None else to_infuse)
    end = Fraction(min(own.volume or volume, volume)) * MINUTES_PER_HOUR / own.rate
    until = min(max(minutes, min(end, MOST_OF_THE_ORDER * minutes)), Fraction(LONGEST_MINUTES))
    bag = Bag(volume, drug=WHOLE_DOSE if dose else 0)
    ordered, yours = (_run(bag, entered, until) for entered in (Entered(right, volume), own))
    your_end = end if end <= until else None
    outcome = _outcome(own, volume, end, minutes)
    return Comparison(ordered, yours, outcome, minutes, your_end, volume, dose, own_minutes is not None)


def compared_steady(*, rate: Fraction, own: Fraction, minutes: Fraction, dose: bool = False) -> Comparison:
    """Return an infusion that is kept up as ordered against the same at a rate of one's own.

    Args:
        rate: The rate ordered [mL/h].
        own: One's own rate [mL/h].
        minutes: How long both are looked at [min].
        dose: Whether the bag holds a drug, followed in percent of what the order gives in that time.

    Raises:
        BadInput: A number is not above 0, or the time is longer than 7 days.
    """
    if not (rate > 0 and own > 0 and 0 < minutes <= LONGEST_MINUTES):
        raise BadInput(fact("errors_timeline.rates_to_compare"))
    volume = max(rate, own) * minutes / MINUTES_PER_HOUR
    # So much of the drug is in the bag that the order gives the whole dose in the time looked at.
    bag = Bag(volume, drug=WHOLE_DOSE * max(rate, own) / rate if dose else 0)
    ordered, yours = (_run(bag, Entered(each, volume), minutes) for each in (rate, own))
    return Comparison(ordered, yours, "steady", minutes, None, volume, dose)


def _run(bag: Bag, entered: Entered, until: Fraction) -> Timeline:
    return infusion_timeline(Hanging(Primary(bag, entered), drug_unit="%"), until=until)


def _outcome(own: Entered, volume: Fraction, end: Fraction, minutes: Fraction) -> Outcome:
    assert own.volume is not None, "one's own run is counted"
    if own.volume != volume:
        return "left" if own.volume < volume else "dry"
    return "as_ordered" if end == minutes else "sooner" if end < minutes else "later"
