"""The orders in the bank's stems, read a first way: by the names and kinds of givens and the words around them.

`python -m tests.formulary.bank_orders --draws 50` holds every model against the formulary and prints what it finds.
"""

from __future__ import annotations

import argparse
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from calclib.errors import BadInput
from calclib.formulary import (
    INJECTED,
    AgeGroup,
    Amount,
    Finding,
    Line,
    Order,
    Patient,
    Route,
    amount,
    drug_named,
    formulary,
    order_findings,
    speaks_of,
)
from calclib.formulary.amount import DAY, HOUR, KG, SQUARE_METER, YEAR, age_in_days, shape_of
from calclib.items import Item, draw_item
from calclib.models import ItemModel, bank
from calclib.models.stated import read_stated
from calclib.quantity.units import parse_unit

# Amounts in these models are no dose of a patient: what a bag is mixed from, or a sum in chemistry.
NO_ORDER = {
    "additive-per-liter",
    "bag-concentration",
    "bag-strength",
    "diluent-for-strength",
    "dilution-strength",
    "grams-from-millimoles",
    "mass-from-milliequivalents",
    "milliequivalents-from-mass",
    "milliequivalents-to-percent",
    "percent-to-milliequivalents",
    "powder-displacement",
    "strength-in-percent",
}
# The right answer of these is to keep to a limit, or to see that an order is beyond it.
DECIDING = {
    "analgesia-limits",
    "divided-injection",
    "heparin-day-total",
    "infusion-limits",
    "least-volume-and-time",
    "magnesium-load",
    "maximum-dose",
    "maximum-rate-check",
    "milligrams-a-minute",
    "potassium-dose-limits",
    "safe-day-range",
    "safe-dose-range",
    "safe-single-dose",
    "shortest-infusion-time",
    "weight-dose-per-hour-from-rate",
}
# In these models `amount` is what the bag holds, and `dose` how much of it an hour gives.
BAG_AMOUNT = {"added-volume-rate"}
DOSE_NAMES = {"order", "dose", "amount", "load", "bolus", "mealtime"}
RATE_NAMES = {"dose", "infusion", "maintenance", "start", "start_dose", "first", "second", "hourly", "insulin"}
BAG_NAMES = {"concentration", "bag", "wanted"}
FLOW_NAMES = ("rate", "primary", "fluid")
TIME_NAMES = {"time", "load_time"}
DOSE_PARTS = {"dose", "amount", "given", "taken", "drug", "each_dose"}
DOSE = parse_unit("dose")
LIGHTEST_ADULT = 35
"""Kilograms below which a patient of whom the stem tells no age is taken for a child."""
# Fluids that carry another drug, and what is measured: they are meant only where nothing else is named.
CARRIERS = {"sodium chloride", "dextrose", "glucose"}
# Names by which a stem means a drug, where it names none in a row.
SPOKEN = {"insulin": "insulin regular", "potassium": "potassium chloride", "Regular insulin": "insulin regular"}


@dataclass
class Measure:
    """What the draws of one model came to."""

    model: str
    draws: int = 0
    orders: int = 0
    beyond: int = 0
    narrowed: int = 0
    unsourced: Counter[str] = field(default_factory=Counter)
    unknown: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    worst: tuple[Fraction, str] = (Fraction(0), "")


def values_of(item: Item, model: ItemModel) -> Mapping[str, Amount]:
    """The stated numbers of an item, by name, in their working units."""
    found = {}
    for given in item.givens:
        described = model.givens.get(given.name)
        if described is None or described.unit is None:
            continue
        stated = read_stated(described, given.text)
        if stated.working is not None:
            found[given.name] = Amount(stated.working, described.unit)
    return found


def _texts(item: Item) -> Mapping[str, str]:
    return {given.name.split(".")[-1]: given.text for given in item.givens}


def drug_of(item: Item) -> str:
    """The name of the drug as the stem has it, "" for none."""
    texts = _texts(item)
    if texts.get("drug"):
        return texts["drug"]
    stem = item.stem.lower()
    names = [name for drug in formulary().values() for name in (drug.name, *drug.also)] + list(SPOKEN)
    found = [name for name in names if re.search(rf"\b{re.escape(name.lower())}\b", stem)]
    best = max(found, key=lambda name: (name.lower() not in CARRIERS, len(name)), default="")
    return SPOKEN.get(best, best)


def patient_of(item: Item, values: Mapping[str, Amount]) -> Patient:
    """The patient as far as the stem tells."""
    stem = item.stem.lower()
    weight = next((values[n].in_unit(KG) for n in ("weight", "actual") if n in values), None)
    age = None
    if found := re.search(r"(\d+)[- ](year|month|week|day)s?[- ]old|of (\d+) (years|months)", stem):
        unit = {"y": "yr", "m": "mo", "w": "wk", "d": "day"}[(found[2] or found[4])[0]]
        age = age_in_days(amount(f"{found[1] or found[3]} {unit}"))
    elif "age" in values and values["age"].unit.dimension == YEAR.dimension:
        age = age_in_days(values["age"])
    kilograms = weight.value if weight is not None else None
    if re.search(r"newborn|premature|neonat", stem):
        group = AgeGroup.NEWBORN
    elif (
        re.search(r"\b(child|boy|girl|infant|toddler|baby)\b", stem)
        or (age is not None and age < 18 * 365)
        or (kilograms is not None and kilograms < LIGHTEST_ADULT)
    ):
        group = AgeGroup.CHILD
    else:
        group = AgeGroup.ADULT
    return Patient(group, kilograms, _surface(values), age)


def _surface(values: Mapping[str, Amount]) -> Fraction | None:
    area = values.get("surface")
    found = area.in_unit(SQUARE_METER) if area is not None else None
    return None if found is None else found.value


def _ordered(item: Item) -> str:
    """The stem, or the order sheet that is drawn beside it."""
    return " ".join(paper.alt for paper in item.papers if paper.kind == "order") or item.stem


def routes_of(item: Item, values: Mapping[str, Amount]) -> tuple[Route, ...]:
    """The routes that the stem leaves open."""
    text = _texts(item).get("route", "") or _ordered(item)
    if "by injection" in text:
        return INJECTED
    if "local anesthesia" in text or "nerve block" in text:
        return (Route.INFILTRATION,)
    if re.search(r"\bIM\b", text):
        return (Route.IM,)
    if re.search(r"subcut", text):
        return (Route.SC,)
    if re.search(r"by mouth|oral|tablet|capsule|syrup|liquid|suspension|tbsp|tsp|medicine cup", _ordered(item).lower()):
        return (Route.ORAL,)
    if re.search(r"\bIV\b|infusion|drip|pump|bag|\bruns?\b|mL/h|gtt", item.in_words):
        return (Route.IV,)
    if any("/tab" in str(value.unit) or "/cap" in str(value.unit) for value in values.values()):
        return (Route.ORAL,)
    return INJECTED


def _doses_a_day(item: Item, values: Mapping[str, Amount]) -> Fraction | None:
    for name in ("frequency", "times"):
        if name in values:
            often = values[name].in_unit(DOSE / DAY)
            if often is not None:
                return often.value
            if not values[name].unit.powers and name == "times":
                return values[name].value
    text = _texts(item).get("times", "") or _ordered(item)
    if found := re.search(r"every (\d+) h", text):
        return Fraction(24, int(found[1]))
    if found := re.search(r"(\d+) times (?:a day|daily)", text):
        return Fraction(int(found[1]))
    for words, number in (("twice", 2), ("once daily", 1), ("at bedtime", 1)):
        if words in text:
            return Fraction(number)
    return None


def orders_of(item: Item, model: ItemModel) -> Iterator[Order]:
    """The orders that a stem states, or that its answers come to."""
    if model.id in NO_ORDER or any(part.decides == "act" and part.answer != part.proceed for part in item.parts):
        return
    values = values_of(item, model)
    patient = patient_of(item, values)
    routes = routes_of(item, values)
    drug = drug_of(item)
    line = Line.CENTRAL if "central" in item.stem.lower() else Line.PERIPHERAL if "peripheral" in item.stem else None
    bag = next((values[n] for n in BAG_NAMES if n in values and model.givens[n].kind == "mixture"), None)
    flow = next(
        (values[n] for n in ("rate", "primary", "fluid") if _kind(model, n) == "flow_rate" and n in values), None
    )
    base = Order(drug, routes, patient, concentration=bag if Route.IV in routes else None, line=line)
    base = replace(base, flow=flow, time=_time(values, model, flow), own_most=_own_most(values))
    found = list(_doses(item, model, values, base))
    if drug and flow is not None and bag is not None and not any(order.rate for order in found):
        found.append(replace(base, rate=Amount(flow.value * bag.value, flow.unit * bag.unit)))
    if drug and not found:
        found += _answers(item, base)
    if not found and flow is not None:
        found.append(replace(base, drug="", concentration=None))
    if not found and re.search(r"over the (night|day|evening) shift", item.stem) and "volume" in values:
        found.append(Order("", (Route.IV,), patient, flow=Amount(values["volume"].value / 12, parse_unit("mL/h"))))
    if not found and drug and base.concentration is not None:
        found.append(base)
    for order in found:
        yield _with_injection(order, values)


def _kind(model: ItemModel, name: str) -> str:
    return model.givens[name].kind if name in model.givens else ""


def _own_most(values: Mapping[str, Amount]) -> Amount | None:
    """ "Not more than 20 mg in 4 h", of a patient-controlled pump."""
    limit, lockout = values.get("limit"), values.get("lockout")
    if limit is None or lockout is None or shape_of(limit.unit) is None:
        return None
    return Amount(limit.value / 4, limit.unit / HOUR)


def _time(values: Mapping[str, Amount], model: ItemModel, flow: Amount | None) -> Amount | None:
    for name in TIME_NAMES:
        if name in values and _kind(model, name) == "duration":
            return values[name]
    volume = next((values[n] for n in ("volume", "bag") if n in values and _kind(model, n) == "volume"), None)
    added = values["added"].value if model.id == "primary-resumes" else 0
    if flow is not None and volume is not None and (same := volume.in_unit(parse_unit("mL"))):
        return Amount((same.value + added) / flow.value, HOUR)
    return None


def _doses(item: Item, model: ItemModel, values: Mapping[str, Amount], base: Order) -> Iterator[Order]:
    often = _doses_a_day(item, values)
    text = _texts(item).get("dose", "")
    if "dose" not in values and re.fullmatch(r"[\d.,]+ (mg|g|mcg|units)", text):
        yield replace(base, dose=amount(text), doses_a_day=often)
    for name, value in values.items():
        shape = shape_of(value.unit)
        if shape is None or shape.in_volume or shape.of == "volume":
            continue
        if shape.time == "day" and name in DOSE_NAMES | RATE_NAMES:
            yield replace(base, day=value, concentration=None, time=None)
        elif shape.time and name in RATE_NAMES:
            yield replace(base, rate=value)
        elif not shape.time and name in DOSE_NAMES and not (name == "amount" and model.id in BAG_AMOUNT):
            yield replace(base, dose=value, doses_a_day=often)
    if "spoons" in values or ("volume" in values and "days" in values and "times" in values):
        taken = values.get("spoons") or values["volume"]
        if often is not None and (same := taken.in_unit(parse_unit("mL"))):
            yield replace(base, dose=same, doses_a_day=often, time=None)


def _answers(item: Item, base: Order) -> Iterator[Order]:
    """What the answers come to, where the stem states no dose: what a syringe holds, what a rate gives."""
    for part in item.parts:
        if part.exact is None or not part.unit or not hasattr(part.exact, "numerator"):
            continue
        value = Amount(Fraction(part.exact), parse_unit(part.unit))
        shape = shape_of(value.unit)
        if shape is None or shape.of == "volume" or shape.in_volume:
            continue
        if shape.time == "day":
            yield replace(base, day=value)
        elif shape.time in ("h", "min"):
            yield replace(base, rate=value)
        elif not shape.time and part.name in DOSE_PARTS:
            yield replace(base, dose=value)


def _with_injection(order: Order, values: Mapping[str, Amount]) -> Order:
    """The volume that an injection comes to."""
    if Route.IV in order.routes or Route.ORAL in order.routes:
        return order
    strength, level = values.get("strength"), values.get("level")
    if level is not None:
        return replace(order, volume=level)
    if order.dose is None or strength is None:
        return order
    shape = shape_of(order.dose.unit)
    dose = order.dose
    if shape is not None and shape.per == "body weight" and order.patient.weight is not None:
        dose = dose.times(order.patient.weight, KG)
    volume = Amount(dose.value / strength.value, dose.unit / strength.unit).in_unit(parse_unit("mL"))
    return replace(order, volume=volume)


def odd_bag(item: Item) -> str:
    """A new bag that is said to hold another volume than the one its drug is mixed in, "" if none."""
    texts = _texts(item)
    mixed = re.search(r" in ([\d,.]+ mL)$", texts.get("concentration", ""))
    held = texts.get("volume", "")
    if mixed and held and held != mixed[1] and "new bag" in item.stem.lower():
        return f"a new bag of {mixed[1]} holds {held}"
    return ""


def said(finding: Finding) -> str:
    """A finding in a few words, for the printed list."""
    times = f"{float(finding.factor):.2f} x"
    memory = "" if finding.decides else " (from memory)"
    return f"{finding.kind} {finding.figure} / {finding.limit}: {times}{memory}"


def measured(model: ItemModel, draws: int) -> Measure:
    """What so many draws of a model come to against the formulary."""
    found = Measure(model.id)
    for number in range(draws):
        item = draw_item(model, f"c{number}")
        found.draws += 1
        beyond = narrowed = False
        if odd := odd_bag(item):
            found.kinds["content of a bag"] += 1
            found.worst = found.worst if found.worst[1] else (Fraction(1), f"c{number}: {odd}")
            beyond = True
        for order in orders_of(item, model):
            found.orders += 1
            if order.drug:
                try:
                    drug_named(order.drug)
                except BadInput:
                    found.unknown[order.drug] += 1
                    continue
                if not speaks_of(order, sourced=True) and (order.dose or order.day or order.rate):
                    found.unsourced[f"{order.drug} {'/'.join(order.routes)} {order.patient.group}"] += 1
            for finding in order_findings(order):
                found.kinds[finding.kind + ("" if finding.decides else "*")] += 1
                beyond = beyond or finding.decides
                narrowed = narrowed or not finding.decides
                if finding.factor > found.worst[0]:
                    found.worst = (finding.factor, f"c{number} {order.drug}: {said(finding)}")
        found.beyond += beyond
        found.narrowed += narrowed and not beyond
    return found


def main() -> None:
    """Print what each model's draws come to, those that are beyond most often first."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=50)
    parser.add_argument("models", nargs="*")
    options = parser.parse_args()
    models = [bank()[name] for name in options.models] if options.models else list(bank().values())
    rows = [measured(model, options.draws) for model in models]
    rows.sort(key=lambda row: (-row.beyond, -row.narrowed, row.model))
    for row in rows:
        kinds = ", ".join(f"{kind} {number}" for kind, number in row.kinds.most_common())
        decides = " (decides)" if row.model in DECIDING else ""
        numbers = " | ".join(map(str, (row.draws, row.orders, row.beyond, row.narrowed)))
        print(f"{row.model}{decides} | {numbers} | {kinds} | {row.worst[1]}")
    unsourced: Counter[str] = Counter()
    for row in rows:
        unsourced.update({f"{row.model}: {what}": number for what, number in row.unsourced.items()})
    print("\nDrawn amounts without a sourced limit:")
    for what, number in sorted(unsourced.items()):
        print(f"  {what} ({number})")
    print("\nNot in the formulary:", dict(sum((row.unknown for row in rows), Counter())))


if __name__ == "__main__":
    main()
