"""A teacher's own values: other measures of the drug, words of rows, numbers with the unit that the stem prints."""

from __future__ import annotations

import gc
import tracemalloc
from fractions import Fraction

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.errors.messages import BadInput
from calclib.items import draw_item, item_from_record, solution_of
from calclib.items.item import Item
from calclib.items.own_values.drug_measure import as_measured
from calclib.models import item_model
from calclib.quantity.policies import rounding_policy
from calclib.wording import fact

MEASURED = [
    ("injection-volume", {"order": "600,000 units", "strength": "1,200,000 units/2 mL"}, "volume", "1 mL"),
    ("injection-volume", {"order": "2.5 million units", "strength": "1 million units/mL"}, "volume", "2.5 mL"),
    ("injection-volume", {"order": "30 mEq", "strength": "2 mEq/mL"}, "volume", "15 mL"),
    ("oral-liquid-volume", {"order": "400,000 units", "strength": "100,000 units/mL"}, "volume", "4 mL"),
    ("oral-liquid-milliequivalents", {"order": "15 mmol", "strength": "20 mmol/15 mL"}, "volume", "11.3 mL"),
    ("oral-liquid-milliequivalents", {"order": "500 mg", "strength": "250 mg/5 mL"}, "volume", "10 mL"),
    ("tablets-per-dose", {"order": "20 mEq", "strength": "10 mEq/tablet"}, "tablets", "2 tablets"),
    ("powder-displacement", {"vial": "5,000,000 units", "diluent": "8 mL", "after": "10 mL"}, "displaced", "2 mL"),
    ("reconstituted-vial-volume", {"order": "400,000 units", "strength": "250,000 units/mL"}, "volume", "1.6 mL"),
    (
        "divided-doses",
        {"dose": "100,000 units/kg/day", "frequency": "q6h", "weight": "10 kg", "strength": "250,000 units/mL"},
        "single",
        "250,000 units",
    ),
]


def drawn(model: str, given: dict[str, str]) -> Item:
    """An item with a teacher's values."""
    return draw_item(item_model(model), "1", given=given)


@pytest.mark.parametrize(("model", "given", "part", "answer"), MEASURED)
def test_a_drug_may_be_measured_in_another_way(model: str, given: dict[str, str], part: str, answer: str) -> None:
    """An order in units, mEq or mmol is asked by the model that draws mg, and the other way round."""
    item = drawn(model, given)

    assert item.part(part).answer == answer
    assert "mg" not in item.stem.replace("250 mg", "").replace("500 mg", "")


@pytest.mark.parametrize(("model", "given", "part", "answer"), MEASURED)
def test_such_an_item_is_solved_and_judged_from_its_record(
    model: str, given: dict[str, str], part: str, answer: str
) -> None:
    """What is recorded is enough to solve and to mark it, and the model's drug is measured as the record says."""
    item = item_from_record(drawn(model, given).to_record())
    bank_model = item_model(model)

    assert solution_of(item, bank_model).worked(part)[-1].rstrip(".").endswith(answer)
    assert as_measured(item, as_measured(item, bank_model)) is as_measured(item, bank_model)
    verdicts = judge_item(item, {p.name: p.answer for p in item.parts}, marking_policy("homework"))
    assert all(verdict.score == Fraction(1) for verdict in verdicts)


def test_amounts_that_the_teacher_leaves_open_are_asked_for() -> None:
    """A model can't draw mg beside an order in units: it says what it needs."""
    with pytest.raises(BadInput, match="give strength too: the other amounts of the drug are in units"):
        drawn("injection-volume", {"order": "600,000 units"})


def test_a_model_with_amounts_of_its_own_keeps_its_measure() -> None:
    """A table in mg can't be asked in units."""
    with pytest.raises(BadInput, match="can't be asked in units"):
        drawn("dose-by-age-and-weight", {"strength": "40 units/mL"})


@pytest.mark.parametrize(
    ("given", "answer"),
    [
        ({"patient": "man"}, "63 mL/min"),
        ({"patient": "Male"}, "63 mL/min"),
        ({"patient": "woman"}, "53 mL/min"),
        ({"patient.patient": "female"}, "53 mL/min"),
    ],
)
def test_a_row_is_chosen_by_its_word(given: dict[str, str], answer: str) -> None:
    """The name of a table's row takes one of its words, in the table's spelling or a usual one."""
    item = drawn("creatinine-clearance", {**given, "age": "65", "weight": "72 kg", "creatinine": "1.2 mg/dL"})

    assert item.part("clearance").answer == answer


def test_a_word_of_no_row_is_refused() -> None:
    """What no row says is refused with the words that there are."""
    with pytest.raises(BadInput, match=r"patient = “cat” isn't one of its rows, which are .*man"):
        drawn("creatinine-clearance", {"patient": "cat"})


def test_a_number_may_carry_the_unit_that_the_stem_prints() -> None:
    """“255 mg/dL” is 255 where the stem says mg/dL behind the number."""
    item = drawn("correction-insulin", {"glucose": "255 mg/dL", "mealtime": "6 units"})

    assert item.part("total").answer == "11 units"
    with pytest.raises(BadInput, match="glucose"):
        drawn("correction-insulin", {"glucose": "14 mmol/L"})


def test_a_conversion_that_plays_no_part_is_named() -> None:
    """A teacher who fixes a conversion that these numbers do not need is told so."""
    item = draw_item(item_model("pump-rate"), "1", use={"lb_per_kg": "2.2"})

    assert fact("draw.no_part", name="lb_per_kg") in item.why


SAFE = {"order": "175 mg", "frequency": "every 6 h", "weight": "15 kg"}


@pytest.mark.parametrize("name", ["range", "dose", "low", "high"])
@pytest.mark.parametrize(
    "text",
    [
        "25-50 mg/kg/day",
        "25–50 mg/kg/day",
        "25 to 50 mg/kg/day",
        "from 25 mg/kg/day to 50 mg/kg/day",
        "25 mg - 50 mg/kg/day",
        "between 25 and 50 mg/kg/24 h",
        "0.025-0.05 g/kg/day",
    ],
)
def test_a_range_sets_both_of_its_ends(name: str, text: str) -> None:
    """A safe range written whole, as books do, is the same as its two ends given apart: 15 kg times 25 and 50, by 4."""
    item = drawn("safe-dose-range", {**SAFE, name: text})

    assert [item.part(end).answer for end in ("least", "most")] == ["93.8 mg", "187.5 mg"]


def test_ranges_of_other_measures_are_taken() -> None:
    """Hours with a mixed number, units and amounts for one dose are ranges too."""
    blood = drawn("blood-time-check", {"range": "1 1/2 to 4 h"})
    penicillin = {
        "order": "500,000 units",
        "frequency": "q6h",
        "weight": "20 kg",
        "dose": "50,000-90,000 units/kg/day",
    }

    assert "over 1.5 h to 4 h" in blood.stem
    assert drawn("safe-dose-range", penicillin).part("most").answer == "450,000 units"
    assert "0.05 mg/kg to 0.1 mg/kg" in drawn("safe-single-dose", {"dose": "0.05-0.1 mg/kg"}).stem


@pytest.mark.parametrize(
    ("model", "given", "why"),
    [
        ("safe-dose-range", {"range": "50-25 mg/kg/day"}, "does not rise; write the lower end first"),
        ("safe-dose-range", {"dose": "25 mg/kg/day"}, "isn't a range; write it like"),
        ("safe-dose-range", {"range": "25-50 mL"}, "low = “25 mL”"),
        ("safe-dose-range", {"range": "25-50 mg/kg/day", "high": "50 mg/kg/day"}, "high is given twice"),
        ("safe-dose-range", {"low": "25-50 mg/kg/day", "high": "25-50 mg/kg/day"}, "given twice"),
        ("newborn-dose", {"range": "2-4 mg/kg"}, "newborn-dose states no range"),
        ("newborn-dose", {"dose": "2-4 mg/kg"}, "one value is needed here, not a range"),
        ("time-between", {"range": "5-6 h"}, "states no range"),
        ("safe-dose-range", {"range": "1-" * 10_000}, "isn't a range"),
    ],
)
def test_what_is_no_range_is_refused(model: str, given: dict[str, str], why: str) -> None:
    """A range that falls, is measured otherwise, is given twice, or stands where one value is needed: one sentence."""
    with pytest.raises(BadInput, match=why) as refused:
        drawn(model, given)
    assert len(str(refused.value)) < 200


@pytest.mark.parametrize(
    ("model", "given", "name", "text"),
    [
        ("safe-day-range", {"maximum": "2 g/day"}, "maximum", "2 g"),
        ("potassium-dose-limits", {"day_limit": "100 mEq in 24 h"}, "day_limit", "100 mEq"),
        ("heparin-day-total", {"low": "20,000 units per day"}, "low", "20,000 units"),
        ("analgesia-limits", {"limit": "10 mg/h"}, "limit", "10 mg"),
        ("analgesia-review", {"limit": "30 mg in 4 h"}, "limit", "30 mg"),
        ("correction-insulin", {"glucose": "255 mg per dL"}, "glucose", "255"),
        ("tablets-per-dose", {"order": "10 mg daily", "strength": "5 mg"}, "order", "10 mg"),
    ],
)
def test_what_the_stem_prints_behind_a_value_may_be_stated(
    model: str, given: dict[str, str], name: str, text: str
) -> None:
    """A limit may be stated with the time for which the stem names it, a number with its unit."""
    assert {g.name: g.text for g in drawn(model, given).givens}[name] == text


@pytest.mark.parametrize(
    ("model", "given"),
    [
        ("analgesia-limits", {"limit": "10 mg/day"}),
        ("maximum-dose", {"maximum": "1 g/day"}),
        ("correction-insulin", {"glucose": "14 mmol/L"}),
    ],
)
def test_a_limit_for_another_time_is_refused(model: str, given: dict[str, str]) -> None:
    """A limit for a day is not taken for one for an hour or a dose, nor one unit for another."""
    with pytest.raises(BadInput, match=next(iter(given))):
        drawn(model, given)


def test_an_answer_that_the_rule_makes_0_is_said() -> None:
    """An amount that the policy rounds to 0 is no fair question, and the item says so."""
    given = {"hourly": "60 mcg/h", "lockout": "6 min", "strength": "10 mcg/mL", "limit": "200 mcg"}
    item = draw_item(item_model("analgesia-bolus"), "1", given=given, policy=rounding_policy("tenths-and-wholes"))

    assert not item.fair
    problems = [why.field("problem") for why in item.why]
    assert "draw.becomes_zero" in [problem.kind for problem in problems if problem is not None]


@pytest.mark.parametrize(
    ("model", "given"),
    [
        ("oral-liquid-volume", {"order": "{} mg", "strength": "100 mg/mL"}),
        ("oral-liquid-volume", {"order": "{} units", "strength": "100 units/mL"}),
        ("tablets-per-dose", {"order": "{} mEq", "strength": "50 mEq/tablet"}),
    ],
)
def test_a_teachers_numbers_leave_nothing_behind(model: str, given: dict[str, str]) -> None:
    """Draws with a teacher's own numbers, each other, take no memory that stays, however the drug is measured."""

    def kept_by(numbers: range) -> int:
        before = tracemalloc.get_traced_memory()[0]
        for number in numbers:
            drawn(model, {name: text.format(number) for name, text in given.items()})
        gc.collect()
        return tracemalloc.get_traced_memory()[0] - before

    tracemalloc.start()
    try:
        kept_by(range(100, 105))
        # A cache that is filled by other tests may be given more room in one of three turns.
        turns = (kept_by(range(start, start + 10)) for start in (105, 115, 125))
        flat = any(kept < 10 * 2_000 for kept in turns)
    finally:
        tracemalloc.stop()

    assert flat, "each of three turns keeps 2,000 bytes a draw and more"


@pytest.mark.parametrize(
    ("model", "given", "drug"),
    [
        ("tablets-per-dose", {"order": "750 mg", "strength": "300 mg scored tablets"}, "the ordered medicine"),
        ("oral-liquid-volume", {"order": "250 mg", "strength": "77 mg/5 mL"}, "the ordered medicine"),
        ("injection-volume", {"order": "30 mg", "strength": "17 mg/mL"}, "the ordered medicine"),
        ("tablets-per-dose", {"order": "10 mg", "strength": "2.5 mg", "drug": "warfarin"}, "warfarin"),
        (
            "titrated-rate",
            {"dose": "5 mcg/kg/min", "weight": "176 lb", "concentration": "400 mg in 250 mL"},
            "dopamine",
        ),
    ],
)
def test_no_drug_lends_its_name_to_amounts_that_it_does_not_have(model: str, given: dict[str, str], drug: str) -> None:
    """No table has tablets of 300 mg: “warfarin 750 mg” would be an order that harms."""
    item = drawn(model, given)

    assert drug in item.stem
    if drug == "the ordered medicine":
        rows = next(iter(item_model(model).rows.values()))
        assert not [row["drug"] for row in rows if row["drug"] in item.stem]
