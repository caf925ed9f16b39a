"""Marking policies: what each verdict and notice is worth."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.answers.verdict import VERDICTS
from calclib.errors.messages import BadInput
from calclib.quantity.writing import read_number
from calclib.wording.facts import fact

FAILS = ("nothing", "part", "exam")


@dataclass(frozen=True)
class MarkingPolicy:
    """What verdicts and notices are worth.

    Args:
        name: Its name.
        title: A few words.
        says: The policy in a sentence, for faculty and students.
        source: Who says so.
        worth: The share of the points for each verdict, 0 to 1.
        joint_commission_costs: The share that an item of the Joint Commission's list costs.
        other_notice_costs: The share that another unsafe way of writing costs.
        critical_factor: How many times too large or too small an answer is critical.
        critical_fails: What a critical error fails: nothing, part or exam.
        another_path_costs: The share that it costs to be right only by a path that does not lead to the key.
    """

    name: str
    title: str
    says: str
    source: str
    worth: Mapping[str, Fraction]
    joint_commission_costs: Fraction
    other_notice_costs: Fraction
    critical_factor: Fraction
    critical_fails: str
    another_path_costs: Fraction = Fraction(0)


@cache
def marking_policies() -> Mapping[str, MarkingPolicy]:
    """Return the marking policies that ship, by name."""
    folder = files("calclib.answers").joinpath("marking")
    found = [
        read_marking_policy(file.read_text(encoding="utf-8"), file.name)
        for file in sorted(folder.iterdir(), key=lambda f: f.name)
        if file.name.endswith(".toml")
    ]
    return {policy.name: policy for policy in found}


def marking_policy(name: str) -> MarkingPolicy:
    """Return one marking policy.

    Raises:
        BadInput: There is none of that name.
    """
    policies = marking_policies()
    if name not in policies:
        raise BadInput(fact("errors_answers.no_marking_policy", name=name, known=tuple(policies)))
    return policies[name]


def read_marking_policy(text: str, where: str) -> MarkingPolicy:
    """Return the marking policy that a TOML text describes.

    Args:
        text: The text of the file.
        where: The file's name, for messages.

    Raises:
        BadInput: The text is no TOML, or a field is missing or wrong.
    """
    try:
        data: Mapping[str, Any] = tomllib.loads(text)
        shares = {**_since_recorded(data["worth"]), **data["worth"]}
        worth = {verdict: _share(shares[verdict], verdict, where) for verdict in VERDICTS}
        notices, critical = data["notices"], data["critical"]
        policy = MarkingPolicy(
            _words(data["name"], "name", where),
            _words(data["title"], "title", where),
            _words(data["says"], "says", where),
            _words(data["source"], "source", where),
            worth,
            _share(notices["joint_commission"], "joint_commission", where),
            _share(notices["other"], "other", where),
            _number(critical["factor"], "factor", where),
            critical["fails"],
            _share(notices.get("another_path", "0"), "another_path", where),
        )
    except tomllib.TOMLDecodeError as error:
        raise BadInput(fact("errors.no_toml", error=str(error)), where=where) from None
    except (KeyError, TypeError) as error:
        raise BadInput(fact("errors_answers.field_missing", error=str(error)), where=where) from None
    extra = set(data["worth"]) - set(VERDICTS)
    if extra:
        raise BadInput(fact("errors_answers.no_verdict", name=min(extra), known=tuple(VERDICTS)), where=where)
    if policy.critical_fails not in FAILS or policy.critical_factor <= 1:
        raise BadInput(fact("errors_answers.critical", known=tuple(FAILS)), where=where)
    return policy


def _since_recorded(worth: Mapping[str, Any]) -> dict[str, Any]:
    """What a policy is taken to say of verdicts that are younger than it: one that was recorded doesn't know them."""
    return {
        "unexplained": "0",
        "repeats_the_order": "0",
        "not_judged": "0",
        "not_the_unit_asked": worth["rounded_wrongly"],
    }


def _words(text: object, name: str, where: str) -> str:
    if not isinstance(text, str) or not text.strip():
        raise BadInput(fact("errors_answers.no_words", name=name, text=repr(text)), where=where)
    return text


def _number(text: object, name: str, where: str) -> Fraction:
    try:
        return read_number(str(text))
    except BadInput as error:
        raise BadInput(fact("errors_answers.number_of_policy", name=name, what=error.what), where=where) from None


def _share(text: object, name: str, where: str) -> Fraction:
    value = _number(text, name, where)
    if not 0 <= value <= 1:
        raise BadInput(fact("errors_answers.no_share", name=name, text=str(text)), where=where)
    return value
