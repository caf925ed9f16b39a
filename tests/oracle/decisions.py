"""Orders that are sound or not: what is printed on order, record, label and reference, and what a nurse does."""

from __future__ import annotations

import re
from calendar import month_name
from collections.abc import Callable
from datetime import date
from decimal import Decimal

from calclib.demo.students.figures import NUMBER, found, number
from calclib.demo.students.procedures.choices import choose
from calclib.demo.students.procedures.clock import minutes_between, minutes_read
from calclib.demo.students.worksheet import Worksheet

ACTS = ("Give", "Assess", "prescriber", "pharmacy", "Discard")
GIVE, ASSESS, PRESCRIBER, PHARMACY, DISCARD = range(5)
DATE = r"([A-Z][a-z]+ \d+, \d{4})"
SOUND = "no reason to question"
PATIENT = r"[A-Z]\. \w+, record number \d{3}-\d{3}"
DRUG = rf"Order for {PATIENT}\. ([a-zA-Z -]+?) \d"
Finding = tuple[bool, str, int]
"""Whether it holds, a word of its reason, and what is done."""


def _day(text: str) -> date:
    month, day, year = text.replace(",", "").split()
    return date(int(year), list(month_name).index(month), int(day))


def _today(stem: str) -> date:
    return _day(found(rf"Today is {DATE}", stem)[0])


def _of_every_order(stem: str, allergic: bool = True) -> list[Finding]:
    """Expired, and, where that is among the reasons, allergic to the very drug."""
    result: list[Finding] = []
    if match := re.search(rf"[Ee]xpiration date(?:, unopened)?: {DATE}", stem):
        result.append((_day(match[1]) < _today(stem), "expiration", PHARMACY))
    order = found(rf"Order for {PATIENT}\. (.*)", stem)[0]
    allergy = found(r"Allergies: ([a-zA-Z -]+)", stem)[0].strip()
    if allergic:
        result.append((order.startswith(f"{allergy} "), "allergic to this drug", PRESCRIBER))
    return result


def decided(stem: str, sheet: Worksheet, *findings: Finding, allergic: bool = True) -> None:
    """Answer with the one finding that holds, or that the order is sound."""
    every = [*findings, *_of_every_order(stem, allergic)]
    held = [(word, act) for holds, word, act in every if holds] or [(SOUND, GIVE)]
    assert len(held) == 1 or sheet.goes_wrong, f"two answers: {held}"
    words = tuple(dict.fromkeys((*(word for _, word, _ in every), SOUND)))
    choose(sheet, "act", ACTS, held[0][1])
    choose(sheet, "reason", words, words.index(held[0][0]))


def reading(
    value: str, limit: str, word: str, stale: str, *, above: bool = False, allergic: bool = True
) -> Callable[[str, Worksheet], None]:
    """Return how a drug is given by a reading: its value, its limit, and how old it is."""

    def procedure(stem: str, sheet: Worksheet) -> None:
        (now,) = found(r"It is (\d{4})[,.]", stem)
        charted, text = found(rf"Time: (\d{{4}}); {value}: {NUMBER}", stem)
        (most,) = found(rf"{limit} {NUMBER}", stem)
        (window,) = found(rf"within {NUMBER} min before", stem)
        age = sheet.answer("age", minutes_between(sheet, charted, now))
        low = number(text) > number(most) if above else number(text) < number(most)
        decided(stem, sheet, (low, word, PRESCRIBER), (age > number(window), stale, ASSESS), allergic=allergic)

    return procedure


def laboratory(
    *, above: bool = True, old: str = "not from today", allergic: bool = True
) -> Callable[[str, Worksheet], None]:
    """Return how a drug is given by a laboratory value that must be of today."""

    def procedure(stem: str, sheet: Worksheet) -> None:
        text, drawn_at = found(rf"Latest result: {NUMBER}.*?Sample drawn: ([a-z]+)", stem)
        (limit,) = found(rf"(?:above|below) {NUMBER}", stem)
        beyond = number(text) > number(limit) if above else number(text) < number(limit)
        fresh = drawn_at == "today"
        against = (fresh and beyond, "limit on the order", PRESCRIBER)
        decided(stem, sheet, (not fresh, old, ASSESS), against, allergic=allergic)

    return procedure


def single_maximum(stem: str, sheet: Worksheet) -> None:
    """The most for a weight, and whether the order is above it."""
    (dose,) = found(rf"acetaminophen {NUMBER} mg IV", stem)
    (weight,) = found(rf"Weight today: {NUMBER} kg", stem)
    (per_kg,) = found(rf"not more than {NUMBER} mg/kg for one dose", stem)
    most = sheet.answer(
        "most", sheet.times(sheet.read(per_kg, "maximum per kg"), sheet.read(weight, "weight"), "weight")
    )
    decided(stem, sheet, (number(dose) > most, "single maximum", PRESCRIBER))


def daily_maximum(stem: str, sheet: Worksheet) -> None:
    """The total of a day with one dose more, and whether it passes the most."""
    (dose,) = found(rf"acetaminophen {NUMBER} mg IV", stem)
    (mouth,) = found(rf"by mouth; Total: {NUMBER} mg", stem)
    (vein,) = found(rf"Route: IV; Total: {NUMBER} mg", stem)
    (most,) = found(rf"not more than {NUMBER} mg in 24 h", stem)
    terms = [(name, sheet.read(text, name)) for name, text in (("mouth", mouth), ("vein", vein), ("dose", dose))]
    total = sheet.answer("total", sheet.total(terms))
    decided(stem, sheet, (total > number(most), "daily maximum", PRESCRIBER))


def route(stem: str, sheet: Worksheet) -> None:
    """Whether the ordered route is the label's."""
    (ordered,) = found(r"mg (IM|IV|subcut), one dose", stem)
    (right,) = found(r"For (\w+) use only", stem)
    decided(stem, sheet, (ordered != right, "route", PRESCRIBER))


def product(stem: str, sheet: Worksheet) -> None:
    """Whether the label has the name that the order has."""
    (sent,) = found(r"Drawing of a label\. ([^.]+)\. ", stem)
    (ordered,) = found(DRUG, stem)
    decided(stem, sheet, (sent != ordered, "another drug", PHARMACY))


def too_soon(stem: str, sheet: Worksheet) -> None:
    """Whether the interval since the last dose has passed."""
    (now,) = found(r"Today is [^,]*, \d{4}, (\d{4})", stem)
    (last,) = found(r"Time today: (\d{4})", stem)
    (hours,) = found(rf"not sooner than {NUMBER} h", stem)
    since = sheet.answer("since", minutes_between(sheet, last, now))
    every = minutes_read(sheet, hours, "h", "interval")
    decided(stem, sheet, (since < every, "too soon", PRESCRIBER))


def opened_vial(stem: str, sheet: Worksheet) -> None:
    """Whether an opened vial is past its discard date while its expiration date is still to come."""
    (discard,) = found(rf"Discard after: {DATE}", stem)
    (expires,) = found(rf"unopened: {DATE}", stem)
    today = _today(stem)
    decided(stem, sheet, (_day(discard) < today <= _day(expires), "discard date", DISCARD))


def _class_of(drug: str, stem: str) -> str:
    rows = re.findall(r"Class: ([\w ]+); Drugs: ([^.]+)\.", stem)
    return next((name for name, drugs in rows if drug in drugs.split(", ")), drug)


def allergy_class(stem: str, sheet: Worksheet) -> None:
    """Whether the table puts drug and allergy into one class, or into two that are related."""
    drug = found(DRUG, stem)[0]
    allergy, reaction = found(r"Allergies: ([a-zA-Z ]+) \(([^)]*)\)", stem)
    mine, theirs = _class_of(drug, stem), _class_of(allergy, stem)
    severe = reaction == "anaphylaxis" and theirs == "penicillin" and drug == "cephalexin"
    findings = ((mine == theirs, "same class", PRESCRIBER), (severe, "so severe", PRESCRIBER))
    expired = _of_every_order(stem)[0]
    held = [(word, act) for holds, word, act in (*findings, expired) if holds] or [(SOUND, GIVE)]
    words = ("same class", "so severe", "expiration", SOUND)
    choose(sheet, "act", ACTS, held[0][1])
    choose(sheet, "reason", words, words.index(held[0][0]))


def duplicate(stem: str, sheet: Worksheet) -> None:
    """Whether the record has a drug of the ordered drug's class."""
    (other,) = found(r"Current medicine: ([a-z]+)", stem)
    same = _class_of(other, stem) == _class_of(found(DRUG, stem)[0], stem)
    decided(stem, sheet, (same, "same class", PRESCRIBER))


def weight(stem: str, sheet: Worksheet) -> None:
    """The dose by today's weight, and whether that weight is within a tenth of last week's."""
    (per_kg,) = found(rf"{NUMBER} mg/kg IV", stem)
    (last,) = found(rf"last week; Weight: {NUMBER} kg", stem)
    (now,) = found(rf"today; Weight: {NUMBER} kg", stem)
    sheet.answer("dose", sheet.times(sheet.read(per_kg, "dose per kg"), sheet.read(now, "weight"), "weight"))
    high, low = number(last) * Decimal("1.1"), number(last) * Decimal("0.9")
    decided(stem, sheet, (number(now) > high, "far above", ASSESS), (number(now) < low, "far below", ASSESS))


def order_arithmetic(stem: str, sheet: Worksheet) -> None:
    """What mg/kg and weight come to, and whether the order says so."""
    per_kg, dose = found(rf"{NUMBER} mg/kg = {NUMBER} mg IV", stem)
    (kg,) = found(rf"Weight today: {NUMBER} kg", stem)
    right = sheet.answer("right", sheet.times(sheet.read(per_kg, "dose per kg"), sheet.read(kg, "weight"), "weight"))
    more, less = number(dose) > right, number(dose) < right
    decided(stem, sheet, (more, "more than", PRESCRIBER), (less, "less than", PRESCRIBER))


def central_line(stem: str, sheet: Worksheet) -> None:
    """The strength of a bag, and whether it may run through the line."""
    amount, volume = found(rf"{NUMBER} mEq in {NUMBER} mL IV", stem)
    (limit,) = found(rf"not stronger than {NUMBER} mEq/L", stem)
    (line,) = found(r"Access: ([^.]+)\.", stem)
    liters = sheet.converted(sheet.read(volume, "volume"), "mL", "L", "volume")
    strength = sheet.answer("strength", sheet.over(sheet.read(amount, "amount"), liters, "volume"))
    strong = strength > number(limit) and line.startswith("peripheral")
    decided(stem, sheet, (strong, "too strong", PRESCRIBER), allergic=False)


def incompatible(stem: str, sheet: Worksheet) -> None:
    """Whether the table forbids the drug in the primary fluid."""
    drug = found(DRUG, stem)[0]
    (avoid,) = found(rf"Drug: {drug}; Do not run into: ([^;]+?)\.(?: Drug| *$|\n)", stem)
    (fluid,) = found(r"Running now: (.+?) at \d+ mL/h", stem)
    decided(stem, sheet, (fluid == avoid, "not compatible", PHARMACY))


def bag_left(stem: str, sheet: Worksheet) -> None:
    """The volume of a bolus, and whether the bag still holds it."""
    (dose,) = found(rf"heparin {NUMBER} units IV bolus", stem)
    (units,) = found(rf"Bag: heparin {NUMBER} units/mL", stem)
    (left,) = found(rf"Left in the bag: {NUMBER} mL", stem)
    per_ml = sheet.read(units, "strength of the bag")
    volume = sheet.answer("volume", sheet.over(sheet.read(dose, "dose"), per_ml, "strength"))
    decided(stem, sheet, (volume > number(left), "no longer holds", PHARMACY))


def syringe_label(stem: str, sheet: Worksheet) -> None:
    """Whether a filled syringe has a label, and the order's."""
    blank = "It has no label." in stem
    written = "" if blank else found(r"On its label: (.+?)\.\n", stem)[0]
    (right,) = found(r"Label for this order: (.+?)\. ", stem)
    other = not blank and written != right
    decided(stem, sheet, (blank, "has no label", DISCARD), (other, "another order", PHARMACY))


def mixed_when(stem: str, sheet: Worksheet) -> None:
    """How long ago a dose was mixed, and whether it keeps so long."""
    (now,) = found(r"Today is [^,]*, \d{4}, (\d{4})", stem)
    (mixed,) = found(r"today at (\d{4})", stem)
    (keep,) = found(rf"start within {NUMBER} h", stem)
    age = sheet.answer("age", minutes_between(sheet, mixed, now))
    decided(stem, sheet, (age > minutes_read(sheet, keep, "h", "time that it keeps"), "too long ago", DISCARD))


def rate(stem: str, sheet: Worksheet) -> None:
    """How many mg run in a minute, and whether that is too fast."""
    dose, minutes = found(rf"{NUMBER} mg IV over {NUMBER} min", stem)
    (fastest,) = found(rf"not faster than {NUMBER} mg/min", stem)
    speed = sheet.answer("speed", sheet.over(sheet.read(dose, "dose"), sheet.read(minutes, "time"), "time"))
    decided(stem, sheet, (speed > number(fastest), "faster", PRESCRIBER))


def bag_strength(stem: str, sheet: Worksheet) -> None:
    """Whether a bag's label has the ordered amount."""
    (ordered,) = found(rf"Order for {PATIENT}\. [^\d]*?([\d,]+ \w+) in", stem)
    (sent,) = found(r"Drawing of a label\. [^\d]*?([\d,]+ \w+) in", stem)
    decided(stem, sheet, (sent != ordered, "ordered amount", PHARMACY))


def patient_name(stem: str, sheet: Worksheet) -> None:
    """Whether order and label have one name and one record number."""
    (ordered,) = found(rf"Order for ({PATIENT})", stem)
    (labeled,) = found(rf"label\. For ({PATIENT})", stem)
    decided(stem, sheet, (ordered != labeled, "another patient", PHARMACY))


def split_tablet(stem: str, sheet: Worksheet) -> None:
    """Whether an order takes a part of a tablet that isn't scored."""
    (dose,) = found(rf"{NUMBER} mg by mouth", stem)
    form, strength = found(rf"([a-z-]+) tablets\. {NUMBER} mg in each tablet", stem)
    part = number(dose) < number(strength) and form != "scored"
    decided(stem, sheet, (part, "must not be split", PHARMACY))
