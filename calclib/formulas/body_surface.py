"""Body surface area by rival formulas: each is named for its author, and they do not agree."""

from __future__ import annotations

from fractions import Fraction

from calclib.formulas.constants import constant, in_range, number
from calclib.quantity.enclosure import Exact, ends, power, square_root
from calclib.quantity.registry import Quantity, magnitude, quantity


def body_surface_area_mosteller(weight: Quantity, *, height: Quantity) -> Quantity:
    """Body surface area: the square root of height times weight over 3,600.

    Args:
        weight: Body weight [body weight].
        height: Height [length].

    Returns:
        Area in m2; an enclosure where the root is no fraction [area].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg or a height outside 20 to 250 cm.

    Source:
        openstax_pharmacology_2024, sec. 2.4; mosteller_1987.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(f"{body_surface_area_mosteller(quantity('16.8 kg'), height=quantity('97 cm')):.2f}")
        0.67 m2
    """
    divisor = magnitude(constant("mosteller_divisor"), "cm.kg/m4", "divisor")
    return quantity(square_root(in_range(height, "height") * in_range(weight, "weight") / divisor), "m2")


def body_surface_area_dubois(weight: Quantity, *, height: Quantity) -> Quantity:
    """Body surface area: 0.007184 x height^0.725 x weight^0.425 (cm, kg).

    Args:
        weight: Body weight [body weight].
        height: Height [length].

    Returns:
        Area in m2, an enclosure [area].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg or a height outside 20 to 250 cm.

    Source:
        dubois_1916, pp. 863-871.

    Notes:
        Underestimates obese people by up to 20% (bsa_weight_only_2001).

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(f"{body_surface_area_dubois(quantity('70 kg'), height=quantity('170 cm')):.2f}")
        1.81 m2
    """
    return _product_of_powers("dubois", in_range(weight, "weight"), in_range(height, "height"))


def body_surface_area_haycock(weight: Quantity, *, height: Quantity) -> Quantity:
    """Body surface area: 0.024265 x height^0.3964 x weight^0.5378 (cm, kg).

    Args:
        weight: Body weight [body weight].
        height: Height [length].

    Returns:
        Area in m2, an enclosure [area].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg or a height outside 20 to 250 cm.

    Source:
        haycock_1978, pp. 62-66.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(f"{body_surface_area_haycock(quantity('70 kg'), height=quantity('170 cm')):.2f}")
        1.83 m2
    """
    return _product_of_powers("haycock", in_range(weight, "weight"), in_range(height, "height"))


def body_surface_area_weight_only(weight: Quantity) -> Quantity:
    """Body surface area without the height: 0.1173 x weight^0.6466 (kg).

    Args:
        weight: Body weight [body weight].

    Returns:
        Area in m2, an enclosure [area].

    Raises:
        BadInput: for a weight outside 0.3 to 400 kg.

    Source:
        bsa_weight_only_2001, abstract.

    Notes:
        Fitted to adults, normal-weight and obese.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(f"{body_surface_area_weight_only(quantity('70 kg')):.2f}")
        1.83 m2
    """
    share = power(in_range(weight, "weight"), _fraction("weight_only_power"))
    return quantity(number("weight_only_factor") * share, "m2")


def _product_of_powers(author: str, weight: Exact, height: Exact) -> Quantity:
    by_height = power(height, _fraction(f"{author}_height_power"))
    by_weight = power(weight, _fraction(f"{author}_weight_power"))
    return quantity(number(f"{author}_factor") * by_height * by_weight, "m2")


def _fraction(name: str) -> Fraction:
    return ends(number(name))[0]
