"""Patient-controlled analgesia: a first estimate and the dose of each push."""

from __future__ import annotations

from calclib.formulas.constants import constant, in_range, number, positive
from calclib.quantity.registry import Quantity, magnitude, quantity


def pca_hourly_morphine(age: Quantity) -> Quantity:
    """Typical hourly need of morphine of an adult: (100 - age) / 24 mg/h.

    Args:
        age: Age [time, in years].

    Returns:
        Rate in mg/h, not rounded [drug mass per time].

    Raises:
        BadInput: for an age outside 18 to 99 years.

    Source:
        fpnotebook_pca.

    Notes:
        A first estimate; the patient's answer and local limits decide.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(pca_hourly_morphine(quantity("70 yr")))
        1.25 mg/h
    """
    years = magnitude(constant("pca_age"), "yr", "age") - in_range(age, "pca_age")
    return quantity(years / number("pca_divisor"), "mg/h")


def pca_push_dose(hourly: Quantity, *, lockout: Quantity) -> Quantity:
    """Dose of each push when every lockout interval of an hour is used.

    Args:
        hourly: Hourly dose [drug mass per time].
        lockout: Lockout interval [time].

    Returns:
        Dose in mg [drug mass].

    Raises:
        BadInput: if one measures something else, or is not above zero.

    Source:
        fpnotebook_pca.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(pca_push_dose(quantity("6 mg/h"), lockout=quantity("10 min")))
        1 mg
    """
    return quantity(positive(hourly, "mg/h", "hourly dose") * positive(lockout, "h", "lockout interval"), "mg")
