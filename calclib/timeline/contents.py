"""Well-mixed contents of a bag."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from calclib.timeline.hanging import Bag
from calclib.timeline.tubing import Plug


@dataclass(frozen=True)
class Contents:
    """What a bag holds now: volume [mL], drug [drug unit]."""

    volume: Fraction = Fraction(0)
    drug: Fraction = Fraction(0)

    @property
    def concentration(self) -> Fraction:
        """Drug per volume [drug unit/mL]; 0 when empty."""
        return self.drug / self.volume if self.volume else Fraction(0)

    def draw(self, volume: Fraction) -> tuple[Contents, Plug]:
        """The contents after a volume [mL] has left, and that volume."""
        plug = Plug(volume, self.concentration)
        return Contents(self.volume - volume, self.drug - plug.drug), plug

    def receive(self, plugs: Iterable[Plug]) -> Contents:
        """The contents after fluid was let in and mixed."""
        volume, drug = self.volume, self.drug
        for plug in plugs:
            volume, drug = volume + plug.volume, drug + plug.drug
        return Contents(volume, drug)


def contents_of(bag: Bag) -> Contents:
    """What a bag holds when it is hung: label volume, overfill and additive together."""
    return Contents(bag.contents, Fraction(bag.drug))
