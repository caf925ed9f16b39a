"""The form of rate, volume and time, the two bags, and the run of one's own number."""

from __future__ import annotations

import pytest

from calclib.items import draw_item
from calclib.models import item_model
from calclib.widgets.by_hand import by_hand
from calclib.widgets.devices import hang_two_bags, infusion_form, what_your_number_would_do
from calclib.widgets.engine import practice_engine
from calclib.widgets.practice import PracticeBox


def said(rate: str = "", volume: str = "", minutes: str = "", *, drug: int = 0) -> tuple[str, bool, bool]:
    """What the form says of three texts, whether it is a disagreement, and whether a curve is drawn."""
    form = infusion_form(1000, drug=drug)
    form.typed = {"rate": rate, "volume": volume, "minutes": minutes}
    return form.said, form.disagrees, bool(form.curve)


@pytest.mark.parametrize(
    ("texts", "words", "wrong", "runs"),
    [
        (("125 mL/h", "1000 mL", "8 h"), "1,000 mL at 125 mL/h takes 8 h: the three agree.", False, True),
        (("125 mL/h", "1 L", "6 h"), "The three disagree: 1,000 mL at 125 mL/h takes 8 h, not 6 h.", True, False),
        (("125 mL/h", "900 mL", ""), "When it is over, 100 mL is left in the bag.", False, True),
        (("", "1000 mL", "480 min"), "1,000 mL in 8 h is 125 mL/h.", False, True),
        (("2 mL/min", "", "5 h"), "120 mL/h for 5 h delivers 600 mL.", False, True),
        (("125 mL/h", "1500 mL", ""), "When it is over, the bag is empty.", False, True),
        (("125", "1000 mL", ""), "Rate: write the unit too: mL/h.", True, False),
        (("125 mL", "1000 mL", ""), "Rate: enter mL/h, not 125 mL.", True, False),
        (("0 mL/h", "1000 mL", ""), "Rate: enter a number above 0.", True, False),
        (("125 mL/h", "", ""), "Enter at least two of the three", False, False),
        (("", "", ""), "Enter at least two of the three", False, False),
    ],
)
def test_the_form_says_whether_three_numbers_agree(
    texts: tuple[str, str, str], words: str, wrong: bool, runs: bool
) -> None:
    """A sentence for each way to fill it in; an infusion is run only where its numbers hold together."""
    told, disagrees, curve = said(*texts)
    assert words in told
    assert (disagrees, curve) == (wrong, runs)


@pytest.mark.parametrize("text", ["<b>125</b>", "9**9**9", "__import__('os')", "1/0 mL/h", "125 mL/h; 6", "9" * 5000])
def test_no_text_breaks_the_form(text: str) -> None:
    """Whatever is typed, a sentence comes back."""
    told, _, curve = said(text, "1000 mL", "8 h")
    assert told and not curve


def test_the_form_tells_where_the_drug_is() -> None:
    """900 of 1,000 mL run: 450 of 500 mg have arrived."""
    told, _, _ = said("125 mL/h", "900 mL", drug=500)
    assert "450 mg of 500 mg of the drug has reached the patient" in told


def test_a_wrong_answer_is_run_and_a_right_one_is_not() -> None:
    """The box under a check draws what a wrong rate would do; a right one needs no picture."""
    item = draw_item(item_model("pump-rate"), "s1")
    engine = practice_engine()
    wrong, right = (engine.judge(item, {"rate": text})[0] for text in ("53.5 mL/h", item.parts[0].answer))
    run = what_your_number_would_do(item, wrong)
    assert run is not None
    assert "only 428 mL of 800 mL" in run["words"]
    assert run["yours"][-1] == [pytest.approx(800 * 60 / 53.5), 800]
    assert what_your_number_would_do(item, right) is None
    assert what_your_number_would_do(item, engine.judge(item, {"rate": ""})[0]) is None


def told(box: PracticeBox, **content: object) -> dict[str, object]:
    """What a box tells of what its page sends."""
    box._handle_custom_msg({"problem": box.problem["number"], **content}, [])
    return dict(box.told)


def test_a_wrong_number_can_be_run_in_the_box() -> None:
    """A clamp that is set wrong is judged, and its rate is offered to be run; a right or empty answer isn't."""
    box = by_hand("drop-rate", "one")
    play = box.problem["hands"]["state"]["play"]
    hand = {"state": {"mark": play + 5, "touched": True}, "parts": ["drops"]}
    parts = told(box, ask="check", answers={}, setups={}, hand=hand)["parts"]
    assert parts["drops"]["run"] is True  # type: ignore[index]
    run = told(box, ask="run", part="drops")
    assert run["what"] == "run"
    assert str(run["words"]).startswith("At 5 gtt/min ")
    assert str(run["words"]).endswith("A model for learning: it shows the arithmetic, not your patient.")
    parts = told(box, ask="check", answers={"drops": ""}, setups={})["parts"]
    assert parts["drops"]["run"] is False  # type: ignore[index]
    assert told(box, ask="run", part="drops")["what"] == "failed"


def test_the_two_bags_offer_every_step() -> None:
    """Nine steps, and the amounts of the exercise above them."""
    bags = hang_two_bags()
    assert len(bags.steps) == 9
    assert "100 mL with 1,000 mg" in bags.about
