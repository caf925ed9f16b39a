"""Values as orders, labels and books write them; what is decided by hand stands in the tables."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.reading.orders.ranges import read_range
from calclib.reading.orders.stated_values import read_order_value, unit_of_order
from calclib.reading.orders.values import Form, OrderContext
from calclib.reading.records import Unreadable

AMOUNT = OrderContext(rules=frozenset({"packed"}), unit="mg", drug_first=True)
VOLUME = OrderContext(rules=frozenset({"packed", "fluid"}), unit="mL")
STRENGTH = OrderContext(rules=frozenset({"mixture"}), unit="mg/mL")
TABLET = OrderContext(rules=frozenset({"packed", "solid"}), unit="mg/tab")
FACTOR = OrderContext(rules=frozenset({"factor"}), unit="gtt/mL", bare=True)
OFTEN = OrderContext(rules=frozenset({"often"}), unit="dose/day")
LENGTH = OrderContext(rules=frozenset({"tall"}), unit="cm")

READ = [
    ("gr viiss", AMOUNT, [("15/2", "grain")], None),
    ("gr 1/150", AMOUNT, [("1/150", "grain")], None),
    ("48 units of NPH insulin", AMOUNT, [("48", "units")], None),
    ("cefazolin 1 g IV q8h", AMOUNT, [("1", "g")], None),
    ("2.5 million units", AMOUNT, [("5/2", "million_units")], None),
    ("one and a half cups", VOLUME, [("3/2", "cup")], None),
    ("1 1/2 c", VOLUME, [("3/2", "cup")], None),
    ("1 unit (350 mL)", VOLUME, [("350", "mL")], None),
    ("one 8-oz can", VOLUME, [("8", "oz")], None),
    ("1,000 mL 0.9% NaCl with 20 mEq KCl", VOLUME, [("1000", "mL")], None),
    ("none", VOLUME, [("0", "mL")], None),
    ("5 ft 6 in", LENGTH, [("5", "ft"), ("6", "in")], None),
    ("5'6\"", LENGTH, [("5", "ft"), ("6", "in")], None),
    ("5-foot-2", LENGTH, [("5", "ft"), ("2", "in")], None),
    ("25,000 units of heparin in 500 mL NS", STRENGTH, [("25000", "units")], ("500", "mL")),
    ("norepinephrine 4 mg in D5W 250 mL", STRENGTH, [("4", "mg")], ("250", "mL")),
    ("each 5 mL contains 125 mg", STRENGTH, [("125", "mg")], ("5", "mL")),
    ("gr 1/2 per mL", STRENGTH, [("1/2", "grain")], ("1", "mL")),
    ("U-100 insulin", STRENGTH, [("100", "units/mL")], None),
    ("50 mg scored tablets", TABLET, [("50", "mg/tab")], None),
    ("each tablet = 60 mg", TABLET, [("60", "mg/tab")], None),
    ("325 mg each", TABLET, [("325", "mg/tab")], None),
    ("tubing of 15 drops = 1 mL", FACTOR, [("15", "gtt/mL")], None),
    ("microdrip", FACTOR, [("60", "gtt/mL")], None),
    ("t.i.d.", OFTEN, [("3", "dose/day")], None),
    ("in 3 divided doses", OFTEN, [("3", "dose/day")], None),
    ("before meals and at bedtime", OFTEN, [("4", "dose/day")], None),
]


@pytest.mark.parametrize(("text", "order", "amounts", "volume"), READ, ids=[row[0] for row in READ])
def test_an_order_is_read_as_it_is_meant(
    text: str, order: OrderContext, amounts: list[tuple[str, str]], volume: tuple[str, str] | None
) -> None:
    """Numbers, units and the volume that holds the amount are those that a nurse reads."""
    found = read_order_value(text, order)
    assert [(one.value, one.unit) for one in found.amounts] == [(Fraction(value), unit) for value, unit in amounts]
    held = None if found.volume is None else (found.volume.value, found.volume.unit)
    assert held == (volume and (Fraction(volume[0]), volume[1]))


@pytest.mark.parametrize(
    ("text", "form", "value"),
    [
        ("D10W", Form.PERCENT, "10"),
        ("D5 1/2 NS", Form.PERCENT, "5"),
        ("lidocaine 1%", Form.PERCENT, "1"),
        ("1/4%", Form.PERCENT, "1/4"),
        ("epinephrine 1:1,000", Form.RATIO, "1000"),
        ("1 in 10,000", Form.RATIO, "10000"),
    ],
)
def test_a_strength_without_units_is_a_percent_or_a_ratio(text: str, form: Form, value: str) -> None:
    """The sugar of D5 1/2 NS is 5 %, whatever its salt."""
    found = read_order_value(text, STRENGTH)
    assert (found.form, found.amounts[0].value) == (form, Fraction(value))


@pytest.mark.parametrize(("text", "hours"), [("q6h", 6), ("every 8 hours", 8), ("divided q8h", 8)])
def test_an_interval_is_told_from_a_count(text: str, hours: int) -> None:
    """Every 6 h isn't 6 doses a day."""
    found = read_order_value(text, OFTEN)
    assert (found.form, found.amounts[0].value) == (Form.EVERY_HOURS, hours)


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("5 mg or 10 mg", AMOUNT),
        ("less than 5 mg", AMOUNT),
        ("twice 5 mg", AMOUNT),
        ("5 mg 10 mL", AMOUNT),
        ("5 mg in 250 mL", AMOUNT),
        ("250 mL over 8 h", VOLUME),
        ("100 mg PO", TABLET),
        ("acetaminophen 200 mg", TABLET),
        ("1,000 mL", FACTOR),
        ("-15 gtt/mL", FACTOR),
        ("1e3 mg", AMOUNT),
        ("4 mg in the bag", STRENGTH),
        ("1/0 mg", AMOUNT),
        ("", AMOUNT),
        ("mg", AMOUNT),
    ],
)
def test_what_is_not_one_value_is_not_read(text: str, order: OrderContext) -> None:
    """A second amount, a route or a word that changes the amount may mean something else: a person writes it again."""
    with pytest.raises(Unreadable):
        read_order_value(text, order)


def test_ends_of_ranges() -> None:
    """A lower end takes the unit of the upper one, or the rest of it; “U-100” is no range."""
    assert [end[1:] for end in read_range("between 25 and 50 mg/kg/24 h") or ()] == [
        ("25", "mg/kg/24 h"),
        ("50", "mg/kg/24 h"),
    ]
    assert [end[1:] for end in read_range("2 mg-4 mg/kg") or ()] == [("2", "mg/kg"), ("4", "mg/kg")]
    assert read_range("16 units of U-100 insulin") is None
    assert read_range("5 mg") is None


def test_units_are_known_in_any_usual_spelling() -> None:
    """Two spellings of one unit are the same; what is no unit stays as it was."""
    assert unit_of_order("mls per hr") == unit_of_order("mL/h") == "mL/h"
    assert unit_of_order("breaths") == "breaths"
