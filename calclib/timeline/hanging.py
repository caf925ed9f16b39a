"""What is hung and what is entered: the givens of an infusion over time."""

from __future__ import annotations

from dataclasses import dataclass, fields
from fractions import Fraction
from typing import Literal

from calclib.errors import BadInput
from calclib.wording.facts import fact

Amount = int | Fraction
Mode = Literal["pump", "gravity"]
Line = Literal["primary", "secondary"]


def _check_amounts(record: object, *, positive: tuple[str, ...] = ()) -> None:
    """Hold that every number of a record is exact and not negative (`positive`: not zero either)."""
    for field in fields(record):  # type: ignore[arg-type]
        value = getattr(record, field.name)
        if isinstance(value, (float, complex)):
            raise BadInput(fact("errors_timeline.inexact", name=field.name))
        if isinstance(value, bool) or not isinstance(value, (int, Fraction)):
            continue
        if value < 0:
            raise BadInput(fact("errors_timeline.negative", name=field.name))
        if value == 0 and field.name in positive:
            raise BadInput(fact("errors_timeline.zero", name=field.name))


@dataclass(frozen=True)
class Bag:
    """A bag as it is hung.

    Args:
        volume: Volume on the label [mL].
        overfill: What the bag holds beyond its label [mL].
        additive: Volume of the drug solution added to the bag, if nothing was withdrawn for it [mL].
        drug: Amount of the drug that is followed [any one unit, the same everywhere].
    """

    volume: Amount
    overfill: Amount = 0
    additive: Amount = 0
    drug: Amount = 0

    def __post_init__(self) -> None:
        _check_amounts(self)
        if self.drug and not self.contents:
            raise BadInput(fact("errors_timeline.drug_without_volume"))

    @property
    def contents(self) -> Fraction:
        """What the bag really holds [mL]."""
        return Fraction(self.volume) + self.overfill + self.additive


@dataclass(frozen=True)
class Entered:
    """What is entered on a pump, or set with a clamp.

    Args:
        rate: [mL/h]
        volume: Volume to be infused [mL]; None if none is entered (by gravity nothing counts it).
    """

    rate: Amount
    volume: Amount | None = None

    def __post_init__(self) -> None:
        _check_amounts(self, positive=("rate", "volume"))


@dataclass(frozen=True)
class Primary:
    """The primary infusion as it stands when the clock starts.

    Args:
        bag: What is left in the primary bag.
        entered: Its rate, and what is left of its volume to be infused.
        running: False if its clamp is closed: the line is full of primary fluid, but none flows.
    """

    bag: Bag
    entered: Entered
    running: bool = True


@dataclass(frozen=True)
class Secondary:
    """The secondary infusion, hung at minute 0.

    Args:
        bag: The bag with the drug.
        entered: Its rate and volume to be infused.
        tubing_volume: Volume of the secondary tubing, from bag to port [mL].
        back_primed: 0 if the tubing was primed with fluid from its own bag. Else the primary fluid [mL] that is let up
            the tubing: it fills the tubing, the rest enters the bag.
        primed_out: Fluid lost from the end of the tubing when it was primed from its own bag [mL].
        rinse: Once the bag is empty, lower it, let this much primary fluid up [mL], hang it again; 0 for no rinse.
    """

    bag: Bag
    entered: Entered
    tubing_volume: Amount = 0
    back_primed: Amount = 0
    primed_out: Amount = 0
    rinse: Amount = 0

    def __post_init__(self) -> None:
        _check_amounts(self)
        if self.back_primed and self.back_primed < self.tubing_volume:
            raise BadInput(fact("errors_timeline.back_primed_too_little"))
        if self.back_primed and self.primed_out:
            raise BadInput(fact("errors_timeline.primed_out_of_back_primed"))
        if not self.back_primed and self.tubing_volume + self.primed_out > self.bag.contents:
            raise BadInput(fact("errors_timeline.secondary_bag_too_small"))


@dataclass(frozen=True)
class Flush:
    """Plain fluid hung in place of the secondary bag once it is done.

    Args:
        volume: [mL]
        rate: [mL/h]
    """

    volume: Amount
    rate: Amount

    def __post_init__(self) -> None:
        _check_amounts(self, positive=("volume", "rate"))


@dataclass(frozen=True)
class BagChange:
    """A new bag at a given minute; what is left in the old one is taken down with it.

    Args:
        at: Minutes after the start [min].
        line: Which bag is changed.
        bag: The new bag.
        entered: What is newly entered; None leaves the rate, and the volume counted, as they are. A new secondary bag
            needs it.
    """

    at: Amount
    line: Line
    bag: Bag
    entered: Entered | None = None

    def __post_init__(self) -> None:
        _check_amounts(self)
        if self.line == "secondary" and self.entered is None:
            raise BadInput(fact("errors_timeline.new_bag_without_rate"))


@dataclass(frozen=True)
class Hanging:
    """Everything that is hung, entered and planned.

    Args:
        primary: None if the secondary bag hangs alone.
        secondary: None if only the primary infusion runs.
        mode: "pump" or "gravity".
        shared_tubing_volume: Tubing from the port to the patient [mL].
        keep_open_rate: Rate after completion, to keep the vein open [mL/h]; 0 stops the flow. Pumps only.
        clamp_reset_after: By gravity: minutes from when the primary resumes until you set the clamp to its rate [min].
        flush: Plain fluid that follows the secondary bag.
        changes: Bag changes.
        drug_unit: Unit of the drug amounts, for writing.
    """

    primary: Primary | None = None
    secondary: Secondary | None = None
    mode: Mode = "pump"
    shared_tubing_volume: Amount = 0
    keep_open_rate: Amount = 0
    clamp_reset_after: Amount = 0
    flush: Flush | None = None
    changes: tuple[BagChange, ...] = ()
    drug_unit: str = "mg"

    def __post_init__(self) -> None:
        _check_amounts(self)
        if self.mode not in ("pump", "gravity"):
            raise BadInput(fact("errors_timeline.mode"))
        if self.primary is None and self.secondary is None:
            raise BadInput(fact("errors_timeline.no_bag"))
        if self.mode == "gravity":
            self._check_gravity()
        elif any(entered.volume is None for entered in self._secondary_entries()):
            raise BadInput(fact("errors_timeline.volume_of_secondary"))
        for change in self.changes:
            if getattr(self, change.line) is None:
                raise BadInput(fact("errors_timeline.no_infusion_to_change", line=change.line))
        self._check_priming()

    def _secondary_entries(self) -> list[Entered]:
        changed = [change.entered for change in self.changes if change.line == "secondary" and change.entered]
        return [*changed, *([self.secondary.entered] if self.secondary else [])]

    def _check_gravity(self) -> None:
        infusions = (self.primary, self.secondary, *self.changes)
        if any(one is not None and one.entered is not None and one.entered.volume is not None for one in infusions):
            raise BadInput(fact("errors_timeline.volume_by_gravity"))
        if self.keep_open_rate:
            raise BadInput(fact("errors_timeline.keep_open_by_gravity"))

    def _check_priming(self) -> None:
        second = self.secondary
        if second is None:
            return
        upward = Fraction(second.back_primed) + second.rinse
        if upward and self.primary is None:
            raise BadInput(fact("errors_timeline.back_priming_alone"))
        if self.primary is not None and second.back_primed > self.primary.bag.contents:
            raise BadInput(fact("errors_timeline.primary_bag_too_small"))
        alone = Fraction(second.tubing_volume) + second.primed_out + self.shared_tubing_volume
        if self.primary is None and alone > second.bag.contents:
            raise BadInput(fact("errors_timeline.bag_too_small_to_prime"))
