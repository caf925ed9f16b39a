"""Set-ups written down factor by factor, and what they come to."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, number, product, quotient
from calclib.demo.students.procedures.infusions import drop_factor
from calclib.demo.students.worksheet import Worksheet


@dataclass(frozen=True)
class Factor:
    """A factor as it is written: a number with its unit, over another where there is one."""

    place: str
    top: tuple[str, str]
    bottom: tuple[str, str] | None = None
    conversion: bool = False

    @property
    def text(self) -> str:
        """As it is typed."""
        above = " ".join(self.top)
        return f"{above} / {' '.join(self.bottom)}" if self.bottom else above

    def turned(self) -> Factor:
        """Upside down."""
        return Factor(self.place, self.bottom or ("1", ""), self.top, self.conversion)


def written(sheet: Worksheet, part: str, factors: Sequence[Factor]) -> Decimal:
    """Answer with the set-up; return what it comes to."""
    kept: list[Factor] = []
    for factor in factors:
        if factor.conversion and sheet.slips("set-up-conversion-missing", factor.place) is not None:
            continue
        if factor.bottom and sheet.slips("set-up-factor-upside-down", factor.place) is not None:
            factor = factor.turned()
        kept.append(factor)
    # Factors over one another stand in brackets, so that nobody must know what a second slash divides.
    text = " x ".join(f"({f.text})" if f.bottom else f.text for f in kept)
    return value_of(sheet.written_down(part, text))


def value_of(text: str) -> Decimal:
    """Return what a set-up comes to."""
    result = Decimal(1)
    for factor in text.split(" x "):
        top, *bottom = (number(n) for n in re.findall(NUMBER, factor))
        result = product(result, quotient(top, bottom[0]) if bottom else top)
    return result


def drop_rate(stem: str, sheet: Worksheet) -> None:
    """The set-up of a drop rate, and the rate."""
    volume, time = found(rf"Order: {NUMBER} mL of .*? over {NUMBER} h by gravity", stem)
    drops = drop_factor(stem, sheet)
    value = written(
        sheet,
        "setup",
        (
            Factor("volume over time", (volume, "mL"), (time, "h")),
            Factor("drop factor", (f"{drops.normalize():f}", "gtt/mL")),
            Factor("minutes", ("1", "h"), ("60", "min"), conversion=True),
        ),
    )
    sheet.answer("drops", value)


def weight_dose(stem: str, sheet: Worksheet) -> None:
    """The set-up of a volume from a dose by weight in pounds, and the volume."""
    dose, weight, amount, volume = found(
        rf"{NUMBER} mg/kg by mouth\. The child, [^,]+, weighs {NUMBER} lb\. "
        rf".*? oral liquid, {NUMBER} mg in {NUMBER} mL",
        stem,
    )
    value = written(
        sheet,
        "setup",
        (
            Factor("dose", (dose, "mg/kg")),
            Factor("weight", (weight, "lb")),
            Factor("kilograms", ("1", "kg"), ("2.2", "lb"), conversion=True),
            Factor("strength", (volume, "mL"), (amount, "mg")),
        ),
    )
    sheet.answer("volume", value)


def titrated_rate(stem: str, sheet: Worksheet) -> None:
    """The set-up of mL/h from mcg/kg/min, and the rate."""
    dose, weight, amount, volume = found(
        rf"{NUMBER} mcg/kg/min IV .*? weighs {NUMBER} kg\. The bag holds {NUMBER} mg in {NUMBER} mL", stem
    )
    value = written(
        sheet,
        "setup",
        (
            Factor("dose", (dose, "mcg/kg/min")),
            Factor("weight", (weight, "kg")),
            Factor("milligrams", ("1", "mg"), ("1,000", "mcg"), conversion=True),
            Factor("strength", (volume, "mL"), (amount, "mg")),
            Factor("hours", ("60", "min"), ("1", "h"), conversion=True),
        ),
    )
    sheet.answer("rate", value)
