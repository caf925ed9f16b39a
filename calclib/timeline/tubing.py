"""Plug flow: fluid leaves a tube in the order in which it entered, without mixing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Plug:
    """A stretch of fluid of one concentration.

    Args:
        volume: [mL]
        concentration: Drug in it [drug unit/mL].
    """

    volume: Fraction
    concentration: Fraction

    @property
    def drug(self) -> Fraction:
        """Drug in the plug [drug unit]."""
        return self.volume * self.concentration


@dataclass(frozen=True)
class Tube:
    """A full tube. `plugs[0]` lies nearest to the patient."""

    plugs: tuple[Plug, ...] = ()

    @property
    def volume(self) -> Fraction:
        """Fluid in the tube [mL]."""
        return sum((plug.volume for plug in self.plugs), Fraction(0))

    @property
    def drug(self) -> Fraction:
        """Drug in the tube [drug unit]."""
        return sum((plug.drug for plug in self.plugs), Fraction(0))

    def push(self, plug: Plug) -> tuple[Tube, tuple[Plug, ...]]:
        """Push a plug in at the upper end; the same volume comes out at the lower end, nearest plug first."""
        return _push(self.plugs, plug)

    def push_up(self, plug: Plug) -> tuple[Tube, tuple[Plug, ...]]:
        """Push a plug in at the lower end, as when primary fluid is let up; what comes out enters the bag."""
        tube, out = _push(self.plugs[::-1], plug)
        return Tube(tube.plugs[::-1]), out


def full_tube(volume: int | Fraction, concentration: int | Fraction = 0) -> Tube:
    """A tube filled with one fluid: volume [mL], concentration [drug unit/mL]."""
    return Tube((Plug(Fraction(volume), Fraction(concentration)),) if volume else ())


def _push(plugs: tuple[Plug, ...], plug: Plug) -> tuple[Tube, tuple[Plug, ...]]:
    row = _joined((*plugs, plug)) if plug.volume else plugs
    out: list[Plug] = []
    wanted = plug.volume
    while wanted:
        head = row[0]
        taken = min(wanted, head.volume)
        out.append(Plug(taken, head.concentration))
        rest = Plug(head.volume - taken, head.concentration)
        row = (rest, *row[1:]) if rest.volume else row[1:]
        wanted -= taken
    return Tube(row), tuple(out)


def _joined(plugs: tuple[Plug, ...]) -> tuple[Plug, ...]:
    """Join the last plug to the one before it when they are the same fluid, so that rows stay short."""
    *rest, before, last = (Plug(Fraction(0), Fraction(0)), *plugs)
    if before.volume and before.concentration == last.concentration:
        return (*rest[1:], Plug(before.volume + last.volume, last.concentration))
    return plugs
