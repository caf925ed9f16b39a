"""Orders of the bank that a pharmacist would stop are found by the law.

The stems are frozen here as orders, so that they stay examples when the bank draws others.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.formulary import (
    INJECTED,
    AgeGroup,
    FindingKind,
    Order,
    Patient,
    Route,
    amount,
    order_findings,
    speaks_of,
)
from calclib.items import draw_item
from calclib.models import bank
from tests.formulary.bank_orders import DECIDING, measured, orders_of

ADULT, CHILD = Patient(), Patient(AgeGroup.CHILD)


def injected(drug: str, dose: str) -> Order:
    """So much of a drug by injection."""
    return Order(drug, INJECTED, ADULT, dose=amount(dose))


def by_mouth(drug: str, dose: str, times: int, patient: Patient = ADULT) -> Order:
    """So much of a drug by mouth, so many times a day."""
    return Order(drug, (Route.ORAL,), patient, dose=amount(dose), doses_a_day=Fraction(times))


# Each was drawn as a plain problem once. Whether a source decides, or a figure from memory narrows.
STOPPED = [
    (injected("ketorolac", "108 mg"), FindingKind.SINGLE_DOSE, False),
    (injected("hydralazine", "84 mg"), FindingKind.SINGLE_DOSE, True),
    (injected("promethazine", "105 mg"), FindingKind.SINGLE_DOSE, True),
    (injected("midazolam", "22 mg"), FindingKind.SINGLE_DOSE, False),
    (injected("haloperidol", "23.5 mg"), FindingKind.SINGLE_DOSE, False),
    (injected("haloperidol", "23 mg"), FindingKind.SINGLE_DOSE, False),
    (injected("digoxin", "0.95 mg"), FindingKind.SINGLE_DOSE, False),
    (injected("verapamil", "18.5 mg"), FindingKind.SINGLE_DOSE, True),
    (injected("flumazenil", "0.9 mg"), FindingKind.SINGLE_DOSE, False),
    (injected("sumatriptan", "32.4 mg"), FindingKind.SINGLE_DOSE, True),
    (
        Order("lorazepam", (Route.IV,), ADULT, dose=amount("4.6 mg")),
        FindingKind.SINGLE_DOSE,
        False,
    ),
    (Order("insulin glargine", (Route.SC,), ADULT, dose=amount("76 units")), FindingKind.SINGLE_DOSE, False),
    (Order("insulin regular", (Route.SC,), ADULT, dose=amount("76 units")), FindingKind.SINGLE_DOSE, False),
    (Order("furosemide", (Route.ORAL,), CHILD, dose=amount("250 mg")), FindingKind.SINGLE_DOSE, False),
    (Order("diltiazem", (Route.IV,), ADULT, rate=amount("20 mg/h")), FindingKind.RATE, True),
    (by_mouth("levetiracetam", "1,500 mg", 4), FindingKind.DAY_TOTAL, False),
    (
        Order("vancomycin", (Route.IV,), ADULT, dose=amount("1,500 mg"), doses_a_day=Fraction(4)),
        FindingKind.DAY_TOTAL,
        True,
    ),
    (by_mouth("metformin", "1.5 g", 2), FindingKind.DAY_TOTAL, True),
    (
        Order("dextrose", (Route.IV,), Patient(AgeGroup.NEWBORN, Fraction(3)), flow=amount("43 mL/h")),
        FindingKind.FLUID,
        True,
    ),
    (
        Order(
            "potassium chloride",
            (Route.IV,),
            Patient(AgeGroup.CHILD, Fraction(24)),
            concentration=amount("0.4 mEq/mL"),
        ),
        FindingKind.CONCENTRATION,
        False,
    ),
    (
        Order("potassium chloride", (Route.IV,), Patient(AgeGroup.CHILD, Fraction(16)), dose=amount("40 mEq")),
        FindingKind.SINGLE_DOSE,
        False,
    ),
    (Order("", (Route.IV,), ADULT, flow=amount("306.25 mL/h")), FindingKind.FLUID, True),
    (by_mouth("lactulose", "52.5 mL", 4, CHILD), FindingKind.DAY_TOTAL, False),
    (
        Order("heparin", (Route.SC,), ADULT, dose=amount("850 units")),
        FindingKind.TOO_LITTLE,
        False,
    ),
    (
        Order("potassium chloride", (Route.IV,), ADULT, concentration=amount("60 mEq/L")),
        FindingKind.CONCENTRATION,
        True,
    ),
    (Order("insulin regular", (Route.IV,), ADULT, rate=amount("19.5 units/h")), FindingKind.RATE, False),
    (
        Order("morphine", (Route.IV,), ADULT, rate=amount("8.5 mg/h"), own_most=amount("5 mg/h")),
        FindingKind.OWN_LIMIT,
        True,
    ),
]


@pytest.mark.parametrize(
    ("order", "kind", "decides"),
    STOPPED,
    ids=[f"{order.drug or 'fluid'} {order.dose or order.rate or order.flow or kind}" for order, kind, _ in STOPPED],
)
def test_an_order_that_would_be_stopped_is_found(order: Order, kind: FindingKind, decides: bool) -> None:
    """The finding is of the right kind, and says whether a source or only memory stands behind it."""
    (found,) = [finding for finding in order_findings(order) if finding.kind is kind]

    assert found.factor > 1
    assert found.decides is decides


@pytest.mark.parametrize(
    ("model", "words"),
    [
        ("choose-syringe", "Order: {drug} {dose} "),
        ("vials-to-open", "Order: {drug} {dose} IV every"),
        ("tablets-for-days", "Order: {drug} {dose} by mouth every"),
        ("newborn-dose", "{drug} {dose}"),
    ],
)
def test_the_order_that_a_stem_states_is_read(model: str, words: str) -> None:
    """Drug and dose of a drawn problem are those that its stem prints."""
    for number in range(5):
        item = draw_item(bank()[model], f"read {number}")
        (order,) = orders_of(item, bank()[model])
        dose = next(given.text for given in item.givens if given.name in ("order", "dose"))

        assert words.format(drug=order.drug, dose=dose) in item.stem
        assert order.dose is not None
        assert order.dose.over(amount(dose)) == 1


def test_no_sound_order_of_the_bank_is_beyond_a_source() -> None:
    """Read from the stem another way than a draw is, no order passes a sourced limit but where that is to be decided.

    Three seeds for each model, always the same; `python -m tests.formulary.bank_orders --draws 50` takes more.
    """
    rows = [measured(model, 3) for model in bank().values() if model.id not in DECIDING]

    assert [f"{row.model}: {row.worst[1]}" for row in rows if row.beyond] == []


# Stems of these state no order: they convert, mix, or count what went in and out, or the fluid is given by a rule that
# they print.
NO_ORDER_SAID = 67


def test_every_stem_with_an_order_says_so() -> None:
    """A model whose stem begins an order for a drug has its [[ordered]] table, and few have none."""
    silent = {model.id for model in bank().values() if not model.orders}

    assert len(silent) <= NO_ORDER_SAID
    assert {name for name in silent if "Order: {medicine.drug}" in bank()[name].stem} == set()


def test_a_drawn_amount_without_a_sourced_limit_is_known() -> None:
    """An order of a drug of which nobody has read a figure is told from one that a source limits."""
    assert not speaks_of(injected("ketorolac", "30 mg"), sourced=True)
    assert speaks_of(injected("hydralazine", "20 mg"), sourced=True)
