"""What to give for an ordered dose: from the strength on hand, from weight, from body surface, in divided doses."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.formulas.constants import in_range, positive
from calclib.quantity.registry import Quantity, measures, quantity
from calclib.wording.facts import fact

_AMOUNTS = ("mg", "units", "mEq", "mmol")
_COUNTED = ("tab", "cap", "puff", "vial")


def amount_to_give(ordered: Quantity, *, on_hand: Quantity, in_each: Quantity) -> Quantity:
    """Amount to give: dose ordered over dose on hand, times the quantity that holds it (D/H x Q).

    Args:
        ordered: Dose ordered [drug mass, units, mEq or mmol].
        on_hand: Dose on hand [as `ordered`].
        in_each: Quantity that holds the dose on hand [volume, tablets, capsules, ...].

    Returns:
        Amount to give, in the unit of `in_each` [as `in_each`].

    Raises:
        BadInput: if the two doses measure different things, or one is not above zero.

    Source:
        openstax_pharmacology_2024, sec. 2.4.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(amount_to_give(quantity("250 mg"), on_hand=quantity("125 mg"), in_each=quantity("5 mL")))
        10 mL
    """
    unit = _amount_unit(ordered, "dose ordered")
    share = positive(ordered, unit, "dose ordered") / positive(on_hand, unit, "dose on hand")
    given: Quantity = in_each * share
    return given


def dose_volume(ordered: Quantity, *, concentration: Quantity) -> Quantity:
    """Volume that holds an ordered dose.

    Args:
        ordered: Dose ordered [drug mass, units, mEq or mmol].
        concentration: Dose in each mL [as `ordered`, per volume].

    Returns:
        Volume in mL [volume].

    Raises:
        BadInput: if the two do not fit together, or one is not above zero.

    Source:
        openstax_pharmacology_2024, sec. 2.4 (D/H x Q with Q = 1 mL).

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(dose_volume(quantity("5000 units"), concentration=quantity("40,000 units/mL")))
        0.125 mL
    """
    unit = _amount_unit(ordered, "dose ordered")
    each = positive(concentration, f"{unit}/mL", "concentration")
    return quantity(positive(ordered, unit, "dose ordered") / each, "mL")


def dose_count(ordered: Quantity, *, strength: Quantity) -> Quantity:
    """Number of tablets, capsules, puffs or vials that hold an ordered dose.

    Args:
        ordered: Dose ordered [drug mass, units, mEq or mmol].
        strength: Dose in each [as `ordered`, per tablet, capsule, puff or vial].

    Returns:
        The count, not rounded [tablets, capsules, puffs or vials].

    Raises:
        BadInput: if the two do not fit together, or one is not above zero.

    Source:
        openstax_pharmacology_2024, sec. 2.4 (D/H x Q with Q = 1 tablet).

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(dose_count(quantity("0.5 g"), strength=quantity("250 mg/cap")))
        2 capsules
    """
    unit = _amount_unit(ordered, "dose ordered")
    each = next((word for word in _COUNTED if measures(strength, f"{unit}/{word}")), None)
    if each is None:
        raise BadInput(fact("errors_formulas.strength_of_dose_form", strength=str(strength)))
    return quantity(positive(ordered, unit, "dose ordered") / positive(strength, f"{unit}/{each}", "strength"), each)


def dose_from_weight(dose: Quantity, *, weight: Quantity) -> Quantity:
    """Dose for a body weight, for example mg from mg/kg, or mL from mL/kg.

    Args:
        dose: Dose per kg, perhaps per time too [per body weight].
        weight: Body weight [body weight].

    Returns:
        The dose [as `dose`, times body weight].

    Raises:
        BadInput: if `weight` is no body weight, or outside 0.3 to 400 kg.

    Source:
        openstax_pharmacology_2024, sec. 2.4.

    Notes:
        A weight in lb is converted by the registry, 2.2 lb to the kg.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(dose_from_weight(quantity("10 mg/kg"), weight=quantity("110 lb")))
        500 mg
    """
    given: Quantity = dose * quantity(in_range(weight, "weight"), "kg")
    return given


def dose_from_body_surface(dose: Quantity, *, area: Quantity) -> Quantity:
    """Dose for a body surface area, for example mg from mg/m2.

    Args:
        dose: Dose per m2 [per area].
        area: Body surface area [area].

    Returns:
        The dose [as `dose`, times area].

    Raises:
        BadInput: if `area` is no area, or not above zero.

    Source:
        openstax_pharmacology_2024, sec. 2.4.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(dose_from_body_surface(quantity("2 mg/m2"), area=quantity("0.67 m2")))
        1.34 mg
    """
    given: Quantity = dose * quantity(positive(area, "m2", "body surface area"), "m2")
    return given


def divided_dose(daily: Quantity, *, doses_per_day: int) -> Quantity:
    """Amount of each dose when a daily dose is given in equal parts.

    Args:
        daily: Dose for a day [anything per time].
        doses_per_day: How many doses, 1 to 24.

    Returns:
        Amount of one dose [as `daily`, times time].

    Raises:
        BadInput: if `doses_per_day` is outside 1 to 24.

    Source:
        openstax_contemporary_mathematics_2023, sec. 13.3.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(divided_dose(quantity("90 mg/day"), doses_per_day=3))
        30 mg
    """
    if not 1 <= doses_per_day <= 24:
        raise BadInput(fact("errors_formulas.doses_per_day", doses=doses_per_day))
    each: Quantity = daily * quantity(1, "day") / doses_per_day
    return each


def _amount_unit(given: Quantity, what: str) -> str:
    for unit in _AMOUNTS:
        if measures(given, unit):
            return unit
    raise BadInput(fact("errors_formulas.no_amount", what=what, given=str(given)))
