"""Primary infusions that pause for secondary ones, and drug that priming or overfill keeps back."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, product
from calclib.demo.students.procedures.clock import (
    CLOCK,
    TIME,
    clock_after,
    clock_read,
    hours_read,
    minutes_of,
    minutes_read,
)
from calclib.demo.students.procedures.infusions import volume_in_ml
from calclib.demo.students.strengths import DRUG
from calclib.demo.students.worksheet import Worksheet


def secondary_rate(stem: str, sheet: Worksheet) -> None:
    """The mL/h of a secondary infusion; the primary rate stands there for nothing."""
    volume, have, time, unit = found(rf"in {NUMBER} (mL|L) IV over {TIME}", stem)
    hours = hours_read(sheet, time, unit)
    sheet.answer("rate", sheet.over(volume_in_ml(sheet, volume, have), hours, "time"))


def resumes(stem: str, sheet: Worksheet) -> None:
    """How long a secondary infusion runs, and when the primary one goes on."""
    start, rate, added, bag = found(rf"At {CLOCK} .*? at {NUMBER} mL/h: .*?, {NUMBER} mL added to {NUMBER} mL", stem)
    terms = [("bag", sheet.read(bag, "bag")), ("added volume", sheet.read(added, "added volume"))]
    minutes = minutes_of(sheet, sheet.over(sheet.total(terms), sheet.read(rate, "rate"), "rate"))
    minutes = sheet.rounded("time", sheet.answer("time", minutes))
    clock_after(sheet, "resumes", clock_read(start), minutes)


def runs_dry(stem: str, sheet: Worksheet) -> None:
    """When a primary bag is empty that has to wait for a secondary infusion."""
    start, volume, have, rate, time, unit = found(
        rf"At {CLOCK} .*? {NUMBER} (mL|L) of .*? at {NUMBER} mL/h\. .*? mL that takes {TIME}", stem
    )
    hours = sheet.over(volume_in_ml(sheet, volume, have), sheet.read(rate, "rate"), "rate")
    terms = [("primary infusion", minutes_of(sheet, hours)), ("pause", minutes_read(sheet, time, unit, "pause"))]
    minutes = sheet.rounded("time", sheet.answer("time", sheet.total(terms)))
    clock_after(sheet, "dry", clock_read(start), minutes)


def back_primed(stem: str, sheet: Worksheet) -> None:
    """Volume and rate to enter where back-primed fluid counts and the time stays."""
    time, have, bag, primed = found(rf"over {TIME}\. .*? holds {NUMBER} mL in all\. You back-prime {NUMBER} mL", stem)
    terms = [("bag", sheet.read(bag, "bag")), ("back-primed volume", sheet.read(primed, "back-primed volume"))]
    volume = sheet.rounded("volume", sheet.answer("volume", sheet.total(terms)))
    sheet.answer("rate", sheet.over(volume, hours_read(sheet, time, have), "time"))


def back_primed_at_rate(stem: str, sheet: Worksheet) -> None:
    """Volume and minutes where back-primed fluid counts and the rate stays."""
    bag, rate, primed = found(rf"in {NUMBER} mL, infuse at {NUMBER} mL/h\. You back-prime {NUMBER} mL", stem)
    terms = [("bag", sheet.read(bag, "bag")), ("back-primed volume", sheet.read(primed, "back-primed volume"))]
    volume = sheet.rounded("volume", sheet.answer("volume", sheet.total(terms)))
    sheet.answer("time", minutes_of(sheet, sheet.over(volume, sheet.read(rate, "rate"), "rate")))


def clamp_closed(stem: str, sheet: Worksheet) -> None:
    """The primary fluid that ran while a clamp was closed, and when the secondary bag is empty."""
    start, bag, rate, late = found(
        rf"At {CLOCK} a secondary bag of {NUMBER} mL is started at {NUMBER} mL/h\. After {NUMBER} min you see", stem
    )
    speed, past = sheet.read(rate, "rate"), sheet.read(late, "time lost")
    sheet.answer("primary", sheet.times(sheet.converted(past, "min", "h", "time lost"), speed, "rate"))
    minutes = minutes_of(sheet, sheet.over(sheet.read(bag, "bag"), speed, "rate again"))
    clock_after(sheet, "end", clock_read(start), sheet.total([("time lost", past), ("whole bag", minutes)]))


def shift_intake(stem: str, sheet: Worksheet) -> None:
    """The primary fluid of a shift with pauses, and all fluid."""
    hours, rate, count, bag, time, unit = found(
        rf"shift of {NUMBER} h .*? at {NUMBER} mL/h, .*?: {NUMBER} secondary bags? of {NUMBER} mL, each over {TIME}",
        stem,
    )
    bags = sheet.read(count, "bags")
    pause = sheet.times(hours_read(sheet, time, unit, "pause"), bags, "bags")
    running = sheet.less(sheet.read(hours, "shift"), pause, "pauses")
    primary = sheet.answer("primary", sheet.times(running, sheet.read(rate, "rate"), "rate"))
    secondary = sheet.times(sheet.read(bag, "secondary bag"), bags, "bags of fluid")
    sheet.answer("total", sheet.total([("primary", sheet.rounded("primary", primary)), ("secondary", secondary)]))


def shift_with_pauses(stem: str, sheet: Worksheet) -> None:
    """How long a primary infusion ran between two secondary ones, its volume, what is left, and when it is empty."""
    start, volume, have, rate, shift, first, first_unit, second, second_unit = found(
        rf"At {CLOCK} you hang {NUMBER} (mL|L) of .*? at {NUMBER} mL/h\. During the next {NUMBER} h "
        rf".*? first takes {TIME}, the second {TIME}",
        stem,
    )
    minutes = minutes_read(sheet, shift, "h", "time so far")
    past = minutes
    for text, unit, place in ((first, first_unit, "first pause"), (second, second_unit, "second pause")):
        minutes = sheet.less(minutes, minutes_read(sheet, text, unit, place), place)
    minutes = sheet.answer("running", minutes)
    speed = sheet.read(rate, "rate")
    infused = sheet.times(sheet.converted(minutes, "min", "h", "running time"), speed, "rate")
    infused = sheet.rounded("infused", sheet.answer("infused", infused))
    left = sheet.answer("left", sheet.less(volume_in_ml(sheet, volume, have), infused, "volume infused"))
    rest = minutes_of(sheet, sheet.over(left, speed, "rate again"))
    clock_after(sheet, "end", clock_read(start), sheet.total([("time so far", past), ("rest", rest)]))


def _milligrams(sheet: Worksheet, text: str, have: str) -> Decimal:
    return sheet.converted(sheet.read(text, "drug in the bag"), have, "mg", "drug in the bag")


def overfill(stem: str, sheet: Worksheet) -> None:
    """What is left of an overfilled bag when the entered volume is in: mL, drug, and its time."""
    held, text, have, added, entered, rate = found(
        rf"really holds {NUMBER} mL\. .*? {NUMBER} {DRUG}, {NUMBER} mL in solution, "
        rf".*? infusion is {NUMBER} mL\. .*? primary rate, {NUMBER} mL/h",
        stem,
    )
    terms = [("bag", sheet.read(held, "bag")), ("added volume", sheet.read(added, "added volume"))]
    whole = sheet.total(terms)
    rest = sheet.answer("rest", sheet.less(whole, sheet.read(entered, "volume entered"), "volume entered"))
    each = sheet.over(_milligrams(sheet, text, have), whole, "volume in all")
    sheet.answer("drug", sheet.times(each, rest, "rest"))
    sheet.answer("time", minutes_of(sheet, sheet.over(rest, sheet.read(rate, "rate"), "rate")))


def priming(stem: str, sheet: Worksheet) -> None:
    """The drug lost by priming with the drug and by back-priming, and the difference."""
    text, have, bag, cup, tubing, fluid = found(
        rf"holds .*? {NUMBER} {DRUG} in {NUMBER} mL in all\. .*? lets {NUMBER} mL run .*? the tubing, {NUMBER} mL, "
        rf".*? primary fluid, {NUMBER} mL in all",
        stem,
    )
    drug, volume = _milligrams(sheet, text, have), sheet.read(bag, "volume in the bag")
    held = sheet.read(tubing, "tubing")
    lost = sheet.total([("tubing", held), ("cup", sheet.read(cup, "cup"))])
    first = sheet.over(product(drug, lost), volume, "volume in the bag")
    first = sheet.answer("primed", first)
    mixed = sheet.less(sheet.total([("bag", volume), ("primary fluid", sheet.read(fluid, "primary fluid"))]), held,
                       "tubing")  # fmt: skip
    if sheet.slips("mixing-forgotten", "mixed volume") is not None:
        mixed = volume
    second = sheet.answer("back_primed", sheet.times(sheet.over(drug, mixed, "mixed volume"), held, "tubing again"))
    first, second = sheet.rounded("primed", first), sheet.rounded("back_primed", second)
    sheet.answer("gain", sheet.less(first, second, "back-primed"))
