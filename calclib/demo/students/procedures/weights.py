"""Doses by body weight and body surface, ranges, limits, maintenance fluid."""

from __future__ import annotations

import re
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, NotUnderstoodError, found, number, product, to_step
from calclib.demo.students.procedures.frequencies import share_of_a_day
from calclib.demo.students.strengths import DRUG, STRENGTH, Strength, strength_read, volume_for
from calclib.demo.students.worksheet import Worksheet

HUNDREDTH = Decimal("0.01")


def weight_in_kg(sheet: Worksheet, stem: str) -> Decimal:
    """Return the body weight in kg."""
    weight, have = found(rf"weighs {NUMBER} (kg|lb|g)\b", stem)
    kilograms = sheet.converted(sheet.read(weight, "weight"), have, "kg", "weight")
    return sheet.on_the_way(kilograms, "weight") if have == "lb" else kilograms


def _on_hand(sheet: Worksheet, stem: str) -> Strength:
    return strength_read(sheet, *found(rf"On hand: .*?{STRENGTH}", stem))


def divided_doses(stem: str, sheet: Worksheet) -> None:
    """One of several daily doses by weight."""
    (dose,) = found(rf"{NUMBER} mg/kg/day", stem)
    daily = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    single = sheet.answer("single", share_of_a_day(sheet, sheet.on_the_way(daily, "daily dose"), stem))
    sheet.answer("volume", volume_for(sheet, single, _on_hand(sheet, stem)))


def dose_by_weight(stem: str, sheet: Worksheet) -> None:
    """A single dose by weight, and its volume."""
    dose, unit = found(rf"{NUMBER} {DRUG}/kg ", stem)
    strength = _on_hand(sheet, stem)
    amount = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    amount = sheet.answer("amount", sheet.converted(amount, unit, strength.unit, "amount"))
    sheet.answer("volume", volume_for(sheet, amount, strength))


def maximum_dose(stem: str, sheet: Worksheet) -> None:
    """A dose by weight, no larger than a maximum."""
    dose, unit = found(rf"{NUMBER} {DRUG}/kg ", stem)
    most, most_unit = found(rf"not more than {NUMBER} {DRUG}", stem)
    limit = sheet.converted(sheet.read(most, "maximum"), most_unit, unit, "maximum")
    amount = sheet.times(sheet.read(dose, "dose for each kg"), weight_in_kg(sheet, stem), "weight")
    if sheet.slips("limit-ignored", "maximum") is not None:
        chosen = amount
    elif sheet.slips("limit-always", "maximum") is not None:
        chosen = limit
    else:
        chosen = min(amount, limit)
    chosen = sheet.answer("amount", chosen)
    strength = _on_hand(sheet, stem)
    sheet.answer("volume", volume_for(sheet, sheet.converted(chosen, unit, strength.unit, "amount"), strength))


def safe_range(stem: str, sheet: Worksheet) -> None:
    """The least and greatest single dose, and whether the order lies between."""
    order, have = found(rf"Order: .*? {NUMBER} {DRUG} ", stem)
    low, high = found(rf"{NUMBER} mg/kg/day to {NUMBER} mg/kg/day", stem)
    weight = weight_in_kg(sheet, stem)
    ends = []
    for part, text, name in (("least", low, "low end"), ("most", high, "high end")):
        daily = sheet.times(sheet.read(text, name), weight, "weight")
        ends.append(sheet.answer(part, share_of_a_day(sheet, daily, stem)))
    dose = sheet.converted(sheet.read(order, "order"), have, "mg", "order")
    words = ["below", "within", "above"]
    at = 0 if dose < ends[0] else 2 if dose > ends[1] else 1
    if (way := sheet.slips("wrong-choice", "verdict", 2)) is not None:
        at = (at + 1 + way) % 3
    sheet.note("verdict", words[at])


def body_surface(stem: str, sheet: Worksheet) -> None:
    """A dose by body surface (Mosteller), and its volume."""
    (dose,) = found(rf"{NUMBER} mg/m2", stem)
    (height,) = found(rf"is {NUMBER} cm tall", stem)
    squared = sheet.times(sheet.read(height, "height"), weight_in_kg(sheet, stem), "weight")
    exact = sheet.rooted(sheet.over(squared, Decimal(3600), "3,600"), "body surface")
    surface = sheet.answer("surface", exact)
    if sheet.slips("early-rounding", "body surface") is not None:
        surface = to_step(surface, Decimal("0.1"))
    amount = sheet.times(sheet.read(dose, "dose for each square meter"), to_step(surface, HUNDREDTH), "body surface")
    sheet.answer("volume", volume_for(sheet, sheet.answer("amount", amount), _on_hand(sheet, stem)))


def label_volume(stem: str, sheet: Worksheet) -> None:
    """The mL that a label asks for by weight."""
    each, per, per_unit = found(rf"{NUMBER} mL for every {NUMBER} (lb|kg)", stem)
    text, have = found(rf"weighs {NUMBER} (lb|kg)", stem)
    weight = sheet.converted(sheet.read(text, "weight"), have, per_unit, "weight")
    times = sheet.on_the_way(sheet.over(weight, sheet.read(per, "weight of the label"), "weight of the label"), "times")
    sheet.answer("volume", sheet.times(times, sheet.read(each, "volume of the label"), "volume of the label"))


def body_mass_index(stem: str, sheet: Worksheet) -> None:
    """Weight over the square of the height."""
    text, have = found(rf"is {NUMBER} (cm|m) tall", stem)
    height = sheet.converted(sheet.read(text, "height"), have, "m", "height")
    once = sheet.over(weight_in_kg(sheet, stem), height, "height")
    sheet.answer("index", sheet.over(once, height, "height again"))


def maintenance_fluid(stem: str, sheet: Worksheet) -> None:
    """Maintenance fluid in mL/h by bands of weight."""
    sheet.answer("rate", maintenance(stem, sheet, "h"))


def maintenance_fluid_of_a_day(stem: str, sheet: Worksheet) -> None:
    """Maintenance fluid in mL a day by bands of weight, and in mL/h."""
    daily = sheet.answer("daily", maintenance(stem, sheet, "day"))
    sheet.answer("rate", sheet.converted(daily, "h", "day", "daily volume"))


def maintenance(stem: str, sheet: Worksheet, time: str) -> Decimal:
    """Return maintenance fluid by bands of weight, in mL an hour ("h") or a day ("day")."""
    return fluid_by_bands(stem, sheet, weight_in_kg(sheet, stem), time)


def fluid_by_bands(stem: str, sheet: Worksheet, weight: Decimal, time: str) -> Decimal:
    """Return maintenance fluid for a weight in kg, in mL an hour ("h") or a day ("day")."""
    bands = [
        (number(rate), number(size))
        for rate, size in re.findall(rf"{NUMBER} mL/kg/{time} for the (?:first|next) {NUMBER} kg", stem)
    ]
    last, above = found(rf"{NUMBER} mL/kg/{time} for each kg above {NUMBER} kg", stem)
    if sum(size for _, size in bands) != number(above):
        raise NotUnderstoodError(f"the bands do not add up in {stem!r}")
    bands.append((number(last), weight))
    return _by_bands(sheet, weight, bands)


def _by_bands(sheet: Worksheet, weight: Decimal, bands: list[tuple[Decimal, Decimal]]) -> Decimal:
    if sheet.slips("first-rate-only", "weight") is not None:
        return product(weight, bands[0][0])
    if sheet.slips("one-rate-for-all", "weight") is not None:
        reached = sum(weight > sum(size for _, size in bands[:i]) for i in range(len(bands)))
        return product(weight, bands[reached - 1][0])
    if sheet.slips("last-band-forgotten", "weight") is not None:
        bands = [*bands[:-2], (bands[-2][0], weight)]
    if sheet.slips("rest-not-subtracted", "weight") is not None:
        below = [(rate, size) for rate, size in bands[:-1] if weight > size]
        return sum((product(rate, size) for rate, size in below), product(weight, bands[len(below)][0]))
    total, left = Decimal(0), weight
    for rate, size in bands:
        total += product(rate, min(left, size))
        left -= min(left, size)
    return total
