"""Strengths of medicines: drug in a volume of fluid."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, product, quotient
from calclib.demo.students.worksheet import Worksheet

DRUG = r"(ng|mcg|mg|g|units|mEq)"
# "400 mg in 500 mL", "4 mg/mL"
STRENGTH = rf"{NUMBER} {DRUG}(?:/mL| in {NUMBER} mL)"


@dataclass(frozen=True)
class Strength:
    """An amount of drug in a volume in mL; None for “in each mL”."""

    amount: Decimal
    unit: str
    volume: Decimal | None


def strength_read(sheet: Worksheet, amount: str, unit: str, volume: str) -> Strength:
    """Copy a strength from the problem; `volume` is "" for “in each mL”."""
    return Strength(
        sheet.read(amount, "amount of the strength"), unit,
        sheet.read(volume, "volume of the strength") if volume else None,
    )  # fmt: skip


def volume_for(sheet: Worksheet, dose: Decimal, strength: Strength) -> Decimal:
    """Return the mL that hold a dose in the strength's unit: desired over have, times quantity."""
    amount, volume = strength.amount, strength.volume
    if volume is None:
        return sheet.over(dose, amount, "strength")
    if sheet.slips("strength-forgotten", "strength") is not None:
        return dose
    if sheet.slips("strength-upside-down", "strength") is not None:
        return quotient(product(dose, amount), volume)
    if sheet.slips("strength-volume-forgotten", "strength") is not None:
        return quotient(dose, amount)
    if sheet.slips("strength-amount-forgotten", "strength") is not None:
        return product(dose, volume)
    if sheet.slips("have-over-desired", "strength") is not None:
        return product(quotient(amount, dose), volume)
    if sheet.slips("division-inverted", "strength") is not None:
        return quotient(amount, product(volume, dose))
    return product(quotient(dose, amount), volume)


def drug_in(sheet: Worksheet, volume: Decimal, strength: Strength) -> Decimal:
    """Return the drug in a volume in mL (or the drug an hour in mL/h), in the strength's unit."""
    if strength.volume is None:
        return sheet.times(volume, strength.amount, "strength")
    if sheet.slips("strength-forgotten", "strength") is not None:
        return volume
    if sheet.slips("strength-upside-down", "strength") is not None:
        return product(quotient(volume, strength.amount), strength.volume)
    if sheet.slips("strength-volume-forgotten", "strength") is not None:
        return product(volume, strength.amount)
    if sheet.slips("strength-amount-forgotten", "strength") is not None:
        return quotient(volume, strength.volume)
    return product(quotient(volume, strength.volume), strength.amount)
