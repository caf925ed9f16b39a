"""The rounding policies that ship, read from `policies/*.toml`.

A policy file gives its own rules and takes the rest from the policy that it is `like`; a `default` rule alone fits
every kind of answer. File format: see `policies/tenths-and-wholes.toml`, on which the others build.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any, Literal

from calclib.errors.messages import BadInput
from calclib.quantity.rounding import IntermediateRule, RoundingBand, RoundingPolicy, RoundingRule
from calclib.quantity.writing import read_number
from calclib.wording.facts import Fact, fact

DEFAULT_POLICY = "by-size"
"""What courses start from."""
BASE_POLICY = "tenths-and-wholes"
"""What the other files build on."""
# What a policy for every answer leaves as it is: times of day, whole things that are counted or left over, limits that
# must not be passed, readings from a scale. What they are makes their rule, not how many digits a course keeps.
KEPT = frozenset(
    {"clock", "count", "full_doses", "whole_tablets", "unscored_tablets", "burnt_area_tens", "device_mark"}
)
KEPT |= {"fastest_rate", "least_time", "least_volume"}

_KEYS = {"name", "version", "title", "says", "source", "like", "mode", "tie", "rule", "intermediate", "equivalences"}
_RULE_KEYS = {"unit", "step", "bands", "mode", "tie", "source", "when"}


def rounding_policy(name: str = DEFAULT_POLICY) -> RoundingPolicy:
    """One rounding policy by name.

    Raises:
        BadInput: if there is none of this name.
    """
    policies = rounding_policies()
    if name not in policies:
        raise BadInput(fact("errors_quantity.no_policy", name=name, known=tuple(policies)))
    return policies[name]


@cache
def rounding_policies() -> Mapping[str, RoundingPolicy]:
    """All rounding policies that ship, by name, the default one first."""
    folder = files("calclib.quantity").joinpath("policies")
    texts = {
        file.name.removesuffix(".toml"): file.read_text(encoding="utf-8")
        for file in folder.iterdir()
        if file.name.endswith(".toml")
    }
    policies = {BASE_POLICY: read_policy(texts.pop(BASE_POLICY), f"{BASE_POLICY}.toml", like={})}
    for name in sorted(texts):
        policies[name] = read_policy(texts[name], f"{name}.toml", like=policies)
    return {DEFAULT_POLICY: policies.pop(DEFAULT_POLICY), **policies}


def read_policy(text: str, where: str, like: Mapping[str, RoundingPolicy] | None = None) -> RoundingPolicy:
    """A rounding policy from TOML text, for a course that has its own.

    Args:
        text: The file's text.
        where: Its name, for messages.
        like: The policies that it may build on; those that ship if None.

    Raises:
        BadInput: if the text is not a policy; names the rule that is wrong.
    """
    known = rounding_policies() if like is None else like
    try:
        data = tomllib.loads(text)
        return _policy(data, known)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(fact("errors.no_toml", error=str(error)), where=where) from None
    except KeyError as error:
        raise BadInput(fact("errors_quantity.policy_lacks", field=error.args[0]), where=where) from None
    except BadInput as error:
        raise BadInput(error.what, where=where) from None


def _policy(data: Mapping[str, Any], known: Mapping[str, RoundingPolicy]) -> RoundingPolicy:
    _refuse_unknown(data, _KEYS, fact("errors_quantity.the_policy"))
    parent = _parent(data, known)
    manner = {key: data[key] for key in ("mode", "tie") if key in data}
    own = {name: _rule(name, {**manner, **rule}, data["source"]) for name, rule in data.get("rule", {}).items()}
    rules = dict(parent.rules) if parent else {}
    if parent and "default" in own:
        rules = {n: rule if n in KEPT else replace(own["default"], name=n) for n, rule in rules.items()}
    elif manner:
        rules = {name: _in_manner(rule, manner) for name, rule in rules.items()}
    intermediate = {
        kind: IntermediateRule(_rule(kind, rule, data["source"]), _when(kind, rule))
        for kind, rule in data.get("intermediate", {}).items()
    }
    inherits = parent is not None and "intermediate" not in data
    return RoundingPolicy(
        name=data["name"],
        title=data["title"],
        says=" ".join(data["says"].split()),
        source=data["source"],
        rules={**rules, **own},
        intermediate=parent.intermediate if parent and inherits else intermediate,
        equivalences={**(parent.equivalences if parent else {}), **_equivalences(data.get("equivalences", {}))},
        version=data["version"],
    )


def _parent(data: Mapping[str, Any], known: Mapping[str, RoundingPolicy]) -> RoundingPolicy | None:
    name = data.get("like")
    if name is None:
        return None
    if name not in known:
        raise BadInput(fact("errors_quantity.no_policy_to_be_like", name=name, known=tuple(known)))
    return known[name]


def _rule(name: str, record: Mapping[str, Any], source: str) -> RoundingRule:
    _refuse_unknown(record, _RULE_KEYS, fact("errors_quantity.rule", name=name))
    if ("step" in record) == ("bands" in record):
        raise BadInput(fact("errors_quantity.step_or_bands", name=name))
    bands = record["bands"] if "bands" in record else [{"step": record["step"]}]
    return RoundingRule(
        name=name,
        unit=record.get("unit", ""),
        bands=tuple(_band(name, band) for band in bands),
        mode=record.get("mode", "nearest"),
        tie=record.get("tie", "half_up"),
        source=record.get("source", source),
    )


def _band(name: str, band: Mapping[str, Any]) -> RoundingBand:
    _refuse_unknown(band, {"below", "step"}, fact("errors_quantity.band_of_rule", name=name))
    below = _number(name, band["below"]) if "below" in band else None
    return RoundingBand(below, _number(name, band["step"]))


def _number(name: str, value: object) -> Fraction:
    if not isinstance(value, str):
        raise BadInput(fact("errors_quantity.number_not_quoted", name=name))
    return read_number(value)


def _in_manner(rule: RoundingRule, manner: Mapping[str, Any]) -> RoundingRule:
    return replace(rule, mode=manner.get("mode", rule.mode), tie=manner.get("tie", rule.tie))


def _when(kind: str, record: Mapping[str, Any]) -> Literal["required", "allowed"]:
    when: Literal["required", "allowed"] = record["when"]
    if when not in ("required", "allowed"):
        raise BadInput(fact("errors_quantity.when_of_intermediate", name=kind, when=repr(when)))
    return when


def _equivalences(record: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    for name, values in record.items():
        if not isinstance(values, list) or not values or not all(isinstance(value, str) for value in values):
            raise BadInput(fact("errors_quantity.equivalences_of_policy", name=name))
        for value in values:
            read_number(value)
    return {name: tuple(values) for name, values in record.items()}


def _refuse_unknown(record: Mapping[str, Any], known: set[str], what: Fact) -> None:
    unknown = sorted(set(record) - known)
    if unknown:
        raise BadInput(
            fact("errors_quantity.unknown_words", what=what, unknown=tuple(unknown), known=tuple(sorted(known)))
        )
