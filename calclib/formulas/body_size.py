"""Body mass index and the weights that doses are based on: ideal and adjusted."""

from __future__ import annotations

from typing import Literal, TypeAlias

from calclib.errors.messages import BadInput
from calclib.formulas.constants import constant, in_range, number
from calclib.quantity.enclosure import Exact
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.wording.facts import fact

Sex: TypeAlias = Literal["male", "female"]


def body_mass_index(weight: Quantity, *, height: Quantity) -> Quantity:
    """Body mass index: weight over the square of height.

    Args:
        weight: Body weight [body weight].
        height: Height [length].

    Returns:
        Index in kg/m2 [body weight per area].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg or a height outside 20 to 250 cm.

    Source:
        openstax_pharmacology_2024_weight.

    Notes:
        The source's wording leaves out the square; it is meant, and its own table has it. A weight in lb is converted
        by the registry, 2.2 lb to the kg: for lb and in use `body_mass_index_from_pounds`.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(body_mass_index(quantity("80 kg"), height=quantity("2 m")))
        20 kg/m2
    """
    in_range(height, "height")
    meters = magnitude(height, "m", "height")
    return quantity(in_range(weight, "weight") / (meters * meters), "kg/m2")


def body_mass_index_from_pounds(weight: Quantity, *, height: Quantity) -> Quantity:
    """Body mass index by the shortcut 703 x lb / in2.

    Args:
        weight: Body weight [body weight].
        height: Height [length].

    Returns:
        Index in kg/m2 [body weight per area].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg or a height outside 20 to 250 cm.

    Source:
        openstax_pharmacology_2024_weight (factor); openstax_intermediate_algebra_2020 (examples).

    Notes:
        The source's wording leaves out the square; it is meant.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(f"{body_mass_index_from_pounds(quantity('130 lb'), height=quantity('64 in')):.1f}")
        22.3 kg/m2
    """
    in_range(height, "height")
    in_range(weight, "weight")
    inches = magnitude(height, "in", "height")
    pounds = magnitude(weight, "lb", "weight", "body_weight")
    return quantity(number("bmi_pounds_factor") * pounds / (inches * inches), "kg/m2")


def ideal_body_weight_devine(height: Quantity, *, sex: Sex) -> Quantity:
    """Ideal body weight of an adult: 50 kg (men) or 45.5 kg (women), and 2.3 kg for each inch over 60 in.

    Args:
        height: Height [length].
        sex: "male" or "female".

    Returns:
        Weight in kg [body weight].

    Raises:
        BadInput: for a height under 60 in, for which the formula was not made, or above 96 in; for another `sex`.

    Source:
        devine_1974, pp. 650-655.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(ideal_body_weight_devine(quantity("70 in"), sex="male"))
        73 kg
    """
    over = in_range(height, "adult_height") - magnitude(constant("devine_height"), "in", "height")
    base = magnitude(constant(f"devine_{checked_sex(sex)}"), "kg", "weight")
    return quantity(base + magnitude(constant("devine_per_inch"), "kg/in", "weight per inch") * over, "kg")


def adjusted_body_weight(actual: Quantity, *, ideal: Quantity) -> Quantity:
    """Weight between ideal and actual: ideal plus 0.4 of the excess.

    Args:
        actual: Actual body weight [body weight].
        ideal: Ideal body weight [body weight].

    Returns:
        Weight in kg [body weight].

    Raises:
        BadInput: if a weight is outside 0.3 to 400 kg, or the actual one is below the ideal one.

    Source:
        common_practice.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(adjusted_body_weight(quantity("103 kg"), ideal=quantity("73 kg")))
        85 kg
    """
    heavy, light = in_range(actual, "weight"), in_range(ideal, "weight")
    if heavy < light:
        raise BadInput(fact("errors_formulas.below_ideal_weight", actual=str(actual), ideal=str(ideal)))
    return quantity(light + number("adjusted_weight_share") * (heavy - light), "kg")


def checked_sex(sex: str) -> str:
    """The word itself, if a formula knows it.

    Raises:
        BadInput: for anything but "male" and "female".
    """
    if sex not in ("male", "female"):
        raise BadInput(fact("errors_formulas.sex", sex=sex))
    return sex


def dosing_weight(actual: Quantity, *, ideal: Quantity) -> Quantity:
    """Weight for estimating creatinine clearance: the actual one up to the ideal one, the adjusted one above it.

    Args:
        actual: Actual body weight [body weight].
        ideal: Ideal body weight [body weight].

    Returns:
        Weight in kg [body weight].

    Raises:
        BadInput: if a weight is outside 0.3 to 400 kg.

    Source:
        nhsggc_handbook_2024.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(dosing_weight(quantity("60 kg"), ideal=quantity("73 kg")))
        60 kg
    """
    heavy: Exact = in_range(actual, "weight")
    if heavy <= in_range(ideal, "weight"):
        return quantity(heavy, "kg")
    return adjusted_body_weight(actual, ideal=ideal)
