"""Whatever the reader can return is judged: no reading of any text breaks the judge on any model."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calclib.answers import judge_item, marking_policies
from calclib.answers.carrying import carried_from
from calclib.answers.feedback.messages import shown_words
from calclib.answers.judging import Carried
from calclib.answers.setups.parts import Setups, setups_of
from calclib.answers.units import typed_unit
from calclib.items import Item, draw_item
from calclib.models import bank
from calclib.quantity import rounding_policy
from calclib.reading import Reading, read_answer
from calclib.reading.vocabulary import RATES, SCHEDULES, UNIT_SYMBOLS
from calclib.reading.writing import shown_quantity

# One model of each topic, and those whose answers are of a rarer kind.
RARE = ("infusion-end-time", "safe-dose-range", "body-surface-dose", "strength-in-percent", "fahrenheit-to-celsius")
MODELS = sorted({model.topic: model.id for model in bank().values()}.values())
MODELS += [name for name in (*RARE, "setup-drop-rate", "tubing-drug-left", "pump-rate") if name in bank()]
POLICIES = sorted(marking_policies())


@cache
def drawn(model_id: str) -> tuple[Item, Carried, Setups]:
    """An item of a model with all that judges it."""
    model = bank()[model_id]
    item = draw_item(model, "every reading")
    policy = rounding_policy(item.policy_name)
    return item, carried_from(item, model, policy), setups_of(item, model, policy)


WORDS = ("half", "two and a half", "point five", "a thousand", "½", "1¾", "zero", "twice", "once")
WHOLE = ("1:1,000", "1:0", "0130", "13:30", "noon", "BID", "q12h", "every 8 hours", "1:15 h", "5 mL (4.8)")


@st.composite
def numbers(draw: st.DrawFn) -> str:
    """A number in any form that is read: decimal, fraction with endless decimals, mixed, huge, tiny, words."""
    whole = draw(st.sampled_from([0, 1, 2, 3, 7, 9, 24, 60, 111, 1000, 1001, 25_000, 10**9, 10**15 - 1]))
    over = draw(st.sampled_from([1, 2, 3, 6, 7, 9, 24, 999, 1001, 10**6 + 3]))
    form = draw(st.integers(0, 9))
    grouped = f"{whole:,}"
    forms = [
        str(whole),
        grouped,
        f"{grouped}.{draw(st.sampled_from(['0', '5', '05', '125', '99999']))}",
        f"{grouped}/{over:,}",
        f"{grouped} {min(over - 1, 2)}/{over}" if over > 1 else grouped,
        f"-{grouped}",
        f"-{grouped}/{over}",
        f"{whole % 1000} x 10^{draw(st.integers(-12, 12))}",
        draw(st.sampled_from(WORDS)),
        draw(st.sampled_from(WHOLE)),
    ]
    return forms[form]


UNITS = st.sampled_from(sorted(UNIT_SYMBOLS | {"square meters", "sq m", "c", "pill", "M", "°F", "mL/h", "mcg/kg/min"}))
TOGETHER = st.lists(UNITS, max_size=3).map("/".join) | st.sampled_from(sorted(set(RATES) | SCHEDULES))
WRITTEN = st.builds("{} {}".format, numbers(), TOGETHER)
SUMS = st.builds("{}{}{}".format, WRITTEN, st.sampled_from([" / ", " x ", " + ", " = ", " ≈ ", "; "]), WRITTEN)
TEXTS = numbers() | WRITTEN | SUMS | st.text(max_size=30)


@pytest.mark.parametrize("model_id", MODELS)
@given(text=TEXTS, policy=st.sampled_from(POLICIES))
@settings(max_examples=25, deadline=None)
def test_whatever_is_typed_is_judged(model_id: str, text: str, policy: str) -> None:
    """In every part, by every marking policy: a verdict, a score between 0 and 1, and words that can be shown."""
    item, carried, setups = drawn(model_id)
    answers = {part.name: text for part in item.parts}
    for verdict in judge_item(item, answers, marking_policies()[policy], carried=carried, setups=setups):
        assert verdict.verdict != "not_judged"
        assert 0 <= verdict.score <= 1
        assert verdict.message
        if isinstance(verdict.reading, Reading):
            assert shown_words(verdict.reading)


FRACTIONS = st.builds(Fraction, st.integers(-(10**15), 10**15), st.integers(1, 10**15))
POWERS = st.lists(st.tuples(st.sampled_from(sorted(UNIT_SYMBOLS)), st.sampled_from([-2, -1, 1, 2])), max_size=5)


@given(
    value=FRACTIONS, powers=POWERS, asked=st.sampled_from(sorted({p.unit for m in MODELS for p in drawn(m)[0].parts}))
)
def test_every_value_and_unit_can_be_shown_and_compared(
    value: Fraction, powers: list[tuple[str, int]], asked: str
) -> None:
    """Any exact number with any unit words, whether a text leads to it or not."""
    unit = tuple(dict(powers).items())
    reading = Reading("typed", value, None, unit, None, None, (), shown_quantity(value, unit))
    assert shown_words(reading)
    assert typed_unit(unit, asked, ()).status in ("same", "other", "missing", "wrong")


@given(TEXTS)
def test_the_forms_are_read_or_refused_alike_with_the_problem_known(text: str) -> None:
    """What the problem says makes a text read that was unread; it never changes what is read without it."""
    from calclib.answers.typed_reading import read_part

    for model_id in ("pump-rate", "strength-in-percent", "infusion-end-time"):
        item = drawn(model_id)[0]
        alone = read_answer(text, item.parts[0].kind)
        if isinstance(alone, Reading):
            assert read_part(item, item.parts[0], text) == alone
