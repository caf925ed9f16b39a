"""Drawing: the same text gives the same item, anywhere and in any order; a teacher's numbers give the same key."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.errors.messages import BadInput
from calclib.items import draw_item
from calclib.items.stream import ChoiceStream
from calclib.models import item_model
from calclib.models.model import FromRow
from calclib.models.stated import read_stated, restated
from calclib.quantity.equivalences import bridge, equivalences
from calclib.quantity.policies import rounding_policies
from calclib.quantity.units import parse_unit
from tests.items.drawn import A_FIFTH, FULL, MODELS, SEEDS, drawn_items, model, texts

DIGEST = """
import hashlib, json
from calclib.items import draw_item
from calclib.models import bank
names = list(bank())[::{every}]
names = names if {forwards} else names[::-1]
records = {{n: draw_item(bank()[n], "anywhere").to_record() for n in names}}
print(hashlib.sha256(json.dumps(records, sort_keys=True).encode()).hexdigest())
"""


@pytest.mark.parametrize("name", MODELS)
def test_equal_texts_give_equal_items(name: str) -> None:
    """Drawing again, also by the seed that an item carries, gives the same item."""
    for seed, item in zip(SEEDS, drawn_items(name), strict=True):
        assert draw_item(model(name), seed) == item and item.seed == seed


@pytest.mark.parametrize("name", A_FIFTH)
def test_other_seeds_give_other_numbers(name: str) -> None:
    """Of three seeds at least two differ in what the stem states."""
    assert len({draw_item(model(name), seed).in_words for seed in ("first", "second", "third")}) > 1


def test_items_are_the_same_in_every_process() -> None:
    """The draw hangs neither on Python's hash nor on the order in which models are used."""
    digests = set()
    for place, forwards in enumerate((True, False)):
        env = {**os.environ, "PYTHONHASHSEED": str(place)}
        program = DIGEST.format(forwards=forwards, every=1 if FULL else 8)
        done = subprocess.run([sys.executable, "-c", program], env=env, capture_output=True, text=True, check=True)
        digests.add(done.stdout.strip())

    assert len(digests) == 1


@given(st.text(max_size=30), st.lists(st.integers(min_value=1, max_value=5000), min_size=1, max_size=40))
def test_a_stream_of_choices_hangs_on_its_text_alone(text: str, bounds: list[int]) -> None:
    """Equal texts give equal choices, each below its bound."""
    one, other = ChoiceStream(text), ChoiceStream(text)
    chosen = [one.below(bound) for bound in bounds]

    assert chosen == [other.below(bound) for bound in bounds]
    assert all(0 <= place < bound for place, bound in zip(chosen, bounds, strict=True))


def test_choices_are_equally_likely() -> None:
    """Of seven places each is chosen about as often as the others."""
    stream = ChoiceStream("even")
    counts = [0] * 7
    for _ in range(7000):
        counts[stream.below(7)] += 1

    assert all(850 < count < 1150 for count in counts)


@pytest.mark.parametrize("name", MODELS)
def test_a_teachers_numbers_give_the_same_key(name: str) -> None:
    """The numbers of an item, fixed as its stem states them, give that item's keys again."""
    for item in drawn_items(name)[:3]:
        again = draw_item(model(name), "another text", given=texts(item))

        assert [(p.exact, p.answer) for p in again.parts] == [(p.exact, p.answer) for p in item.parts]
        assert again.fair and again.diagnosable and again.stem == item.stem


@pytest.mark.parametrize("name", A_FIFTH)
def test_every_declared_form_gives_the_same_key(name: str) -> None:
    """A given in any form that the model declares leads to the key of the working form."""
    chosen = model(name)
    for item in drawn_items(name)[:2]:
        fixed = texts(item)
        for given_text in item.givens:
            given_model = chosen.givens[given_text.name]
            if given_model.unit is None or isinstance(given_model.forms, FromRow) or given_model.drawn_on:
                continue
            stated = read_stated(given_model, given_text.text)
            for form in given_model.forms:
                other = restated(given_model, stated, form)
                if other is None or other.working != stated.working:
                    continue
                again = draw_item(chosen, "form", given={**fixed, given_text.name: other.text})
                assert [p.exact for p in again.parts] == [p.exact for p in item.parts], other.text
                assert other.text in " ".join((again.in_words, *(p.asked for p in again.parts)))


FINER = {("pump_rate", "high_alert_rate"), ("tablets", "unscored_tablets")}


@pytest.mark.parametrize("name", A_FIFTH)
def test_keys_are_derived_again_under_every_policy(name: str) -> None:
    """Under another policy the same numbers are keyed by that policy's rules."""
    chosen = model(name)
    item = drawn_items(name)[0]
    policies = list(rounding_policies().values())
    for policy in policies[MODELS.index(name) % 4 :: 4]:
        if policy.name == "exact" and any(step.kind in ("root", "power") for step in chosen.steps):
            continue
        other = draw_item(chosen, "policy", policy=policy, given=texts(item))
        assert other.policy_name == policy.name
        for part in other.parts:
            if part.kind not in ("choice", "setup"):
                named = chosen.part(part.name).rounding or "clock"
                assert part.rule is not None
                # A high-alert drug's rate and tablets that can't be halved have rules of their own.
                assert part.rule.name == named or (named, part.rule.name) in FINER
                rule = policy.rule(part.rule.name)
                assert part.exact is not None and part.rule == rule and part.key == rule.rounded(part.exact)


def test_a_policy_that_rounds_before_going_on_changes_the_exact_value() -> None:
    """A rounding that a policy requires on the way is part of the key's path."""
    chosen = item_model("weight-dose-volume")
    fixed = {"weight": "62 lb", "dose": "1.5 mg/kg"}
    early = draw_item(chosen, "policy", policy=rounding_policies()["kilograms-first"], given=fixed)

    assert early.part("amount").exact == Fraction("28.2") * Fraction("1.5")


def test_a_root_needs_a_policy_that_rounds() -> None:
    """Under a policy that never rounds an item with a square root has no key, and that is said."""
    chosen = item_model("body-surface-dose")
    with pytest.raises(BadInput, match="does not round"):
        draw_item(chosen, "root", policy=rounding_policies()["exact"], given={"height": "163 cm", "weight": "70 kg"})


def test_a_stated_conversion_is_the_only_right_one() -> None:
    """A teacher's own value of a conversion is printed, and the key follows it."""
    chosen = item_model("weight-dose-volume")
    ours = draw_item(chosen, "use", given={"weight": "62 lb", "dose": "1.5 mg/kg"})
    theirs = draw_item(chosen, "use", given={"weight": "62 lb", "dose": "1.5 mg/kg"}, use={"lb_per_kg": "2.205"})

    assert "Use 1 kg = 2.2 lb." in ours.stem and "Use 1 kg = 2.205 lb." in theirs.stem
    assert theirs.part("amount").exact == Fraction(62) / Fraction("2.205") * Fraction("1.5")


REFUSED = {
    "unknown name": ({"weigth": "62 lb"}, {}, "has no given"),
    "wrong dimension": ({"weight": "62 mL"}, {}, "weight"),
    "no number": ({"weight": "heavy"}, {}, "weight"),
    "nothing": ({"weight": ""}, {}, "weight"),
    "negative": ({"weight": "-62 lb"}, {}, "weight"),
    "zero": ({"weight": "0 kg"}, {}, "above 0"),
    "endless": ({"weight": "9" * 200 + " kg"}, {}, "weight"),
    "exponent": ({"weight": "1e9 kg"}, {}, "weight"),
    "code": ({"weight": "__import__('os')"}, {}, "weight"),
    "unknown conversion": ({}, {"stones_per_kg": "1"}, "not an equivalence"),
    "a definition": ({}, {"mL_per_L": "999"}, "by definition"),
    "no value": ({}, {"lb_per_kg": "two"}, "lb_per_kg"),
    "a value of zero": ({}, {"lb_per_kg": "0"}, "positive"),
}


@pytest.mark.parametrize(("fixed", "use", "words"), REFUSED.values(), ids=REFUSED.keys())
def test_nonsense_is_refused_in_words(fixed: dict[str, str], use: dict[str, str], words: str) -> None:
    """An unknown name, a wrong dimension or a value that is none is refused, and what is wrong is said."""
    with pytest.raises(BadInput, match=re.escape(words)):
        draw_item(item_model("weight-dose-volume"), "refused", given=fixed, use=use)


@pytest.mark.parametrize("name", MODELS)
def test_what_a_stem_states_can_be_read_again(name: str) -> None:
    """The text of every given that is stated reads back to the same text, in the stem or in a question."""
    chosen = model(name)
    for item in drawn_items(name):
        shown = " ".join((item.in_words, *(p.asked for p in item.parts)))
        assert "{" not in shown and "}" not in shown
        for given_text in item.givens:
            if given_text.role == "hidden" and given_text.name not in chosen.printed:
                continue
            drawn_on = chosen.givens[given_text.name].drawn_on
            assert drawn_on or given_text.text in shown
            assert read_stated(chosen.givens[given_text.name], given_text.text).text == given_text.text


def test_conventions_are_printed_where_sources_differ() -> None:
    """A conversion that is no definition, and of which one value counts, stands in the stem wherever it is used."""
    stating = 0
    for name in MODELS:
        conventions = {stated for stated in model(name).states if not equivalences()[stated].definition}
        for item in drawn_items(name) if conventions else ():
            used = conventions & set(item.equivalences)
            assert all(f"1 {parse_unit(equivalences()[stated].per)}" in item.stem for stated in used), item.stem
            stating += bool(used)
    assert stating >= 15 * len(SEEDS)


def test_a_bridge_is_the_same_in_any_order() -> None:
    """Conversions between units come in the fixed order of the table of units."""
    steps = bridge(parse_unit("mcg/min"), parse_unit("mg/h"))

    assert steps == (("mcg_per_mg", -1), ("min_per_h", 1))


def test_digests_are_those_of_json() -> None:
    """A record serialises the same way each time."""
    item = drawn_items(MODELS[0])[0]
    texts_of = {hashlib.sha256(json.dumps(item.to_record(), sort_keys=True).encode()).hexdigest() for _ in range(3)}

    assert len(texts_of) == 1


@pytest.mark.parametrize(
    ("name", "policy", "title"),
    [
        ("analgesia-review", "whole", "Everything to wholes"),
        ("body-surface-child", "exact", "Nothing is rounded"),
        ("primary-runs-dry", "whole-down", "Everything cut off to wholes"),
    ],
)
def test_a_policy_by_which_nothing_is_fair_is_named(name: str, policy: str, title: str) -> None:
    """Where a policy is too coarse or too fine for an item, one sentence names both, why, and what to do."""
    with pytest.raises(BadInput) as refused:
        draw_item(model(name), "1", policy=rounding_policies()[policy])
    said = refused.value.message

    assert said.startswith(
        f"{name} has no fair draw under the rounding policy {policy} ({title}): choose another policy"
    )
    assert "outside of what the model draws" not in said and said.count("\n") == 0


def test_a_slip_that_changes_nothing_is_no_mistake() -> None:
    """Where nothing is rounded, a slip that leads to the exact answer is none, though its decimals do not end.

    It is then no reason to refuse a draw either: each of twenty texts finds one.
    """
    for seed in range(20):
        item = draw_item(model("overfill-left"), f"s{seed}", policy=rounding_policies()["exact"])

        assert all(fault.value != part.exact for part in item.parts for fault in part.faults if fault.hard)
