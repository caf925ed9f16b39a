"""An order held against the formulary."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.errors import BadInput
from calclib.formulary import (
    INJECTED,
    AgeGroup,
    Finding,
    FindingKind,
    Line,
    Order,
    Patient,
    Route,
    amount,
    order_findings,
    speaks_of,
)
from calclib.formulary.sentences import at_least_a_tenth_more, finding_sentence

IV, IM, SC, ORAL = (Route.IV,), (Route.IM,), (Route.SC,), (Route.ORAL,)


def adult(weight: str | None = None) -> Patient:
    """An adult of so many kg."""
    return Patient(AgeGroup.ADULT, None if weight is None else Fraction(weight))


def child(weight: str | None = None, years: int | None = None) -> Patient:
    """A child of so many kg and years."""
    age = None if years is None else years * Fraction(1461, 4)
    return Patient(AgeGroup.CHILD, None if weight is None else Fraction(weight), age=age)


def newborn(weight: str) -> Patient:
    """A newborn of so many kg."""
    return Patient(AgeGroup.NEWBORN, Fraction(weight))


SOUND = [
    Order("morphine", IV, adult("70"), dose=amount("10 mg"), doses_a_day=Fraction(6)),
    Order("furosemide", IV, adult(), dose=amount("40 mg"), time=amount("2 min")),
    Order("vancomycin", IV, adult("80"), dose=amount("1 g"), interval=amount("12 h"), time=amount("100 min")),
    Order("vancomycin", IV, child("20"), dose=amount("10 mg/kg"), doses_a_day=Fraction(4)),
    Order("heparin", SC, adult(), dose=amount("5,000 units"), doses_a_day=Fraction(3)),
    Order("dopamine", IV, adult("70"), rate=amount("10 mcg/kg/min"), concentration=amount("400 mg/250 mL")),
    Order("potassium chloride", IV, adult("70"), rate=amount("10 mEq/h"), concentration=amount("10 mEq/100 mL")),
    Order("gabapentin", ORAL, adult(), dose=amount("600 mg"), doses_a_day=Fraction(3)),
    Order("doxorubicin", IV, adult(), dose=amount("60 mg/m2")),
    Order("duloxetine", ORAL, adult(), dose=amount("120 mg"), doses_a_day=Fraction(1)),
    Order("methotrexate", IM, adult(), dose=amount("25 mg"), interval=amount("1 wk")),
    Order("", IV, newborn("3"), flow=amount("12 mL/h")),
    Order("", IV, adult(), flow=amount("500 mL/h"), time=amount("2 h")),
    Order("", IV, child("18", years=5)),
]


@pytest.mark.parametrize("order", SOUND, ids=lambda order: f"{order.drug or 'fluid'} {order.routes[0]}")
def test_a_sound_order_has_no_finding(order: Order) -> None:
    """Orders that a label prints, and those within what a body takes, pass."""
    assert order_findings(order) == ()


# The order, what is wrong, the limit, how many times, and whether a source decides. Worked by hand from the labels.
BEYOND = [
    (Order("morphine", IV, adult("70"), dose=amount("1 mg/kg")), FindingKind.SINGLE_DOSE, "15 mg", "14/3", True),
    (Order("hydralazine", INJECTED, adult(), dose=amount("84 mg")), FindingKind.SINGLE_DOSE, "40 mg", "2.1", True),
    (Order("sumatriptan", INJECTED, adult(), dose=amount("32.4 mg")), FindingKind.SINGLE_DOSE, "6 mg", "5.4", True),
    (Order("ketorolac", INJECTED, adult(), dose=amount("108 mg")), FindingKind.SINGLE_DOSE, "60 mg", "1.8", False),
    (Order("haloperidol", INJECTED, adult(), dose=amount("23.5 mg")), FindingKind.SINGLE_DOSE, "5 mg", "4.7", False),
    (
        Order("vancomycin", IV, adult(), dose=amount("1 g"), doses_a_day=Fraction(4)),
        FindingKind.DAY_TOTAL,
        "2,000 mg/day",
        "2",
        True,
    ),
    (
        Order("gabapentin", ORAL, adult(), dose=amount("600 mg"), doses_a_day=Fraction(6)),
        FindingKind.DAY_TOTAL,
        "2,400 mg/day",
        "1.5",
        True,
    ),
    (
        Order("cefdinir", ORAL, child("20"), day=amount("21 mg/kg/day")),
        FindingKind.DAY_TOTAL,
        "280 mg/day",
        "1.5",
        True,
    ),
    (Order("diltiazem", IV, adult(), rate=amount("20 mg/h")), FindingKind.RATE, "15 mg/h", "4/3", True),
    (
        Order("dopamine", IV, adult("50"), rate=amount("75 mcg/kg/min")),
        FindingKind.RATE,
        "2,500 mcg/min",
        "1.5",
        True,
    ),
    (Order("heparin", IV, adult("70"), rate=amount("2,500 units/h")), FindingKind.RATE, "5000/3 units/h", "1.5", True),
    (
        Order("potassium chloride", IV, adult(), concentration=amount("60 mEq/L")),
        FindingKind.CONCENTRATION,
        "30 mEq/L",
        "2",
        True,
    ),
    (
        Order("potassium chloride", IV, child("16"), concentration=amount("20 mEq/100 mL")),
        FindingKind.CONCENTRATION,
        "60 mEq/L",
        "10/3",
        False,
    ),
    (
        Order("clindamycin", IV, adult(), dose=amount("600 mg"), concentration=amount("36 mg/mL")),
        FindingKind.CONCENTRATION,
        "18 mg/mL",
        "2",
        True,
    ),
    (
        Order("vancomycin", IV, adult(), dose=amount("1 g"), time=amount("30 min")),
        FindingKind.INFUSION_TIME,
        "60 min",
        "2",
        True,
    ),
    (
        Order("vancomycin", IV, adult(), dose=amount("1 g"), time=amount("80 min")),
        FindingKind.SPEED,
        "10 mg/min",
        "1.25",
        True,
    ),
    (
        Order("methotrexate", IM, adult(), dose=amount("15 mg"), interval=amount("24 h")),
        FindingKind.INTERVAL,
        "1 wk",
        "7",
        True,
    ),
    (Order("heparin", SC, adult(), dose=amount("850 units")), FindingKind.TOO_LITTLE, "5,000 units", "100/17", False),
    (
        Order("ceftriaxone", IM, adult(), dose=amount("2 g"), volume=amount("8 mL")),
        FindingKind.INJECTED_VOLUME,
        "5 mL",
        "1.6",
        True,
    ),
    (Order("", IV, newborn("3"), flow=amount("43 mL/h")), FindingKind.FLUID, "600 mL/day", "1.72", True),
    (Order("", IV, adult(), flow=amount("306.25 mL/h")), FindingKind.FLUID, "6,000 mL/day", "1.225", True),
    (Order("", IV, child("62", years=5)), FindingKind.WEIGHT_FOR_AGE, "34 kg", "31/17", True),
    (
        Order("morphine", IV, adult(), rate=amount("8.5 mg/h"), own_most=amount("5 mg/h")),
        FindingKind.OWN_LIMIT,
        "5 mg/h",
        "1.7",
        True,
    ),
]


@pytest.mark.parametrize(
    ("order", "kind", "limit", "factor", "decides"),
    BEYOND,
    ids=[f"{order.drug or 'fluid'} {kind}" for order, kind, *_ in BEYOND],
)
def test_an_order_beyond_a_limit_is_found(
    order: Order, kind: FindingKind, limit: str, factor: str, decides: bool
) -> None:
    """What is wrong is said with the limit, how many times it is passed, and whether a source decides."""
    (found,) = [finding for finding in order_findings(order) if finding.kind is kind]

    assert found.limit.over(amount(limit)) == 1
    assert found.factor == Fraction(factor)
    assert found.decides is decides


def one(order: Order) -> Finding:
    """The only finding of an order."""
    (found,) = order_findings(order)
    return found


def test_a_use_known_from_memory_keeps_a_sourced_limit_from_deciding() -> None:
    """A child's label stops at 45 mg/kg/day of amoxicillin; one dose of 50 mg/kg a day is remembered, and said so."""
    order = Order("amoxicillin", ORAL, child("12"), dose=amount("600 mg"), doses_a_day=Fraction(1))
    found = [one for one in order_findings(order) if one.kind is FindingKind.DAY_TOTAL]

    assert [(one.citation.from_memory, one.decides, one.remembered) for one in found] == [
        (False, False, "streptococcal pharyngitis")
    ]


def test_a_start_is_no_limit_for_what_follows() -> None:
    """The label starts oxytocin at 1 milliunit/min; 10 later is not beyond that, and 30 is beyond all that is known."""
    ten, thirty = (Order("oxytocin", IV, adult(), rate=amount(f"{rate} milliunits/min")) for rate in (10, 30))

    assert order_findings(ten) == ()
    assert one(thirty).factor == Fraction(3, 2)


def test_a_child_gets_no_more_than_an_adult() -> None:
    """Where nothing is known for a child whose weight isn't told, the adult's limit holds."""
    found = one(Order("furosemide", ORAL, child(), dose=amount("250 mg")))

    assert (str(found.limit), found.decides) == ("80 mg", False)


def test_a_central_line_allows_more() -> None:
    """What must not run through a peripheral line may run through a central one, as far as that goes."""
    strong = Order("potassium chloride", IV, child("16"), concentration=amount("400 mEq/L"))

    assert [one.kind for one in order_findings(strong)] == [FindingKind.CONCENTRATION]
    central = Order("potassium chloride", IV, child("16"), concentration=amount("400 mEq/L"), line=Line.CENTRAL)
    assert order_findings(central) == ()


def test_a_limit_of_a_central_line_holds_for_no_other() -> None:
    """The peripheral line is named, or none is: the higher figure for a central one does not let the order pass."""
    for line in (Line.PERIPHERAL, None):
        order = Order("potassium chloride", IV, child("16"), concentration=amount("400 mEq/L"), line=line)
        assert [finding.kind for finding in order_findings(order)] == [FindingKind.CONCENTRATION], line


def test_what_is_known_of_an_order_is_told() -> None:
    """Whether a source limits an order's amounts, or only memory does."""
    ketorolac = Order("ketorolac", IV, adult(), dose=amount("30 mg"))

    assert speaks_of(Order("morphine", IV, adult(), dose=amount("5 mg")), sourced=True)
    assert (speaks_of(ketorolac, sourced=True), speaks_of(ketorolac, sourced=False)) == (False, True)


def test_a_drug_that_is_not_known_is_refused() -> None:
    """An order for a drug that isn't in the formulary can't be held against it."""
    with pytest.raises(BadInput, match="no drug “zzz”"):
        order_findings(Order("zzz", IV))


@pytest.mark.parametrize(
    ("order", "sentence"),
    [
        (
            Order("morphine", IV, adult("70"), dose=amount("1 mg/kg")),
            "morphine 70 mg is 4.7 times the most that the formulary has for one dose, 15 mg (pain; US FDA, US",
        ),
        (
            Order("methotrexate", IM, adult(), dose=amount("15 mg"), interval=amount("24 h")),
            "methotrexate every 24 h is sooner after the last dose than the shortest interval, 1 wk",
        ),
        (
            Order("ibuprofen", ORAL, child("20"), dose=amount("200 mg"), interval=amount("12 h")),
            "ibuprofen every 12 h is later after the last dose than the longest interval, 8 h",
        ),
        (
            Order("vancomycin", IV, adult(), dose=amount("1 g"), time=amount("30 min")),
            "vancomycin over 30 min runs faster than the shortest time for one dose, 60 min",
        ),
        (
            Order("", IV, newborn("3"), flow=amount("43 mL/h")),
            "1,032 mL/day is 1.8 times the most fluid of a day, 600 mL/day (common practice).",
        ),
        (
            Order("", IV, child("62", years=5)),
            "A weight of 62 kg does not go with the age; nearly all weigh 34 kg at the outside",
        ),
    ],
)
def test_a_finding_in_a_sentence(order: Order, sentence: str) -> None:
    """The sentence names drug, amount, how many times, the limit, the use and the source."""
    assert finding_sentence(order_findings(order)[0], order.drug).startswith(sentence)


def test_how_many_times_is_never_said_to_be_one() -> None:
    """A limit that is passed by little is not called once the limit."""
    assert [at_least_a_tenth_more(Fraction(number)) for number in ("1.001", "2", "4.66")] == ["1.1", "2", "4.7"]
