"""Rates and times of infusions: pump, drops by gravity, titrated doses."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.formulas.constants import in_range, positive
from calclib.quantity.registry import Quantity, measures, quantity
from calclib.wording.facts import fact

_AMOUNTS = ("mg", "units", "mEq", "mmol")


def pump_rate(volume: Quantity, *, time: Quantity) -> Quantity:
    """Pump rate that gives a volume in a time.

    Args:
        volume: Volume to infuse [volume].
        time: Time to infuse it in [time].

    Returns:
        Rate in mL/h [volume per time].

    Raises:
        BadInput: if one measures something else, or is not above zero.

    Source:
        nursing_journal_quiz_2005, p. 70.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(pump_rate(quantity("1 L"), time=quantity("8 h")))
        125 mL/h
    """
    return quantity(positive(volume, "mL", "volume") / positive(time, "h", "time"), "mL/h")


def infusion_time(volume: Quantity, *, rate: Quantity) -> Quantity:
    """Time that a volume takes at a rate.

    Args:
        volume: Volume to infuse [volume].
        rate: Rate [volume per time].

    Returns:
        Time in h [time].

    Raises:
        BadInput: if one measures something else, or is not above zero.

    Source:
        healthcare_professionals_review, ch. 2.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(infusion_time(quantity("1000 mL"), rate=quantity("125 mL/h")))
        8 h
    """
    return quantity(positive(volume, "mL", "volume") / positive(rate, "mL/h", "rate"), "h")


def drop_rate(volume: Quantity, *, time: Quantity, drop_factor: Quantity) -> Quantity:
    """Drops per minute that give a volume in a time by gravity.

    Args:
        volume: Volume to infuse [volume].
        time: Time to infuse it in [time].
        drop_factor: Drops that make a mL in this tubing [drops per volume].

    Returns:
        Rate in gtt/min, not rounded [drops per time].

    Raises:
        BadInput: if one measures something else, or is not above zero.

    Source:
        army_md0904, p. 2-54.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(drop_rate(quantity("1500 mL"), time=quantity("24 h"), drop_factor=quantity("60 gtt/mL")))
        62.5 gtt/min
    """
    per_minute = positive(volume, "mL", "volume") / positive(time, "min", "time")
    return quantity(per_minute * positive(drop_factor, "gtt/mL", "drop factor"), "gtt/min")


def drop_rate_from_pump_rate(rate: Quantity, *, drop_factor: Quantity) -> Quantity:
    """Drops per minute that equal a rate in mL/h.

    Args:
        rate: Rate [volume per time].
        drop_factor: Drops that make a mL in this tubing [drops per volume].

    Returns:
        Rate in gtt/min, not rounded [drops per time].

    Raises:
        BadInput: if one measures something else, or is not above zero.

    Source:
        army_md0904, p. 2-55.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(drop_rate_from_pump_rate(quantity("100 mL/h"), drop_factor=quantity("15 gtt/mL")))
        25 gtt/min
    """
    per_minute = positive(rate, "mL/min", "rate")
    return quantity(per_minute * positive(drop_factor, "gtt/mL", "drop factor"), "gtt/min")


def pump_rate_from_dose_rate(dose: Quantity, *, concentration: Quantity) -> Quantity:
    """Pump rate that gives a dose per time, for example units/h or mcg/min.

    Args:
        dose: Dose per time [drug mass, units, mEq or mmol per time].
        concentration: Drug in each mL [the same per volume].

    Returns:
        Rate in mL/h [volume per time].

    Raises:
        BadInput: if the two do not fit together, or one is not above zero.

    Source:
        heparin_slides; nursing_journal_quiz_2005, p. 70.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(pump_rate_from_dose_rate(quantity("1000 units/h"), concentration=quantity("50 units/mL")))
        20 mL/h
    """
    amount = _amount_of(dose, "{}/h", "dose")
    per_hour = positive(dose, f"{amount}/h", "dose")
    return quantity(per_hour / positive(concentration, f"{amount}/mL", "concentration"), "mL/h")


def pump_rate_from_dose_by_weight(dose: Quantity, *, weight: Quantity, concentration: Quantity) -> Quantity:
    """Pump rate that gives a dose per kg and time, for example mcg/kg/min.

    Args:
        dose: Dose per kg and time [drug per body weight and time].
        weight: Body weight [body weight].
        concentration: Drug in each mL [drug per volume].

    Returns:
        Rate in mL/h [volume per time].

    Raises:
        BadInput: if they do not fit together, one is not above zero, or the weight is outside 0.3 to 400 kg.

    Source:
        fda_label_dobutamine_premix: dose x weight x 60 / concentration.

    Notes:
        A weight in lb is converted by the registry, 2.2 lb to the kg.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> bag = quantity("800 mg") / quantity("500 mL")
        >>> print(pump_rate_from_dose_by_weight(quantity("5 mcg/kg/min"), weight=quantity("176 lb"), concentration=bag))
        15 mL/h
    """
    amount = _amount_of(dose, "{}/kg/h", "dose")
    per_hour = positive(dose, f"{amount}/kg/h", "dose") * in_range(weight, "weight")
    return quantity(per_hour / positive(concentration, f"{amount}/mL", "concentration"), "mL/h")


def dose_by_weight_from_pump_rate(rate: Quantity, *, weight: Quantity, concentration: Quantity) -> Quantity:
    """Dose per kg and minute that a pump rate gives.

    Args:
        rate: Pump rate [volume per time].
        weight: Body weight [body weight].
        concentration: Drug in each mL [drug per volume].

    Returns:
        Dose in mcg/kg/min, for units, mEq or mmol in these per kg and min [drug per body weight and time].

    Raises:
        BadInput: if they do not fit together, one is not above zero, or the weight is outside 0.3 to 400 kg.

    Source:
        fda_label_dobutamine_premix, solved for the dose.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> bag = quantity("800 mg") / quantity("500 mL")
        >>> print(dose_by_weight_from_pump_rate(quantity("15 mL/h"), weight=quantity("80 kg"), concentration=bag))
        5 mcg/kg/min
    """
    amount = _amount_of(concentration, "{}/mL", "concentration")
    shown = "mcg" if amount == "mg" else amount
    per_minute = positive(rate, "mL/min", "rate") * positive(concentration, f"{shown}/mL", "concentration")
    return quantity(per_minute / in_range(weight, "weight"), f"{shown}/kg/min")


def _amount_of(given: Quantity, pattern: str, what: str) -> str:
    for amount in _AMOUNTS:
        if measures(given, pattern.format(amount)):
            return amount
    raise BadInput(
        fact("errors_formulas.no_concentration", what=what, unit=pattern.format("mg"), given=str(given.units))
    )
