"""Rounding that goes by what is stated: the rate of a high-alert drug, tablets that can't be halved."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from calclib.errors.messages import BadInput
from calclib.formulary.catalogue import drug_named, names_in
from calclib.formulary.records import Kind, Route
from calclib.items.item import Item
from calclib.models.identity import ByIdentity
from calclib.models.model import ItemModel
from calclib.models.stated import Stated
from calclib.quantity.enclosure import Exact, ends
from calclib.quantity.rounding import RoundingPolicy, RoundingRule
from calclib.quantity.writing import has_finite_decimals, write_quantity
from calclib.wording.facts import fact

RATE, HIGH_ALERT_RATE = "pump_rate", "high_alert_rate"
TABLETS, UNSCORED_TABLETS = "tablets", "unscored_tablets"
# A label that says one of these: the tablet is given whole. "scored" alone may be halved, and so may "uncoated".
_WHOLE_ONLY = re.compile(
    r"(?i)(?<![a-z])(?:unscored|(?:not|non)[ -]scored|(?<!not )(?<!non-)coated"
    r"|(?:extended|delayed|modified|sustained)-release)\b"
)

MOST = Fraction(1, 20)
MOST_OF_HIGH_ALERT = Fraction(1, 50)
"""How far a key may be from the exact value, as a share of it: common practice, see the rounding policies."""

# What is counted, timed or read follows its device or its clock, not a share of the value.
UNBOUND = frozenset(
    {
        "burnt_area_tens",
        "capsules",
        "clearance",
        "clock",
        "count",
        "device_mark",
        "drop_rate",
        "duration_h",
        "duration_min",
        "full_doses",
        "least_time",
        "tablets",
        "temperature",
        "unscored_tablets",
        "whole_tablets",
    }
)
ONE, HALF = Fraction(1), Fraction(1, 2)
TENTH, HUNDREDTH = Fraction(1, 10), Fraction(1, 100)
# Half a mark is as near as can be measured or set: below 1 mL in a 1 mL syringe, from there in a 3 mL one.
IN_SYRINGES = frozenset({"injection_volume", "oral_volume"})
MARKS = {
    "small_volume": HUNDREDTH,
    "dose_units": ONE,
    "high_alert_rate": TENTH,
    "pump_rate": TENTH,
    "syringe_pump_rate": TENTH,
}


def rounded_as_stated(model: ItemModel, stated: Mapping[str, Stated], policy: RoundingPolicy) -> ItemModel:
    """Return a model whose parts round as the stated drug and tablets ask; the model itself where nothing does.

    Args:
        model: The item model.
        stated: What is stated, by the givens' names.
        policy: The rounding policy; one without the finer rules rounds as it always did.
    """
    rules = {part.rounding for part in model.parts}
    changed: dict[str, str] = {}
    if RATE in rules and HIGH_ALERT_RATE in policy.rules and is_high_alert(model, stated):
        changed[RATE] = HIGH_ALERT_RATE
    if TABLETS in rules and UNSCORED_TABLETS in policy.rules and _whole_only(model, stated):
        changed[TABLETS] = UNSCORED_TABLETS
    return _with_rules(ByIdentity(model), tuple(changed.items())) if changed else model


def rounded_as_recorded(item: Item, model: ItemModel, policy: RoundingPolicy) -> ItemModel:
    """Return the model of a recorded item with the rounding that its record shows; no formulary is asked again."""
    own = {part.rule.name for part in item.parts if part.rule is not None}
    pairs = ((RATE, HIGH_ALERT_RATE), (TABLETS, UNSCORED_TABLETS))
    changed = tuple((plain, finer) for plain, finer in pairs if finer in own and finer in policy.rules)
    return _with_rules(ByIdentity(model), changed) if changed else model


@lru_cache(maxsize=512)
def _with_rules(key: ByIdentity[ItemModel], changed: tuple[tuple[str, str], ...]) -> ItemModel:
    rules = dict(changed)
    model = key.record
    return replace(
        model, parts=tuple(replace(part, rounding=rules.get(part.rounding, part.rounding)) for part in model.parts)
    )


def is_high_alert(model: ItemModel, stated: Mapping[str, Stated]) -> bool:
    """Tell whether a model's stem, or what it states in words, names a drug that is high-alert by vein."""
    return _names_high_alert(model.stem) or any(
        _names_high_alert(value.text) for name, value in stated.items() if model.givens[name].kind == "text"
    )


def _whole_only(model: ItemModel, stated: Mapping[str, Stated]) -> bool:
    words = (value.text for name, value in stated.items() if model.givens[name].kind == "text")
    return any(_WHOLE_ONLY.search(text) for text in words)


@lru_cache(maxsize=4096)
def _names_high_alert(text: str) -> bool:
    """Whether a published list has a drug that the text names; a figure from memory makes no key finer."""
    drugs = map(drug_named, names_in(text))
    limits = (use.limit(Kind.HIGH_ALERT) for drug in drugs for use in drug.uses if Route.IV in use.routes)
    return any(limit is not None and limit.sourced for limit in limits)


def refuse_split_tablets(rule: RoundingRule, exact: Exact, unit: str) -> None:
    """Refuse a dose of tablets that can't be halved and do not make it whole.

    Raises:
        BadInput: How many tablets it would be.
    """
    if rule.name == UNSCORED_TABLETS and isinstance(exact, Fraction) and exact.denominator != 1:
        about = write_quantity(exact, unit, None if has_finite_decimals(exact) else 3)
        raise BadInput(fact("errors_items.tablets_given_whole", about=about))


def too_far(rule: RoundingRule, key: Fraction, exact: Exact, high_alert: bool) -> bool:
    """Tell whether rounding takes a dose, a volume or a rate too far from the exact value.

    Args:
        rule: The rule by which the key is rounded.
        key: The rounded value, in the unit of the part.
        exact: The value before rounding, in the same unit.
        high_alert: Whether a high-alert drug is given, for which less is allowed.
    """
    if rule.name in UNBOUND:
        return False
    low, high = ends(exact)
    most = MOST_OF_HIGH_ALERT if high_alert else MOST
    off = max(abs(key - low), abs(key - high))
    size = min(abs(low), abs(high))
    return off > max(most * size, HALF * _mark(rule.name, size))


def _mark(rule: str, size: Fraction) -> Fraction:
    """The finest mark, in the rule's unit, of the device that holds or gives so much; 0 where there is none."""
    if rule in IN_SYRINGES:
        return HUNDREDTH if size < ONE else TENTH
    return MARKS.get(rule, Fraction(0))
