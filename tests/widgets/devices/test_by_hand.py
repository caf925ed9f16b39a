"""What is set by hand is the answer, exactly: judged right on the right mark and wrong one mark off."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
import traitlets
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.models import item_model
from calclib.models.devices import device, devices
from calclib.widgets import draw_up, time_strip
from calclib.widgets.by_hand import by_hand
from calclib.widgets.devices import hands_on
from calclib.widgets.devices.chamber import DripChamber
from calclib.widgets.devices.hands import HandsOn, models_by_hand
from calclib.widgets.devices.scale import Scale, sizes
from calclib.widgets.devices.scaled import ScaledDevice, ScaledState
from calclib.widgets.engine import practice_engine

SEEDS = ["a", "b", "c", "d"]
ENTERED = ["secondary-infusion-entries", "secondary-entries-label-volume"]
ON_A_SCALE = [name for name in models_by_hand() if name not in ("choose-syringe", *ENTERED)]
SCALED = [name for name, of in devices().items() if of.drawn != "chamber"]


def drawn(model: str, seed: str) -> tuple[Item, HandsOn]:
    """A problem and the view of its device."""
    item = draw_item(item_model(model), seed)
    hands = hands_on(item)
    assert hands is not None
    return item, hands


def verdicts(item: Item, answers: dict[str, str]) -> dict[str, str]:
    """What the judge says of each part that was answered."""
    judged = practice_engine().judge(item, {**{part.name: "" for part in item.parts}, **answers})
    return {one.part: one.verdict for one in judged if answers.get(one.part)}


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("model", ON_A_SCALE)
def test_the_right_mark_is_right_and_its_neighbors_are_not(model: str, seed: str) -> None:
    """Every answer of every kind can be set, is judged right, and one mark or drop beside it is judged wrong."""
    item, hands = drawn(model, seed)
    view, part = hands.device, next(iter(hands.texts))
    view.touched = True
    most = view.scale.marks if isinstance(view, ScaledState) else view.most
    found = []
    for mark in range(most + 1):
        view.mark = mark
        if hands.answers()[part] == item.part(part).answer:
            found.append(mark)
    assert len(found) == 1
    view.mark = found[0]
    assert set(verdicts(item, hands.answers()).values()) == {"right"}
    for beside in (found[0] - 1, found[0] + 1):
        if 0 < beside <= most:
            view.mark = beside
            assert "right" not in verdicts(item, hands.answers()).values()


@pytest.mark.parametrize("seed", SEEDS)
def test_a_syringe_is_chosen_by_what_its_part_calls_it(seed: str) -> None:
    """Each syringe that the part offers is drawn, and the one that is taken is the choice."""
    item, hands = drawn("choose-syringe", seed)
    assert sorted(hands.device.labels) == sorted(item.part("syringe").choices)
    hands.device.chosen = hands.device.labels.index(item.part("syringe").answer)
    assert verdicts(item, hands.answers()) == {"syringe": "right"}


@pytest.mark.parametrize("model", models_by_hand())
def test_what_nobody_touched_is_not_answered(model: str) -> None:
    """A device that stands as it was drawn gives no answer."""
    _, hands = drawn(model, "a")
    assert set(hands.answers().values()) == {""}


def test_answers_carry_the_unit_of_the_device() -> None:
    """Mark 21 of a 10 mL syringe is 4.2 mL; of a 100-unit insulin syringe 42 units; of a 30 mL cup, mark 3, 7.5 mL."""
    for name, mark, text in (
        ("syringe_10_mL", 21, "4.2 mL"),
        ("syringe_1_mL", 7, "0.07 mL"),
        ("syringe_3_mL", 12, "1.2 mL"),
        ("syringe_5_mL", 12, "2.4 mL"),
        ("insulin_syringe_100_units", 21, "42 units"),
        ("insulin_syringe_50_units", 21, "21 units"),
        ("medicine_cup_30_mL", 3, "7.5 mL"),
        ("bag_1000_mL", 13, "650 mL"),
    ):
        view = ScaledDevice(device(name))
        view.mark, view.touched = mark, True
        assert view.answer() == text


@given(st.sampled_from(SCALED), st.integers(-5, 500))
def test_a_mark_is_a_whole_number_of_the_scale(name: str, mark: int) -> None:
    """Whatever the page sends, what is set stands on a mark; its value is that many marks, exactly."""
    view = ScaledDevice(device(name))
    view.mark, view.touched = mark, True
    assert view.value == view.mark * device(name).mark
    assert 0 <= view.mark <= Scale(device(name)).marks


@pytest.mark.parametrize("sent", [2.5, "3", None])
def test_a_place_between_marks_is_refused(sent: object) -> None:
    """A number that isn't whole, or no number, never comes through."""
    view = ScaledDevice(device("syringe_3_mL"))
    with pytest.raises(traitlets.TraitError):
        view.mark = sent  # type: ignore[assignment]


def test_words_tell_marks_and_numbers_and_no_value() -> None:
    """Who can't see gets what an eye sees: both edges of a ring that is moved, one place for a line."""
    empty = ScaledDevice(device("syringe_10_mL")).device["words"]
    assert (
        empty[21]
        == "edge nearest the needle 1 small mark past the 4 mark, edge nearest the handle 4 small marks past the 4 mark"
    )
    filled = ScaledDevice(device("syringe_10_mL"), level=Fraction(6)).device["words"]
    assert filled[21] == "1 small mark past the 4 mark"
    assert ScaledDevice(device("syringe_10_mL"), told=True).device["words"][0].endswith(": 0 mL")


def test_the_clamp_does_not_tell_the_rate() -> None:
    """Where the wheel stands isn't the number of drops: the first notches let nothing through."""
    chamber = DripChamber(play=12)
    chamber.mark, chamber.touched = 12, True
    assert chamber.answer() == "0 gtt/min"
    chamber.mark = 43
    assert chamber.answer() == "31 gtt/min"


def test_sizes_are_those_of_devices() -> None:
    """Every size belongs to a device, and the bore that follows from it is one that a hand can hold."""
    assert set(sizes()) <= set(devices())
    bores = {name: ScaledDevice(device(name)).device["bore"] for name in sizes() if "syringe" in name}
    assert all(3 < bore < 16 for bore in bores.values())


def test_a_time_strip_ends_at_the_end_of_the_bag() -> None:
    """Eight hours for 1,000 mL: each hour stands 125 mL below the one before, 2.5 marks of 50 mL."""
    view = time_strip("bag_1000_mL", 8)
    assert [at for at, _ in view.strip] == [0, 2.5, 5, 7.5, 10, 12.5, 15, 17.5, 20]
    assert [words for _, words in view.strip][:3] == ["start", "1 h", "2 h"]


@pytest.mark.parametrize("hours", [0, 25, 2.5])
def test_a_strip_has_whole_hours(hours: object) -> None:
    """One sentence says what hours a strip may have."""
    with pytest.raises(BadInput, match="whole number of hours"):
        time_strip("bag_1000_mL", hours)  # type: ignore[arg-type]


def test_a_kind_without_a_device_is_refused_in_a_sentence() -> None:
    """The sentence names the kinds that there are."""
    with pytest.raises(BadInput, match="draw-up-mark"):
        by_hand("pump-rate")


@pytest.mark.parametrize("model", ENTERED)
def test_what_is_entered_in_the_form_is_the_answer(model: str) -> None:
    """The three fields are the answers of three parts, as they were typed; right ones agree, and nothing is told."""
    item, hands = drawn(model, "a")
    assert set(hands.texts) == {"volume", "rate", "time"}
    keys = {part: item.part(part).answer for part in hands.texts}
    typed = {"volume": keys["volume"], "rate": keys["rate"], "minutes": keys["time"]}
    follows = hands.set({"typed": {**typed, "minutes": ""}})
    assert follows == {"said": "", "disagrees": False, "curve": []}
    hands.set({"typed": typed})
    assert hands.answers() == keys
    assert set(verdicts(item, hands.answers()).values()) == {"right"}


def test_a_form_of_answers_says_when_three_disagree_and_gives_no_number_of_the_key() -> None:
    """125 mL/h for 1,000 mL takes 8 h: entered with 6 h, only what follows from what was entered is said."""
    _, hands = drawn("secondary-infusion-entries", "a")
    follows = hands.set({"typed": {"rate": "125 mL/h", "volume": "1000 mL", "minutes": "6 h"}})
    assert follows["said"] == "The three disagree: 1,000 mL at 125 mL/h takes 8 h, not 6 h."
    assert follows["disagrees"] is True and follows["curve"] == []
    follows = hands.set({"typed": {"rate": "125 mL/h", "volume": "1000 mL", "minutes": "8 h"}})
    assert follows["said"].startswith("The three agree with each other.")
    assert follows["curve"] == [[0, 1000], [480, 0]]


@pytest.mark.parametrize("state", [{"mark": "3"}, {"mark": 2.5}, {"mark": None}, {"touched": "yes"}])
def test_what_cant_be_set_is_refused_in_a_sentence(state: dict[str, object]) -> None:
    """A page that sends something else gets one sentence, and nothing is set."""
    _, hands = drawn("draw-up-mark", "a")
    with pytest.raises(BadInput, match="can't be set"):
        hands.set(state)
    assert set(hands.answers().values()) == {""}


def test_a_page_sets_nothing_but_what_a_hand_sets() -> None:
    """The level of a syringe that is read, and what it is called, stay whatever is sent."""
    _, hands = drawn("read-syringe", "a")
    before = hands.shown()["state"]
    hands.set({"level": 3, "control": "x", "device": {}, "script": "form"})
    assert hands.shown()["state"] == before


def press(box: Any, **content: Any) -> Any:
    """Send what the page sends, and return what is told."""
    box._handle_custom_msg({"problem": box.problem["number"], **content}, [])
    return box.told


def test_what_is_set_is_judged_with_what_is_typed() -> None:
    """In a box, a set part is judged as if typed, a typed part beside it too; one left alone isn't answered."""
    box = by_hand("read-syringe", "one")
    item = box.session.item
    assert item is not None and box.problem["drawings"] == []
    told = press(box, ask="check", answers={}, setups={}, hand={"state": {"mark": 0, "touched": False}, "parts": []})
    assert {part["mark"] for part in told["parts"].values()} == {"Not answered yet."}
    mark = box.problem["hands"]["state"]["level"]
    hand = {"state": {"mark": mark, "touched": True}, "parts": ["reading"]}
    told = press(box, ask="check", answers={"dose": item.part("dose").answer}, setups={}, hand=hand)
    assert told["solved"] is True
    assert told["parts"]["reading"]["read"] == item.part("reading").answer


def test_who_types_instead_is_judged_by_the_text() -> None:
    """A part that isn't given to the device is what its field says, wherever the device stands."""
    box = by_hand("draw-up-mark", "one")
    assert box.session.item is not None
    right = {part.name: part.answer for part in box.session.item.parts}
    told = press(box, ask="check", answers=right, setups={}, hand={"state": {"mark": 1, "touched": True}, "parts": []})
    assert told["solved"] is True


def test_a_new_problem_brings_an_untouched_device() -> None:
    """Nothing that was set for the last problem answers the next."""
    box = by_hand("draw-up-mark", "one")
    press(box, ask="set", state={"mark": 7, "touched": True})
    before = box.problem["stem"]
    press(box, ask="next")
    assert box.problem["stem"] != before
    assert box.problem["hands"]["state"]["mark"] == 0
    told = press(box, ask="check", answers={}, setups={}, hand={"state": {}, "parts": ["volume", "marks"]})
    assert {part["mark"] for part in told["parts"].values()} == {"Not answered yet."}


def test_functions_of_lessons_show_their_device() -> None:
    """What a lesson calls is a practice box with the device in it."""
    assert draw_up(seed="x").problem["hands"]["script"] == "scaled"
