"""Bags and tubing as one line: where each mL and each part of the drug is."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from calclib.timeline.contents import Contents, contents_of
from calclib.timeline.hanging import Bag, Hanging, Line, Secondary
from calclib.timeline.record import Balance
from calclib.timeline.tubing import Plug, Tube, full_tube

Reservoir = Literal["primary", "secondary", "flush"]


@dataclass
class InfusionLine:
    """Bags, tubing and patient. Every method moves fluid from one place to another and loses none."""

    bags: dict[Reservoir, Contents]
    secondary_tube: Tube
    shared_tube: Tube
    hung: Contents
    patient: Contents = field(default_factory=Contents)
    taken_down: Contents = field(default_factory=Contents)
    infused: dict[Reservoir, Fraction] = field(default_factory=dict)

    def flow(self, source: Reservoir, volume: Fraction) -> None:
        """Let a volume [mL] flow from a bag toward the patient."""
        self.bags[source], plug = self.bags[source].draw(volume)
        self.infused[source] = self.infused.get(source, Fraction(0)) + volume
        at_port: tuple[Plug, ...] = (plug,)
        if source != "primary":
            self.secondary_tube, at_port = self.secondary_tube.push(plug)
        for part in at_port:
            self.shared_tube, out = self.shared_tube.push(part)
            self.patient = self.patient.receive(out)

    def let_up(self, volume: Fraction) -> None:
        """Let primary fluid [mL] flow up the secondary tubing into the lowered bag."""
        self.bags["primary"], plug = self.bags["primary"].draw(volume)
        self.secondary_tube, out = self.secondary_tube.push_up(plug)
        self.bags["secondary"] = self.bags["secondary"].receive(out)

    def change(self, line: Line, bag: Bag) -> None:
        """Take a bag down with what is left in it, and hang a new one."""
        self.take_down(line)
        self.bags[line] = contents_of(bag)
        self.hung = _sum(self.hung, self.bags[line])

    def take_down(self, line: Line) -> None:
        """Take a bag down with what is left in it."""
        self.taken_down = _sum(self.taken_down, self.bags[line])
        self.bags[line] = Contents()

    def steady_volume(self, source: Reservoir) -> Fraction | None:
        """The volume [mL] that can flow before other fluid comes to the end of a tube; None for no limit."""
        tubes = (self.shared_tube,) if source == "primary" else (self.shared_tube, self.secondary_tube)
        heads = [tube.plugs[0].volume for tube in tubes if tube.plugs]
        return min(heads, default=None)

    def volume_balance(self) -> Balance:
        """Where the volume is [mL]."""
        in_bags = sum((bag.volume for bag in self.bags.values()), Fraction(0))
        tubes = (self.secondary_tube.volume, self.shared_tube.volume)
        return Balance(self.hung.volume, self.patient.volume, in_bags, *tubes, self.taken_down.volume)

    def drug_balance(self) -> Balance:
        """Where the drug is [drug unit]."""
        in_bags = sum((bag.drug for bag in self.bags.values()), Fraction(0))
        tubes = (self.secondary_tube.drug, self.shared_tube.drug)
        return Balance(self.hung.drug, self.patient.drug, in_bags, *tubes, self.taken_down.drug)


def primed_line(hanging: Hanging) -> InfusionLine:
    """The line at minute 0: bags hung, tubing full, nothing infused."""
    primary = contents_of(hanging.primary.bag) if hanging.primary else Contents()
    shared = full_tube(hanging.shared_tubing_volume, primary.concentration)
    line = InfusionLine(
        bags={"primary": primary, "secondary": Contents(), "flush": Contents()},
        secondary_tube=Tube(),
        shared_tube=shared,
        hung=Contents(primary.volume + shared.volume, primary.drug + shared.drug),
    )
    if hanging.flush:
        line.bags["flush"] = Contents(Fraction(hanging.flush.volume))
        line.hung = _sum(line.hung, line.bags["flush"])
    if hanging.secondary:
        _hang_secondary(line, hanging.secondary, alone=hanging.primary is None)
    return line


def _hang_secondary(line: InfusionLine, second: Secondary, *, alone: bool) -> None:
    bag = contents_of(second.bag)
    line.hung = _sum(line.hung, bag)
    tubing = Fraction(second.tubing_volume)
    if second.back_primed:
        line.bags["primary"], plug = line.bags["primary"].draw(Fraction(second.back_primed))
        line.secondary_tube = full_tube(tubing, plug.concentration)
        bag = bag.receive([Plug(plug.volume - tubing, plug.concentration)])
    else:
        line.secondary_tube = full_tube(tubing, bag.concentration)
        bag, _ = bag.draw(tubing)
        bag, lost = bag.draw(Fraction(second.primed_out))
        line.taken_down = line.taken_down.receive([lost])
    if alone:
        # The line was filled from this very bag, not from a fluid that hung there before.
        volume = line.shared_tube.volume
        line.hung = Contents(line.hung.volume - volume, line.hung.drug - line.shared_tube.drug)
        line.shared_tube = full_tube(volume, bag.concentration)
        bag, _ = bag.draw(volume)
    line.bags["secondary"] = bag


def _sum(one: Contents, other: Contents) -> Contents:
    return Contents(one.volume + other.volume, one.drug + other.drug)
