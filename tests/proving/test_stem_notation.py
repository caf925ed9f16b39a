"""Unsafe notation and slips are found in running text, and safe text passes."""

from __future__ import annotations

import pytest

from calclib.proving.stem_notation import slips, unsafe_notation
from calclib.reading.notation import notation_rules

UNSAFE = {
    "Give 5.0 mg.": "trailing_zero",
    "Give 2.50 mg.": "extra_zero",
    "Give .5 mg.": "no_leading_zero",
    "Give 5 U subcut.": "unit_u",
    "Give 5 IU now.": "unit_iu",
    "Give 5 mg qd.": "qd",
    "MS 5 mg.": "ms",
    "Give 5 cc now.": "cc",
    "Give 5 ml now.": "lower_case_l",
    "Give 5 µg now.": "microgram_sign",
    "Give 5 mg SC now.": "subcut",
    "Two drops AU.": "eye_ear",
    "Give 10mg now.": "run_together",
    "Give 10 mg. now.": "unit_period",
    "Give 1/2 tablet.": "fraction_tablet",
    "Give 1000 mL.": "no_comma",
    "Give 10 000 mL.": "space_grouping",
    "Give 5 mg @ noon.": "sign_for_word",
}

SAFE = [
    "Order: ceftriaxone 1,250 mg as a secondary infusion over 30 min. At 2315, the rate is 0.5 mL/h.",
    "Infuse 100 mL of dextrose 5% in 0.45% sodium chloride, 1:1,000, at 1.25 mcg/kg/min over 4 h.",
    "Use 1 kg = 2.2 lb. The patient weighs 70.5 kg, 154 lb; give 10.05 mL.",
]


@pytest.mark.parametrize("text", UNSAFE)
def test_unsafe_notation_is_found(text: str) -> None:
    """Each way of writing that the course forbids is found, by the rule that forbids it and no other."""
    assert {rule for rule, _ in unsafe_notation(text)} == {UNSAFE[text]}
    assert UNSAFE[text] in notation_rules()


@pytest.mark.parametrize("text", SAFE)
def test_safe_text_passes(text: str) -> None:
    """What the course recommends is not found fault with."""
    assert list(unsafe_notation(text, frozenset({"2315"}))) == []
    assert list(slips(text)) == []


@pytest.mark.parametrize(
    ("text", "slip"),
    [
        ("Give  5 mg.", "two_spaces"),
        ("Give {dose}.", "brace"),
        ("Give 5 mg , now.", "space_before_mark"),
        ("Give 5 mg..", "doubled_mark"),
        ("Give the the dose.", "word_twice"),
        ("Give 1 tablets.", "wrong_plural"),
        ("It is a 8% solution.", "article"),
        ("It is a 800 mL bag.", "article"),
        ("It is an 20 mL bag.", "article"),
        ("give 5 mg.", "no_capital"),
        ("Give 5 mg", "no_end"),
    ],
)
def test_slips_are_found(text: str, slip: str) -> None:
    """What a reader would stumble over is found."""
    assert f"stem_slip.{slip}" in [one.kind for one in slips(text)]


@pytest.mark.parametrize(
    "text", ["It is an 8% solution.", "It is a 250 mL bag.", "It is an 80 mL bag.", "In a 100 mL bag."]
)
def test_articles_pass(text: str) -> None:
    """The right article before a number is not found fault with."""
    assert list(slips(text)) == []
