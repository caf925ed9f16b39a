"""Two mistakes that lead to one wrong answer: a model of faculty's is drawn all the same, and both are named."""

from __future__ import annotations

from collections import Counter

import pytest

from calclib.answers import marking_policy
from calclib.answers.judging import judge_item
from calclib.items import draw_item
from calclib.items.drawing import COINCIDENCES, draws
from calclib.models import bank
from calclib.models.bank import is_of_bank
from calclib.models.reader import read_item_model
from calclib.quantity.policies import rounding_policy

# 10% of the dose is 0.9 x 0.1 = 0.09 mg/kg, and at 1 mg/mL over 60 min a milligram, a milliliter and a mL/h are one
# number, so that what is left out can hardly be told from what is not subtracted.
OWN = """\
id = "stroke-bolus-share"
version = 1
title = "A bolus and the rest"
topic = "own"
skill = "bolus share and rest of a dose by weight"
order = 900
sources = ["Invented School of Nursing, Skills handbook, 2024"]
constants = { share = "0.1 dose/dose" }
stem = \"\"\"
Order: alteplase {dose} IV; 10% of it as a bolus, the rest over {time}. Weight: {weight}. Vial: {strength}.
\"\"\"

[given.weight]
kind = "body_weight"
unit = "kg"
draw = { from = "50", to = "99", step = "0.5" }
says = "body weight"

[given.dose]
kind = "dose_by_weight"
unit = "mg/kg"
draw = ["0.9 mg/kg"]
says = "ordered dose"

[given.time]
kind = "duration"
unit = "min"
draw = ["60 min"]
says = "time for the rest"

[given.strength]
kind = "mixture"
unit = "mg/mL"
draw = ["1 mg/mL"]
says = "strength"

[[step]]
name = "total"
kind = "product"
of = "dose * weight"
unit = "mg"
says = "dose in all"

[[step]]
name = "bolus"
kind = "product"
of = "total * share"
unit = "mg"
says = "bolus"

[[step]]
name = "rest"
kind = "sum"
of = "total - bolus"
unit = "mg"
says = "rest of the dose"

[[step]]
name = "rate"
kind = "product"
of = "rest / strength / time"
unit = "mL/h"
says = "rate of the rest"

[[part]]
name = "rate"
asks = "rate"
asked = "At what rate, in mL/h, does the rest run?"
unit = "mL/h"
rounding = "syringe_pump_rate"
set_on = "pump"
"""


@pytest.mark.parametrize("seed", [f"by hand {number}" for number in range(9)])
def test_a_model_of_facultys_is_drawn_though_two_mistakes_coincide(seed: str) -> None:
    """Each seed finds an item; the item says which mistakes coincide, and none of them leads to the right answer."""
    item = draw_item(read_item_model(OWN, "own.toml"), seed)

    assert item.fair and not item.diagnosable
    assert {dict(why.fields)["problem"].kind for why in item.why} == {"draw.same_answer"}
    (part,) = item.parts
    assert all(fault.written != part.key for fault in part.faults if fault.hard)


def test_both_mistakes_are_named_and_neither_for_certain() -> None:
    """The dose in all, 48.6 for 54 kg: the bolus was not subtracted, or the dose was left out."""
    own = read_item_model(OWN, "own.toml")
    item = draw_item(own, "named", given={"weight": "54 kg"})
    (verdict,) = judge_item(item, {"rate": "48.6 mL/h"}, marking_policy("strict-exam"))

    assert item.parts[0].answer == "43.7 mL/h"
    assert len(verdict.causes) >= 2
    assert not any(cause.certain for cause in verdict.causes)
    assert "the bolus was not subtracted" in [cause.says for cause in verdict.causes]


def test_the_first_draws_in_which_two_coincide_are_left_out() -> None:
    """Five are passed over for one that tells all mistakes apart; the bank passes over every one."""
    own = read_item_model(OWN, "own.toml")
    reports = []
    for report in draws(own, "left out", rounding_policy(), {}, {}):
        reports.append(report)
        if report.item is not None:
            break

    assert Counter(report.item is None for report in reports) == {True: COINCIDENCES - 1, False: 1}
    of_bank = OWN.replace("stroke-bolus-share", "drop-rate")
    assert is_of_bank("drop-rate") and not is_of_bank("stroke-bolus-share") and not is_of_bank("../bank/drop-rate")
    strict = list(draws(read_item_model(of_bank, "own.toml"), "left out", rounding_policy(), {}, {}))
    assert [report for report in strict if report.item is not None and not report.item.diagnosable] == []
    assert bank()["drop-rate"].id == "drop-rate"
