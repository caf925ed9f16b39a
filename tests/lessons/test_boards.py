"""A worked example: what is left out, what is shown, and how what is typed is judged."""

from __future__ import annotations

import json
from dataclasses import asdict

import pytest

from calclib.errors import BadInput
from calclib.lessons.boards import ANSWER, METHOD_NAMES, Board, Gaps
from calclib.lessons.pieces import AMOUNT

METHODS = sorted(METHOD_NAMES)
RATE = {"volume": "1,000 mL", "time": "8 h"}
TABLETS = {"medicine": "metoprolol tartrate", "order": "75 mg", "strength": "50 mg/tab"}


def shown(board: Board, method: str, *, filled: bool = False) -> str:
    """All that a page gets of a board."""
    return json.dumps([asdict(part)["lines"] for part in board.parts(method, filled=filled)])


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("gaps", [1, 2, "all"])
@pytest.mark.parametrize(
    ("model", "given", "answer"), [("pump-rate", RATE, '"125'), ("tablets-per-dose", TABLETS, '"1.5')]
)
def test_a_gap_holds_no_answer(model: str, given: dict[str, str], answer: str, gaps: object, method: str) -> None:
    """Where the answer is left out, nothing that a page gets holds it; filled, it is there."""
    board = Board(model, given, gaps)  # type: ignore[arg-type]
    assert answer not in shown(board, method)
    assert answer in shown(board, method, filled=True)


@pytest.mark.parametrize("method", METHODS)
def test_two_gaps_leave_a_number_of_the_set_up_out(method: str) -> None:
    """The divisor is a field, and stands nowhere else in that line."""
    text = shown(Board("pump-rate", RATE, 2), method)
    assert text.count(f'"gap": "{AMOUNT}"') == 1
    assert '"number": "8"' not in text


def test_a_conversion_is_what_is_left_out_first() -> None:
    """Of a set-up with a conversion, the 60 min are left open."""
    place = Board("pump-rate", {"volume": "250 mL", "time": "75 min"}, 2).amount_gap("factors")
    assert place is not None
    assert (place.amount.number, str(place.amount.unit)) == ("60", "min")


@pytest.mark.parametrize(
    ("typed", "right"), [("8 h", True), ("480 min", True), ("8", False), ("9 h", False), ("", False), ("8 mL", False)]
)
def test_a_missing_number_is_judged_with_its_unit(typed: str, right: bool) -> None:
    """The judge of all answers judges a number of the set-up: exactly, and with its unit."""
    assert Board("pump-rate", RATE, 2).amount_judged("factors", typed).right is right


@pytest.mark.parametrize(("typed", "right"), [("125 mL/h", True), ("125", False), ("8,000 mL/h", False)])
def test_the_answer_is_judged_as_in_practice(typed: str, right: bool) -> None:
    """By the item's own part."""
    assert Board("pump-rate", RATE, 1).judged("rate", typed).right is right


def test_units_stand_above_and_below_as_a_hand_writes_them() -> None:
    """1,000 mL over 8 h is one fraction."""
    (part,) = Board("pump-rate", RATE).parts("factors")
    (product,) = [piece["product"] for piece in part.lines[0].pieces[:3] if "product" in piece]
    assert [(r["top"]["number"], r["bottom"]["number"]) for r in product] == [("1,000", "8")]


def test_canceled_units_are_struck() -> None:
    """mg above and below are struck, the tablet is not."""
    (part,) = Board("tablets-per-dose", TABLETS).parts("factors")
    product = part.lines[0].pieces[2]["product"]
    assert product[0]["top"]["units"] == [{"text": "mg", "struck": True}]
    assert product[1]["bottom"]["units"] == [{"text": "mg", "struck": True}]
    assert product[1]["top"]["units"] == [{"text": "tablet", "struck": False}]


@pytest.mark.parametrize("method", METHODS)
def test_every_line_says_why(method: str) -> None:
    """A whole example has a reason beside each line, and ends with its answer."""
    for part in Board(
        "secondary-infusion-entries", {"medicine": "vancomycin", "dose": "500 mg", "time": "60 min"}
    ).parts(method):
        assert all(len(line.why) > 20 for line in part.lines)
        assert {"words": "Answer:"} in part.lines[-1].pieces


def test_gaps_are_one_of_four() -> None:
    """Three gaps are refused in a sentence."""
    with pytest.raises(BadInput, match="gaps must be"):
        Board("pump-rate", RATE, 3)  # type: ignore[arg-type]


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize(
    ("model", "given", "words", "why"),
    [
        (
            "choose-syringe",
            {"medicine": "furosemide", "order": "18 mg", "strength": "10 mg/mL"},
            "syringe: volume to draw up",
            "Pick the smallest one that is enough.",
        ),
        ("correction-insulin", {}, "Look up", "Find the row that fits, and read across. "),
        ("read-medicine-cup", {}, "volume poured", "Read it off, and write the unit."),
    ],
)
def test_a_result_alone_has_a_reason_of_its_own(
    model: str, given: dict[str, str], words: str, why: str, method: str
) -> None:
    """What is picked, looked up or read off is not told as what runs in one unit of time."""
    lines = [line for part in Board(model, given).parts(method, filled=True) for line in part.lines]
    found = [line.why for line in lines if str(line.pieces[0].get("words", "")).startswith(words)]
    assert found and all(one.startswith(why) for one in found)


def test_bands_a_comparison_and_a_decision_say_why() -> None:
    """Each band takes its own part, the bands are added, a number stands beside its limits, a decision has no unit."""
    fluids = Board("maintenance-fluid-rate", {"weight": "14 kg"}).parts("factors")[0].lines
    assert ["band" in line.why for line in fluids] == [True, True, False, False]
    assert fluids[2].why.startswith("You can add")
    late = {"volume": "1,000 mL", "time": "10 h", "drop_factor": "15 gtt/mL", "elapsed": "5 h", "left": "600 mL"}
    *_, compared, decided = Board("gravity-schedule", late).parts("factors")[-1].lines
    assert "beside its limits" in compared.why
    assert "numbers lead to" in decided.why


def test_a_decision_is_chosen_and_not_told() -> None:
    """Where a decision is left out it is offered with the others, and the line that would tell it is left out too."""
    given = {"medicine": "ceftriaxone", "order": "700 mg", "frequency": "2 dose/day", "weight": "16 kg"}
    lines = Board("safe-dose-range", given, 1).parts("factors")[-1].lines
    gap = lines[-1].pieces[-1]
    assert gap["gap"] == ANSWER
    assert "Hold it and call: above the range" in gap["choices"]
    assert not any("Hold it" in str(line.pieces) for line in lines[:-1])
    assert Board("safe-dose-range", given, "all").parts("factors")[-1].choices == tuple(gap["choices"])


def test_a_proportion_ends_in_the_amount_for_one() -> None:
    """The x of a rate or a strength is told in its own units."""
    lines = Board("pump-rate", RATE).parts("ratio", filled=True)[0].lines
    assert "x stands for mL in one h. Write that as mL/h." in [line.why for line in lines]


def test_a_dose_by_weight_and_time_is_told_with_both() -> None:
    """mcg/kg/min is an amount for each kg and for each minute: neither is left out of the reason."""
    given = {"medicine": "dobutamine", "rate": "24 mL/h", "weight": "80 kg", "concentration": "500 mg/250 mL"}
    lines = Board("titrated-dose-from-rate", given).parts("factors", filled=True)[0].lines
    assert lines[0].why.startswith("mcg/kg/min means mcg in each kg and each min. So mcg goes above the line.")


@pytest.mark.parametrize("method", METHODS)
def test_a_square_meter_is_no_meter(method: str) -> None:
    """A unit to a power is written with it, canceled or not; the root and its rounding have reasons of their own."""
    given = {"medicine": "doxorubicin", "dose": "50 mg/m2", "height": "162 cm", "weight": "72 kg"}
    board = Board("body-surface-dose", {**given, "strength": "50 mg/25 mL"})
    text = shown(board, method)
    assert '"text": "m2", "struck": true' in text or method != "factors"
    assert '"text": "m2"' in text
    assert '"text": "m"' not in text
    root, rounded, answer = (line.why for line in board.parts(method)[0].lines[-3:])
    assert "square root" in root
    assert "round here" in rounded
    assert "Round once" not in answer


def test_what_is_counted_up_is_not_rounded_to_the_nearest() -> None:
    """2.36 bags are 3 bags: the board says why, and names no rule by which they would be 2."""
    given = {"bolus": "50 mcg/kg", "infusion": "0.375 mcg/kg/min", "weight": "80 kg", "concentration": "0.2 mg/mL"}
    board = Board("bolus-then-infusion", {"medicine": "milrinone", **given, "bag": "100 mL"})
    *_, counted, answer = board.parts("factors")[-1].lines
    assert "2.36" in json.dumps(counted.pieces)
    assert "one more" in counted.why
    assert [piece["words"] for piece in answer.pieces] == ["Answer:", "3"]
    assert "Round" not in answer.why


@pytest.mark.parametrize("gaps", [1, 2])
def test_a_decision_left_open_is_not_told_by_its_reason(gaps: Gaps) -> None:
    """Of what is done and why, a gap asks what is done; its line is left out, and no later part tells it."""
    total = {"oral": "1,300 mg", "iv": "2,000 mg", "dose": "1,000 mg", "allergy": "none known"}
    given = {**total, "today": "May 4, 2026", "expires": "May 31, 2026"}
    parts = Board("decide-daily-maximum", given, gaps).parts("factors")
    assert [part.name for part in parts] == ["total", "act"]
    assert [one.pieces[0].get("words") for one in parts[-1].lines] == ["Answer:"]
    filled = Board("decide-daily-maximum", given, gaps).parts("factors", filled=True)[-1].lines
    assert "So: Hold it and call the prescriber" in str(filled[0].pieces)
    assert filled[0].why.startswith("Compare the number with its limit.")
    assert [part.name for part in Board("decide-daily-maximum", given).parts("factors")] == ["total", "act", "reason"]
