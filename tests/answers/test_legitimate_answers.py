"""No legitimate answer is refused, and no hard mistake goes without its name."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.answers import judge_item, marking_policy
from calclib.answers.verdict import RIGHT
from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.models import bank
from calclib.quantity import rounding_policy
from calclib.quantity.units import parse_unit
from calclib.quantity.writing import write_number
from tests.benchmarks.legitimate import legitimate_answers, unit_word
from tests.items.drawn import drawn_items

HOMEWORK = marking_policy("homework")
FEW, MANY = 2, 60


def refused(item: Item) -> list[str]:
    """Legitimate texts that are not judged right."""
    found = []
    for part, text in legitimate_answers(item):
        verdict = next(v for v in judge_item(item, {part: text}, HOMEWORK) if v.part == part)
        if verdict.verdict not in RIGHT:
            found.append(f"{item.seed} {part} {text!r}: {verdict.verdict}")
    return found


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_no_legitimate_answer_is_refused(model_id: str) -> None:
    """The key by each path, in each unit that answers, in harmless spellings, and the exact value more finely."""
    for item in drawn_items(model_id)[:FEW]:
        assert refused(item) == []


@pytest.mark.full
@pytest.mark.parametrize("model_id", sorted(bank()))
def test_no_legitimate_answer_is_refused_in_many_draws(model_id: str) -> None:
    """The same in many draws."""
    for n in range(MANY):
        assert refused(draw_item(bank()[model_id], f"legitimate {n}")) == []


@pytest.mark.parametrize("policy", ["kilograms-first", "children-cut-off", "hundredths", "pump-tenths"])
def test_no_legitimate_answer_is_refused_under_other_policies(policy: str) -> None:
    """Neither where digits are cut off, nor where a rounding on the way is required or allowed."""
    for model in list(bank().values())[::4]:
        try:
            item = draw_item(model, "legitimate", policy=rounding_policy(policy))
        except BadInput:
            continue
        assert refused(item) == []


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_a_hard_mistake_is_named(model_id: str) -> None:
    """The number to which a single hard mistake leads names it; for certain only if nothing else leads there."""
    item = drawn_items(model_id)[0]
    for part in item.parts:
        if part.kind != "quantity" or not part.key:
            continue
        for fault in part.faults:
            written = fault.written
            if not fault.hard or written is None or (written * 10**6).denominator != 1:
                continue
            text = f"{write_number(written)} {unit_word(parse_unit(part.unit))}"
            verdict = next(v for v in judge_item(item, {part.name: text}, HOMEWORK) if v.part == part.name)
            if verdict.verdict != "wrong_with_cause":
                assert verdict.verdict in ("rounded_wrongly", "right_before_rounding"), f"{text}: {verdict.verdict}"
                continue
            named = [cause.fault for cause in verdict.causes]
            assert fault.fault in named or len(named) >= 3, f"{text}: {named}, not {fault.fault}"
            if any(cause.certain for cause in verdict.causes):
                assert len(verdict.causes) == 1


def test_numbers_of_the_stem_are_never_blamed_for_certain() -> None:
    """A number that was copied from the stem as the answer may be any mistake."""
    item = draw_item(bank()["weight-dose-volume"], "copied", given={"weight": "17 kg"})
    verdict = judge_item(item, {"amount": "17 mg"}, HOMEWORK)[0]
    assert not any(cause.certain for cause in verdict.causes)


def test_two_mistakes_are_only_a_question() -> None:
    """Pairs of mistakes fit too many numbers to be told for certain."""
    item = draw_item(
        bank()["drop-rate"], "pairs", given={"volume": "850 mL", "time": "7 h", "drop_factor": "15 gtt/mL"}
    )
    for n in range(100, 1000, 7):
        for cause in judge_item(item, {"drops": f"{n} gtt/min"}, HOMEWORK)[0].causes:
            assert cause.fault != "two mistakes" or not cause.certain
    assert item.parts[0].exact == Fraction(850 * 15, 420)
