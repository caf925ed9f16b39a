"""A set-up as what is asked: any right form counts, what is wrong is named, and later parts go on from it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.answers import hint, judge_item, marking_policies, marking_policy, worked
from calclib.answers.carrying import carried_from
from calclib.answers.feedback.explaining import explained
from calclib.items import Item, draw_item, item_from_record
from calclib.models import item_model, read_item_model
from calclib.models.bank import bank
from calclib.models.model import SETUP
from calclib.quantity import rounding_policy
from calclib.reading import show_answer
from calclib.wording import sentence

MODELS = [model.id for model in bank().values() if any(part.kind == SETUP for part in model.parts)]
HOMEWORK = marking_policy("homework")
OWN_EARLIER = """
[[part]]
name = "amount"
asks = "amount"
asked = "How many mg is the dose?"
unit = "mg"
rounding = "drug_amount"

[[part]]
name = "setup"
"""


def drops(text: str, answer: str = "", marking: str = "homework") -> tuple[str, Fraction, str, Fraction]:
    """Verdict and score of a typed set-up for a drop rate, and of the number after it."""
    model = item_model("setup-drop-rate")
    item = draw_item(model, "1", given={"volume": "1000 mL", "time": "8 h", "drop_factor": "15 gtt/mL"})
    found = judge_item(
        item,
        {"setup": text, "drops": answer},
        marking_policy(marking),
        carried=carried_from(item, model, rounding_policy()),
    )
    return found[0].verdict, found[0].score, found[1].verdict, found[1].score


def test_at_least_three_models_ask_for_a_set_up() -> None:
    """The syllabus has them."""
    assert len(MODELS) >= 3


@pytest.mark.parametrize("name", MODELS)
def test_the_printed_set_up_is_judged_right(name: str) -> None:
    """What an item shows as its set-up is right under every marking policy, for many draws."""
    for number in range(15):
        item = draw_item(item_model(name), f"printed {number}")
        part = next(part for part in item.parts if part.kind == SETUP)
        for marking in marking_policies().values():
            verdict = next(v for v in judge_item(item, {part.name: part.answer}, marking) if v.part == part.name)
            assert (verdict.verdict, verdict.score) == ("right", Fraction(1)), (part.answer, verdict.message)


@pytest.mark.parametrize(
    ("setup", "answer"),
    [
        ("1,000 mL / 8 h x 15 gtt/mL", "1,875 gtt/min"),  # no minutes: 125 x 15
        ("1,000 mL / 8 h x 15 gtt/mL x 60 min/1 h", "112,500 gtt/min"),  # minutes upside down: 125 x 15 x 60
        ("1,000 mL / 8 h x 20 gtt/mL x 1 h/60 min", "42 gtt/min"),  # 41.67
    ],
)
def test_the_number_that_follows_from_a_wrong_set_up_is_marked_once(setup: str, answer: str) -> None:
    """The set-up loses its points; the number worked out from it keeps its own."""
    verdict, score, after, later = drops(setup, answer)
    assert (verdict, score) == ("wrong_with_cause", Fraction(0))
    assert (after, later) == ("carried_forward", Fraction(1))


def test_a_set_up_goes_on_from_an_own_earlier_answer() -> None:
    """A wrong answer that is used in the next set-up is marked where it was made."""
    text = item_model("setup-weight-dose").text.replace('id = "setup-weight-dose"', 'id = "own-set-up"')
    text = text.replace('[[part]]\nname = "setup"\n', OWN_EARLIER.lstrip("\n"), 1)
    model = read_item_model(text, "own.toml")
    given = {"dose": "15 mg/kg", "weight": "44 lb", "strength": "250 mg in 5 mL"}
    item = draw_item(model, "1", given=given)
    from calclib.answers.setups.parts import setups_of

    setups = setups_of(item, model, rounding_policy())
    answers = {"amount": "660 mg", "setup": "660 mg x 5 mL/250 mg"}  # pounds taken for kilograms
    first, second, _ = judge_item(item, answers, HOMEWORK, setups=setups)
    assert (first.verdict, second.verdict, second.score) == ("wrong_with_cause", "carried_forward", Fraction(1))


def test_a_policy_says_what_an_unexplained_set_up_is_worth() -> None:
    """The right number alone is no set-up: nothing in an exam, half at home."""
    assert drops("31.25 gtt/min", marking="strict-exam")[:2] == ("unexplained", Fraction(0))
    assert drops("31.25 gtt/min", marking="homework")[:2] == ("unexplained", Fraction(1, 2))


def test_without_its_model_a_person_looks() -> None:
    """A set-up can't be judged by the record alone; it waits and is not refused."""
    item = draw_item(item_model("setup-drop-rate"), "1")
    lost = item._replace(model_hash="0" * 64)
    found = judge_item(lost, {"setup": item.part("setup").answer}, HOMEWORK)[0]
    assert (found.verdict, found.needs_person) == ("unread", True)


def recorded(name: str) -> Item:
    """An item that went through its record."""
    return item_from_record(draw_item(item_model(name), "recorded").to_record())


@pytest.mark.parametrize("name", MODELS)
def test_hints_give_the_set_up_away_on_the_last_rung_alone(name: str) -> None:
    """What is asked, then the set-up with a gap, then the set-up; the worked solution ends with it."""
    item = recorded(name)
    part = next(part for part in item.parts if part.kind == SETUP)
    assert part.answer not in hint(item, part.name, 1)
    assert "[?]" in hint(item, part.name, 2)
    assert worked(item, part.name).endswith(f"Answer: {part.answer}.")


@pytest.mark.parametrize("name", MODELS)
def test_a_disputed_set_up_is_explained(name: str) -> None:
    """The page says what counts, what was found and why the score."""
    item = recorded(name)
    part = next(part for part in item.parts if part.kind == SETUP)
    verdict = next(v for v in judge_item(item, {part.name: "5 mL"}, HOMEWORK) if v.part == part.name)
    page = "\n".join(map(sentence, explained(item, verdict, HOMEWORK, rounding_policy())))
    for words in ("every set-up of the problem's numbers", part.answer, "Typed: “5 mL”", "Score: 0"):
        assert words in page


def test_an_exam_notebook_shows_how_a_set_up_is_read(capsys: pytest.CaptureFixture[str]) -> None:
    """The check cell needs the reading alone."""
    assert show_answer("answer_1", asked="setup", history=['answer_1 = "1000 mL/8 h x 15 gtt/mL"']) is None
    assert "Read as 1,000 mL ÷ 8 h × 15 gtt/mL" in capsys.readouterr().out
