"""Fluid for burns in the first day."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from calclib.errors.messages import BadInput
from calclib.formulas.constants import constant, in_range, number
from calclib.quantity.enclosure import ends
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.quantity.rounding import RoundingBand, RoundingRule
from calclib.wording.facts import fact

# The rule of ten takes the burnt area to the nearest 10% (kenya_burns_rule_of_ten).
_TO_TENS = RoundingRule(
    "burnt_area", "%TBSA", (RoundingBand(None, Fraction(10)),), "nearest", "half_up", "kenya_burns_rule_of_ten"
)


def burn_fluid(
    weight: Quantity, *, burnt_area: Quantity, rule: Literal["parkland", "modified_brooke"] = "parkland"
) -> Quantity:
    """Fluid for the first 24 h after a burn: 4 mL (Parkland) or 2 mL (modified Brooke) x kg x % of body surface.

    Args:
        weight: Body weight [body weight].
        burnt_area: Burnt part of the body surface, in % as a whole number [burnt area].
        rule: "parkland" or "modified_brooke".

    Returns:
        Volume in mL [volume].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg, an area outside 0 to 100%, or another rule.

    Source:
        army_md0576 (4 mL, halves); j_trauma_rule_of_ten_2010 (2 and 4 mL as bounds).

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(burn_fluid(quantity("70 kg"), burnt_area=quantity("30 %TBSA")))
        8,400 mL
    """
    if rule not in ("parkland", "modified_brooke"):
        raise BadInput(fact("errors_formulas.rule_for_burns", rule=rule))
    per_kg = magnitude(constant(rule), "mL/kg/%TBSA", "rule")
    return quantity(per_kg * in_range(weight, "weight") * in_range(burnt_area, "burnt_area"), "mL")


def burn_fluid_first_rate(total: Quantity, *, since_burn: Quantity) -> Quantity:
    """Rate that gives the first half of the day's fluid by 8 h after the burn.

    Args:
        total: Fluid for 24 h [volume].
        since_burn: Time since the burn, below 8 h [time].

    Returns:
        Rate in mL/h [volume per time].

    Raises:
        BadInput: if 8 h have passed.

    Source:
        army_md0576: half in the first 8 h, a quarter in each following 8 h.

    Notes:
        Time counts from the burn, not from arrival; nothing given before is subtracted.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(burn_fluid_first_rate(quantity("8400 mL"), since_burn=quantity("2 h")))
        700 mL/h
    """
    left = magnitude(constant("burn_first_time"), "h", "time") - magnitude(since_burn, "h", "time since the burn")
    if not left > 0:
        raise BadInput(fact("errors_formulas.first_half_overdue", since_burn=str(since_burn)))
    return quantity(number("burn_first_share") * magnitude(total, "mL", "total") / left, "mL/h")


def burn_fluid_rate_rule_of_ten(weight: Quantity, *, burnt_area: Quantity) -> Quantity:
    """First fluid rate for an adult: 10 mL/h for each % of body surface, 100 mL/h more for each 10 kg above 80 kg.

    Args:
        weight: Body weight [body weight].
        burnt_area: Burnt part of the body surface, in % as a whole number [burnt area].

    Returns:
        Rate in mL/h [volume per time].

    Raises:
        BadInput: for a weight under 40 kg, for which the rule was not made, or an area outside 0 to 100%.

    Source:
        kenya_burns_rule_of_ten.

    Notes:
        The area is taken to the nearest 10%. Only full tens of kg above 80 kg count: the source does not say what a
        part of ten does.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(burn_fluid_rate_rule_of_ten(quantity("100 kg"), burnt_area=quantity("38 %TBSA")))
        600 mL/h
    """
    tens = _TO_TENS.rounded(in_range(burnt_area, "burnt_area"))
    basic = magnitude(constant("rule_of_ten"), "mL/h/%TBSA", "rule") * tens
    heavy = in_range(weight, "rule_of_ten_weight") - magnitude(constant("rule_of_ten_heavy_from"), "kg", "weight")
    if heavy <= 0:
        return quantity(basic, "mL/h")
    full = ends(heavy / magnitude(constant("rule_of_ten_heavy_each"), "kg", "weight"))[0]
    more = magnitude(constant("rule_of_ten_heavy"), "mL/h", "rate") * (full.numerator // full.denominator)
    return quantity(basic + more, "mL/h")
