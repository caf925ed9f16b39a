"""Secondary infusions: what to enter, and the drug that stays in the tubing."""

from __future__ import annotations

from decimal import Decimal

from calclib.demo.students.figures import DIGITS, NUMBER, found, number, product, quotient
from calclib.demo.students.strengths import DRUG
from calclib.demo.students.worksheet import Worksheet


def entries(stem: str, sheet: Worksheet) -> None:
    """Volume, rate and time to enter where the added drug counts."""
    added, bag = _volumes(stem)
    terms = [("bag", sheet.read(bag, "bag")), ("added volume", sheet.read(added, "added volume"))]
    _rate_and_time(stem, sheet, sheet.total(terms))


def label_volume_entries(stem: str, sheet: Worksheet) -> None:
    """Volume, rate and time to enter where as much was taken out as was added."""
    added, bag = _volumes(stem)
    volume = sheet.read(bag, "bag")
    if sheet.slips("added-volume-counted", "added volume") is not None:
        volume = DIGITS.add(volume, number(added))
    if sheet.slips("subtracted-what-was-replaced", "added volume") is not None:
        volume = DIGITS.subtract(volume, number(added))
    if sheet.slips("drug-volume-for-bag", "added volume") is not None:
        volume = number(added)
    _rate_and_time(stem, sheet, volume)


def _volumes(stem: str) -> tuple[str, ...]:
    return found(rf"The drug, {NUMBER} mL in solution, was added to a {NUMBER} mL bag", stem)


def _rate_and_time(stem: str, sheet: Worksheet, worked: Decimal) -> None:
    time, have = found(rf"over {NUMBER} (min|h)\b", stem)
    volume = sheet.answer("volume", worked)
    hours = sheet.converted(sheet.read(time, "time"), have, "h", "time")
    rate = sheet.answer("rate", sheet.over(volume, hours, "time"))
    shown = sheet.over(sheet.rounded("volume", volume), sheet.rounded("rate", rate), "rate")
    sheet.answer("time", sheet.converted(shown, "h", "min", "time shown"))


def _bag(stem: str, sheet: Worksheet) -> tuple[Decimal, Decimal, Decimal]:
    amount, have, total = found(rf"(?:holds|held) .*? {NUMBER} {DRUG} in {NUMBER} mL in all", stem)
    (tubing,) = found(rf"(?:It|tubing) holds {NUMBER} mL", stem)
    drug = sheet.converted(sheet.read(amount, "drug in the bag"), have, "mg", "drug in the bag")
    return drug, sheet.read(total, "volume in the bag"), sheet.read(tubing, "tubing")


def _share(sheet: Worksheet, drug: Decimal, part: Decimal, whole: Decimal, names: tuple[str, str]) -> Decimal:
    if sheet.slips("share-inverted", names[0]) is not None:
        return product(drug, quotient(whole, part))
    return sheet.times(sheet.over(drug, whole, names[1]), part, names[0])


def left_in_tubing(stem: str, sheet: Worksheet) -> None:
    """Drug in an unrinsed tubing, and what the patient got."""
    drug, total, tubing = _bag(stem, sheet)
    left = sheet.answer("left", _share(sheet, drug, tubing, total, ("tubing", "volume in the bag")))
    sheet.answer("received", sheet.less(drug, left, "drug left"))


def left_after_back_priming(stem: str, sheet: Worksheet) -> None:
    """Drug in a back-primed tubing, and what the patient got."""
    drug, total, tubing = _bag(stem, sheet)
    (primed,) = found(rf"back-primed: {NUMBER} mL", stem)
    filled = sheet.total([("volume in the bag", total), ("primary fluid", sheet.read(primed, "primary fluid"))])
    mixed = sheet.answer("mixed", sheet.less(filled, tubing, "tubing"))
    whole = total if sheet.slips("mixing-forgotten", "mixed volume") is not None else mixed
    left = sheet.answer("left", _share(sheet, drug, tubing, whole, ("tubing", "mixed volume")))
    sheet.answer("received", sheet.less(drug, left, "drug left"))


def left_after_rinse(stem: str, sheet: Worksheet) -> None:
    """Drug in the tubing before and after a rinse."""
    drug, total, tubing = _bag(stem, sheet)
    (rinse,) = found(rf"let {NUMBER} mL of primary fluid up", stem)
    left = sheet.answer("left", _share(sheet, drug, tubing, total, ("tubing", "volume in the bag")))
    mixed = sheet.read(rinse, "rinse")
    if sheet.slips("tubing-counted-twice", "rinse") is not None:
        mixed = DIGITS.add(mixed, tubing)
    if sheet.slips("first-volume-again", "rinse") is not None:
        mixed = total
    sheet.answer("rest", _share(sheet, left, tubing, mixed, ("tubing again", "rinse")))
