"""Answers that are right only by a legitimate way which does not lead to the key, on numbers that a teacher fixed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from calclib.answers import PartVerdict, judge_item, marking_policy
from calclib.answers.feedback.explaining import explained
from calclib.answers.verdict import ANOTHER_PATH
from calclib.items import Item, draw_item
from calclib.models import bank, item_model
from calclib.quantity import rounding_policy
from calclib.wording import fact, sentence

HOMEWORK = marking_policy("homework")
DEFAULT = "tenths-and-wholes"


def bolus() -> Item:
    """20 mL/kg for 23 lb, of which the weight is 10.4545... kg, or 10.5 kg where it is rounded first."""
    given = {"weight": "23 lb", "dose": "20 mL/kg", "time": "30 min"}
    return draw_item(item_model("fluid-bolus"), "a", policy=rounding_policy(DEFAULT), given=given)


def judged(item: Item, typed: str) -> PartVerdict:
    """The verdict on the first part."""
    return judge_item(item, {item.parts[0].name: typed}, HOMEWORK)[0]


def test_numbers_on_which_ways_differ_say_so_and_accept_each() -> None:
    """The item is not fair, and each way's answer is accepted with its words."""
    item = bolus()
    assert not item.fair
    assert {str(a.low): a.by for a in item.parts[0].accepted} == {
        "209": fact("way.exact"),
        "210": fact("way.allowed", steps=(fact("way.rounded_first", phrase="body weight"),)),
    }


@pytest.mark.parametrize(
    ("typed", "verdict", "noticed"),
    [
        ("209 mL", "right", False),
        ("210 mL", "right", True),
        ("0.21 L", "right_in_another_unit", True),
        ("210", "unit_missing", True),
        ("209.1 mL", "right_before_rounding", False),
        ("209.09 mL", "right_before_rounding", False),
        ("210.0 mL", "right", True),
        ("460 mL", "wrong_with_cause", False),
    ],
)
def test_only_an_answer_by_the_other_way_has_the_notice(typed: str, verdict: str, noticed: bool) -> None:
    """The key and its finer digits have none, the other way's answer has it in every unit."""
    found = judged(bolus(), typed)
    assert found.verdict == verdict
    assert (ANOTHER_PATH in dict(found.notices)) == noticed
    assert ("Your way was: body weight rounded first." in found.message) == noticed


def test_a_converted_answer_by_the_other_way_is_not_said_to_be_the_key() -> None:
    """0.21 L is 210 mL, and the key is 209 mL."""
    assert "is 209 mL. The question" not in judged(bolus(), "0.21 L").message


def test_the_notice_costs_what_the_marking_policy_says() -> None:
    """Nothing in the policies that ship; a share where faculty wants it so."""
    item, part = bolus(), bolus().parts[0].name
    assert judged(item, "210 mL").score == 1
    dear = replace(HOMEWORK, another_path_costs=Fraction(1, 4))
    assert judge_item(item, {part: "210 mL"}, dear)[0].score == Fraction(3, 4)
    assert judge_item(item, {part: "209 mL"}, dear)[0].score == 1


def test_an_explained_mark_says_which_way_it_was() -> None:
    """The page names the other way and no unsafe notation."""
    found = explained(bolus(), judged(bolus(), "210 mL"), HOMEWORK, rounding_policy(DEFAULT))
    lines = tuple(map(sentence, found))
    text = "\n".join(lines)
    assert "It is right only by another way that the rounding policy tenths-and-wholes allows" in text
    assert "It agrees with: body weight rounded first." in text
    assert "Unsafe notation" not in text


@pytest.mark.parametrize("model", sorted(bank())[::20])
def test_a_drawn_item_never_needs_the_notice(model: str) -> None:
    """A draw is used only where every legitimate way leads to the key."""
    item = draw_item(item_model(model), "another path")
    assert item.fair
    for part in item.parts:
        assert all(accepted.low == part.key for accepted in part.accepted)


def test_an_explained_mark_is_worded_plainly() -> None:
    """Units are words; a share of nothing or of all, and notation that costs nothing, are said so."""
    item = bolus()
    policy = rounding_policy(DEFAULT)
    free = "\n".join(map(sentence, explained(item, judged(item, "209 ml"), marking_policy("first-practice"), policy)))
    assert "such an answer is worth all of the points." in free
    assert "Unsafe notation costs nothing by this policy; it is only said." in free
    assert "takes off 0" not in free
    wrong = "\n".join(map(sentence, explained(item, judged(item, "460 mL"), HOMEWORK, policy)))
    assert "such an answer is worth no points." in wrong
