from __future__ import annotations

import json
from fractions import Fraction

import pytest

from calclib.errors.messages import BadInput
from calclib.quantity.equivalences import equivalences, exact_number
from calclib.quantity.policies import DEFAULT_POLICY, KEPT, read_policy, rounding_policies, rounding_policy
from calclib.quantity.rounding import RoundingPolicy
from calclib.sources.catalogue import sources

RULES = set(
    "pump_rate drop_rate oral_volume injection_volume small_volume infusion_volume drug_amount dose_units body_weight"
    " body_surface tablets capsules duration_h duration_min clock hourly_dose per_dose dose_rate concentration count"
    " default".split()
)
KINDS = {"body_weight", "body_surface", "hourly_dose", "per_dose", "flow", "duration_h"}
PLAIN = {"whole": "1", "tenths": "0.1", "hundredths": "0.01", "thousandths": "0.001", "exact": "0"}
PUBLISHED = {
    "by-size",
    "tenths-and-wholes",
    "hundredths-below-one",
    "pump-tenths",
    "kilograms-first",
    "children-cut-off",
    "ties-to-even",
    "wholes-from-ten",
}
HEAD = 'name = "mine"\nversion = 1\ntitle = "Mine"\nsays = "Mine."\nsource = "common_practice"\n'


def test_policies_of_published_conventions_and_plain_ones_ship() -> None:
    """A course finds its convention, and a published example can be keyed again by a plain policy."""
    assert set(rounding_policies()) >= PUBLISHED | set(PLAIN)
    assert next(iter(rounding_policies())) == DEFAULT_POLICY
    assert rounding_policy() == rounding_policy(DEFAULT_POLICY)


@pytest.mark.parametrize("policy", rounding_policies().values(), ids=list(rounding_policies()))
def test_every_policy_has_every_rule_and_sources(policy: RoundingPolicy) -> None:
    """Whatever an item asks, every policy has a rule for it, and every number has a source that is known."""
    named = [policy.source, *(rule.source for rule in policy.rules.values())]
    named += [step.rule.source for step in policy.intermediate.values()]

    assert set(policy.rules) >= RULES
    assert set(policy.rules) == set(rounding_policy().rules)
    assert set(policy.intermediate) <= KINDS
    assert [key for key in named if key not in sources()] == []
    assert policy.title
    assert policy.says.endswith(".")


@pytest.mark.parametrize("policy", rounding_policies().values(), ids=list(rounding_policies()))
def test_equivalences_of_a_policy_are_published_values(policy: RoundingPolicy) -> None:
    """A policy accepts only values that the table of equivalences knows with a source."""
    for name, values in policy.equivalences.items():
        known = [equivalences()[name].value, *(value for value, _ in equivalences()[name].variants)]

        assert [value for value in values if exact_number(value) not in known] == []


@pytest.mark.parametrize("policy", rounding_policies().values(), ids=list(rounding_policies()))
def test_a_policy_survives_its_record(policy: RoundingPolicy) -> None:
    """Written to JSON and read again, a policy is the same."""
    assert RoundingPolicy.from_record(json.loads(json.dumps(policy.to_record()))) == policy


@pytest.mark.parametrize("name", sorted(PLAIN))
def test_plain_policies_round_everything_alike(name: str) -> None:
    """A plain policy has one step for every kind of calculated answer and allows no rounding in between.

    Times of day stay whole minutes, counted things whole, and limits are not passed by rounding.
    """
    policy = rounding_policy(name)

    calculated = [rule for rule in policy.rules.values() if rule.name not in KEPT]
    assert {rule.step_at(Fraction(7)) for rule in calculated} == {Fraction(PLAIN[name])}
    kept = rounding_policy("tenths-and-wholes").rules
    assert {key: policy.rules[key] for key in KEPT} == {key: kept[key] for key in KEPT}
    assert {policy.rule(rule).name for rule in RULES} == RULES
    assert policy.intermediate == {}


@pytest.mark.parametrize(
    ("policy", "rule", "x", "expected"),
    [
        ("tenths-and-wholes", "oral_volume", "13.3333", "13.3"),  # army_md0904, oral liquids
        ("tenths-and-wholes", "injection_volume", "1.25", "1.3"),  # army_md0904
        ("tenths-and-wholes", "injection_volume", "0.25", "0.3"),  # army_md0913
        ("tenths-and-wholes", "small_volume", "0.125", "0.13"),  # army_md0904, heparin
        ("tenths-and-wholes", "drop_rate", "62.5", "63"),  # army_md0904, p. 2-55
        ("tenths-and-wholes", "per_dose", "93.75", "93.8"),  # polk_state_nur1140c
        ("hundredths-below-one", "drop_rate", "34.5", "35"),  # georgia_highlands_rounding
        ("hundredths-below-one", "tablets", "1.5", "1.5"),  # georgia_highlands_rounding
        ("hundredths-below-one", "oral_volume", "0.0467", "0.05"),  # open_rn_nursing_skills
        ("hundredths-below-one", "oral_volume", "17.248", "17.2"),  # open_rn_nursing_skills
        ("pump-tenths", "tablets", "1.45", "1.5"),  # texas_womans_rounding_2005
        ("pump-tenths", "pump_rate", "35.25", "35.3"),
        ("kilograms-first", "oral_volume", "4.82", "4.8"),  # nur246_pediatric_sheet
        ("children-cut-off", "oral_volume", "0.925", "0.92"),
        ("whole-down", "oral_volume", "5.642", "5"),  # openstax_pharmacology_2024
        ("whole-up", "injection_volume", "2.4", "3"),  # who_artesunate_guide
        ("ties-to-even", "oral_volume", "92.85", "92.8"),  # openstax_chemistry_2019
        ("wholes-from-ten", "oral_volume", "12.4", "12"),  # university_rounding_sheet_adults
    ],
)
def test_a_policy_rounds_as_its_source_prints(policy: str, rule: str, x: str, expected: str) -> None:
    """The examples that the sources print come out of the policy that is named for them."""
    assert rounding_policy(policy).rule(rule).rounded(Fraction(x)) == Fraction(expected)


def test_kilograms_first_requires_the_rounding_that_others_only_allow() -> None:
    """40 lb go on as 18.2 kg where the policy says so."""
    required = rounding_policy("kilograms-first").intermediate["body_weight"]

    assert (required.when, required.rule.rounded(Fraction(40) / Fraction("2.2"))) == ("required", Fraction("18.2"))
    assert rounding_policy().intermediate["body_weight"].when == "allowed"


def test_a_course_can_have_its_own_policy() -> None:
    """A policy builds on one that ships and says only where it differs."""
    mine = read_policy(HEAD + 'like = "tenths-and-wholes"\n[rule.pump_rate]\nstep = "0.1"\n', "mine.toml")

    assert mine.rule("pump_rate").step_at(Fraction(5)) == Fraction(1, 10)
    assert mine.rule("drop_rate") == rounding_policy().rule("drop_rate")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('like = "nobody"', "is not a policy"),
        ("[rule.pump_rate]\nstep = 0.1", "write numbers in quotes"),
        ('[rule.pump_rate]\nsteps = "0.1"', "unknown words: steps"),
        ('[rule.pump_rate]\nunit = "mL/h"', "either step or bands"),
        ('[rule.pump_rate]\nstep = "1"\nmode = "sideways"', "mode is one of"),
        ('[intermediate.flow]\nstep = "1"\nwhen = "maybe"', "required or allowed"),
        ('[equivalences]\nlb_per_kg = "2.2"', "list of numbers in quotes"),
        ("color = 3", "unknown words: color"),
        ("= 3", "not TOML"),
    ],
)
def test_a_wrong_policy_is_refused_in_words(text: str, message: str) -> None:
    """A mistake in a policy file is named with the file."""
    with pytest.raises(BadInput, match=message) as caught:
        read_policy(HEAD + text, "mine.toml")
    assert str(caught.value).startswith("mine.toml: ")


def test_unknown_names_are_refused_with_the_known_ones() -> None:
    """A wrong policy or rule name is answered with those there are."""
    with pytest.raises(BadInput, match="tenths-and-wholes"):
        rounding_policy("nobody")
    with pytest.raises(BadInput, match="pump_rate"):
        rounding_policy().rule("nothing")
