"""The judge: verdicts by precedence, their worth, and what is always flagged."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import VERDICTS, PartVerdict, explained, judge_item, marking_policies, marking_policy
from calclib.answers.carrying import carried_from
from calclib.answers.setups.parts import setups_of
from calclib.answers.verdict import ANOTHER_PATH
from calclib.errors import BadInput
from calclib.items import Item, draw_item, item_from_record
from calclib.models import bank, item_model
from calclib.quantity import rounding_policy
from calclib.wording import sentence
from tests.items.drawn import drawn_items

TABLE = tomllib.loads((Path(__file__).parent / "verdicts.toml").read_text(encoding="utf-8"))["problem"]
ROWS = [pytest.param(n, row, id=f"{n}-{row['typed']!a}") for n, p in enumerate(TABLE) for row in p["rows"]]
HOMEWORK = marking_policy("homework")


@cache
def problem_item(number: int) -> Item:
    """The item of one problem of the table."""
    return draw_item(item_model(TABLE[number]["item"]), "verdict", given=TABLE[number]["given"])


def verdict_on(item: Item, text: str, part: str = "", marking: str = "homework") -> PartVerdict:
    """The verdict on one text."""
    name = part or item.parts[0].name
    return next(v for v in judge_item(item, {name: text}, marking_policy(marking)) if v.part == name)


@pytest.mark.parametrize(("number", "row"), ROWS)
def test_an_answer_gets_the_verdict_that_the_table_decides(number: int, row: dict[str, Any]) -> None:
    """Verdict, worth, cause and flag of each text are those decided by hand."""
    verdict = verdict_on(problem_item(number), row["typed"])
    assert verdict.verdict == row["verdict"], verdict.message
    assert verdict.score == Fraction(row["score"])
    assert row.get("says", "") in verdict.message
    assert "critical" not in row or verdict.critical == row["critical"]
    assert "cause" not in row or row["cause"] in [cause.fault for cause in verdict.causes]
    assert "notice" not in row or row["notice"] in [rule for rule, _ in verdict.notices]


@pytest.mark.parametrize(("number", "row"), ROWS)
def test_a_recorded_item_is_judged_alike(number: int, row: dict[str, Any]) -> None:
    """What is sealed as JSON gives the same verdict in every field."""
    item = problem_item(number)
    again = item_from_record(json.loads(json.dumps(item.to_record())))
    assert verdict_on(again, row["typed"]) == verdict_on(item, row["typed"])


def test_every_verdict_is_in_the_table() -> None:
    """The table leaves out only what needs two parts, and an error of the program."""
    shown = {row["verdict"] for problem in TABLE for row in problem["rows"]}
    assert shown == set(VERDICTS) - {"carried_forward", "not_judged"}


@pytest.mark.parametrize("typed", ["107", "107.1 mL/h", "108 mL/h", "107 mL", "0.107 L/h", "64.3 mL/h", ""])
def test_each_marking_policy_gives_a_verdict_its_own_worth(typed: str) -> None:
    """A policy decides only what a verdict is worth, never the verdict."""
    verdicts = [(p, verdict_on(problem_item(0), typed, marking=p.name)) for p in marking_policies().values()]
    assert len({verdict.verdict for _, verdict in verdicts}) == 1
    assert all(
        verdict.score == min(policy.worth[verdict.verdict], policy.worth["right_before_rounding"])
        if typed == "107.1"
        else verdict.score == policy.worth[verdict.verdict]
        for policy, verdict in verdicts
    )


def test_a_slip_without_its_unit_is_worth_no_more_than_the_slip() -> None:
    """Leaving out the unit never earns more than saying it."""
    item = problem_item(0)
    for policy in marking_policies():
        with_unit, without = (verdict_on(item, t, marking=policy) for t in ("110 mL/h", "110"))
        assert without.score <= with_unit.score


def test_a_notation_of_the_joint_commission_costs_what_the_policy_says() -> None:
    """Listed notation costs marks, is named with its source, and never makes a right answer wrong."""
    verdict = verdict_on(problem_item(1), "325.0 mg", marking="strict-exam")
    assert (verdict.verdict, verdict.score) == ("right", Fraction(3, 4))
    assert all(source for _, source in verdict.notices)
    assert verdict_on(problem_item(1), "325.0 mg", marking="first-practice").score == 1


def test_a_critical_error_fails_what_the_policy_says() -> None:
    """A ten-fold error is flagged under every policy, and fails the exam under the strict one."""
    fails = {name: verdict_on(problem_item(0), "1070 mL/h", marking=name) for name in marking_policies()}
    assert all(verdict.critical and verdict.score == 0 for verdict in fails.values())
    assert {name: verdict.fails for name, verdict in fails.items()} == {
        "strict-exam": "exam",
        "homework": "part",
        "first-practice": "nothing",
    }


def unsafe_order() -> Item:
    """An order outside its limits."""
    for n in range(100):
        item = draw_item(item_model("safe-dose-range"), f"unsafe {n}")
        if item.part("verdict").accepted_choice != item.part("verdict").proceed:
            return item
    raise AssertionError


def test_going_ahead_with_an_unsafe_order_is_critical() -> None:
    """Giving it is flagged also where it follows from the student's own wrong limits."""
    item, model, policy = unsafe_order(), item_model("safe-dose-range"), rounding_policy()
    part = item.part("verdict")
    assert part.proceed is not None
    assert verdict_on(item, part.proceed, "verdict").critical
    carried = carried_from(item, model, policy)
    answers = {"least": "0.1 mg", "most": "90,000 mg", "verdict": part.proceed}
    last = judge_item(item, answers, HOMEWORK, carried=carried)[-1]
    assert (last.verdict, last.critical, last.score) == ("carried_forward", True, 0)


def test_holding_a_safe_order_is_wrong_and_not_critical() -> None:
    """Only going ahead can harm."""
    for n in range(100):
        item = draw_item(item_model("safe-dose-range"), f"safe {n}")
        part = item.part("verdict")
        if part.accepted_choice == part.proceed:
            other = next(choice for choice in part.choices if choice != part.proceed)
            assert not verdict_on(item, other, "verdict").critical
            return
    raise AssertionError


def tubing() -> Item:
    """Two parts, the second a difference of the first."""
    given = {"amount": "2000 mg", "total": "115 mL", "tubing": "16 mL"}
    return draw_item(item_model("tubing-drug-left"), "carried", given=given, policy=rounding_policy("tenths-down"))


def test_a_wrong_part_is_carried_forward_with_an_earlier_one_as_it_was_rounded() -> None:
    """107.4 mL is entered as 107 mL, which runs 39.39 min at a wrong 163 mL/h; 107.4 mL would run 39.53 min."""
    model = item_model("secondary-infusion-entries")
    given = {"bag": "100 mL", "added": "7.4 mL", "time": "45 min"}
    item = draw_item(model, "rounded", given=given)
    answers = {"volume": "107 mL", "rate": "163 mL/h", "time": "39 min"}
    carried = carried_from(item, model, rounding_policy(item.policy_name))
    verdicts = [one.verdict for one in judge_item(item, answers, HOMEWORK, carried=carried)]
    assert (verdicts[0], verdicts[1][:5], verdicts[2]) == ("right", "wrong", "carried_forward")


def test_a_wrong_part_is_carried_forward_and_marked_once() -> None:
    """A later part is judged from the student's own value; without the model it is judged by the key."""
    item, model = tubing(), item_model("tubing-drug-left")
    carried = carried_from(item, model, rounding_policy("tenths-down"))
    answers = {"left": "160 mg", "received": "1,840 mg"}
    first, second = judge_item(item, answers, HOMEWORK, carried=carried)
    assert (first.verdict.startswith("wrong"), second.verdict, second.score) == (True, "carried_forward", 1)
    assert judge_item(item, answers, HOMEWORK)[1].score == 0


def test_a_rounded_right_answer_may_be_used_for_the_next_part() -> None:
    """2,000 - 278.2 is right although the exact difference, cut off, is 1,721.7; the notice says that ways differ."""
    item, model = tubing(), item_model("tubing-drug-left")
    carried = carried_from(item, model, rounding_policy("tenths-down"))
    first, second = judge_item(item, {"left": "278.2 mg", "received": "1,721.8 mg"}, HOMEWORK, carried=carried)
    assert (first.verdict, second.verdict, second.score) == ("right", "right", 1)
    assert [rule for rule, _ in second.notices] == [ANOTHER_PATH]
    assert "1,721.7 mg" in second.message


def test_another_rounding_policy_re_keys_the_same_draw() -> None:
    """The numbers stay, the key and the printed rule change, and each key is right under its own policy alone."""
    given = {"volume": "750 mL", "time": "7 h"}
    keys = {}
    for name in ("tenths-and-wholes", "pump-tenths"):
        item = draw_item(item_model("pump-rate"), "1", given=given, policy=rounding_policy(name))
        keys[name] = (item.parts[0].answer, item.parts[0].rule_text)
        assert verdict_on(item, item.parts[0].answer).verdict == "right"
    assert keys["tenths-and-wholes"][0] == "107 mL/h"
    assert keys["pump-tenths"][0] == "107.1 mL/h"
    assert keys["tenths-and-wholes"][1] != keys["pump-tenths"][1]


def test_a_part_that_the_item_does_not_have_is_refused() -> None:
    """One sentence names the parts that there are."""
    with pytest.raises(BadInput, match="it has rate"):
        judge_item(problem_item(0), {"speed": "1"}, HOMEWORK)


@pytest.mark.parametrize("marking", ["strict-exam", "homework", "first-practice"])
@pytest.mark.parametrize("typed", ["107 mL/h", "107.0 mL/h", "1070 mL/h", "0,5", "", "108"])
def test_a_disputed_mark_is_explained_in_plain_words(typed: str, marking: str) -> None:
    """The page holds the text as typed, the accepted answer with its way, the policies with sources, and the score."""
    item, policy = problem_item(0), rounding_policy()
    verdict = verdict_on(item, typed, marking=marking)
    found = explained(item, verdict, marking_policy(marking), policy, ruling="Stays.", worked_lines=("a", "b"))
    lines = tuple(map(sentence, found))
    page = "\n".join(lines)
    for words in (item.stem, "107 mL/h", "rounded once at the end", policy.title, "Score:", "Stays."):
        assert words in page
    assert typed in page
    assert "_" not in page


def test_a_set_up_typed_as_an_answer_shows_its_mistake() -> None:
    """Arithmetic with units that comes out wrong is looked at factor by factor; a right one needs no look."""
    item, model = problem_item(2), item_model("drop-rate")
    setups = setups_of(item, model, rounding_policy())
    typed = {
        "1000 mL / 8 h x 15 gtt/mL / 100 min/h": ("wrong_with_cause", "1 h = 60 min"),
        "1000 mL / 480 min x 12 gtt/mL": ("wrong_with_cause", "drop factor"),
        "1000 mL / 480 min x 15 gtt/mL": ("right_before_rounding", ""),
    }
    for text, (verdict, what) in typed.items():
        found = judge_item(item, {"drops": text}, HOMEWORK, setups=setups)[0]
        assert found.verdict == verdict, found.message
        assert not what or [(c.fault, c.given) for c in found.causes] == [("set-up", what)]


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_no_earlier_answer_stops_the_judge(model_id: str) -> None:
    """Later parts get a verdict whatever was answered before, also where no table or device holds such a value."""
    model = bank()[model_id]
    item = drawn_items(model_id)[0]
    carried = carried_from(item, model, rounding_policy())
    for number in ("0", "0.001", "7", "123", "999,999"):
        answers = {part.name: f"{number} {part.unit}" for part in item.parts}
        assert len(judge_item(item, answers, HOMEWORK, carried=carried)) == len(item.parts)


def test_an_item_is_carried_forward_by_the_model_of_its_own_text_alone() -> None:
    """A model of another text, though of the same id and version, re-keys nothing."""
    model = item_model("weight-dose-volume")
    item = draw_item(model, "own text")
    assert carried_from(item, model, rounding_policy()) is not None
    assert carried_from(item, replace(model, hash="0" * 64), rounding_policy()) is None


CARRIED = draw_item(
    item_model("secondary-infusion-entries"), "carried", given={"bag": "50 mL", "added": "20 mL", "time": "35 min"}
)
"""70 mL at 120 mL/h for 35 min; from 50 mL, without what was added, the rate is 50 mL x 60 / 35 = 85.7 mL/h."""


def both(item: Item, volume: str, rate: str) -> tuple[PartVerdict, PartVerdict]:
    """The verdicts on volume and rate, judged with what is carried forward."""
    carried = carried_from(item, item_model(item.model_id), rounding_policy("by-size"))
    found = judge_item(item, {"volume": volume, "rate": rate}, HOMEWORK, carried=carried)
    return next(v for v in found if v.part == "volume"), next(v for v in found if v.part == "rate")


def test_a_right_consequence_of_a_wrong_answer_says_that_it_goes_on_from_it() -> None:
    """Not from a right answer that was rounded."""
    volume, rate = both(CARRIED, "50 mL", "86 mL/h")
    assert volume.verdict == "wrong_with_cause"
    assert (rate.verdict, rate.accepted_by.kind) == ("carried_forward", "way.own_marked")


@pytest.mark.parametrize("typed", ["12 mL/h", "200 mL/h", "70 mL/h", "35 mL/h"])
def test_whatever_does_not_follow_from_the_wrong_answer_stays_wrong(typed: str) -> None:
    """A wrong answer before it excuses nothing."""
    _, rate = both(CARRIED, "50 mL", typed)
    assert rate.verdict in ("wrong", "wrong_with_cause")
    assert rate.score == 0


def test_going_ahead_is_critical_only_where_the_order_must_be_held() -> None:
    """The same choice, once for a syringe that holds the ordered dose and once for one that doesn't."""
    seen = set()
    for seed in range(12):
        item = draw_item(item_model("drawn-dose-check"), str(seed))
        part = item.part("check")
        assert part.proceed is not None
        sound = part.accepted_choice == part.proceed
        found = verdict_on(item, part.proceed, "check")
        assert found.critical is not sound
        assert (found.score == 1) is sound
        seen.add(sound)
    assert seen == {True, False}
