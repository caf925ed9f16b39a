"""Drug that stays in the tubing when a short infusion is not flushed."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.formulas.constants import positive
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.wording.facts import fact


def residual_share(residual: Quantity, *, bag: Quantity) -> Quantity:
    """Share of the dose that stays in the tubing, in percent of the bag's content.

    Args:
        residual: Volume left in the tubing [volume].
        bag: Volume of the mixture in the bag, additive included [volume].

    Returns:
        Share in % [percent].

    Raises:
        BadInput: if more stays than the bag held, or a volume is not above zero.

    Source:
        pharmacy_mdpi_2023, introduction: up to 35% from bags of 50 to 100 mL.

    Notes:
        Assumes that tubing and bag hold the same mixture, that is, no back-priming and no flush.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(residual_share(quantity("15 mL"), bag=quantity("50 mL")))
        30%
    """
    stays, whole = magnitude(residual, "mL", "residual volume"), positive(bag, "mL", "volume of the bag")
    if not 0 <= stays <= whole:
        raise BadInput(fact("errors_formulas.residual_volume", bag=str(bag), residual=str(residual)))
    return quantity(100 * stays / whole, "%")


def residual_loss(dose: Quantity, *, residual: Quantity, bag: Quantity) -> Quantity:
    """Drug that stays in the tubing, of the dose in the bag.

    Args:
        dose: Drug in the bag [anything].
        residual: Volume left in the tubing [volume].
        bag: Volume of the mixture in the bag, additive included [volume].

    Returns:
        Drug not given, in the unit of `dose` [as `dose`].

    Raises:
        BadInput: if more stays than the bag held, or a volume is not above zero.

    Source:
        pharmacy_mdpi_2023, introduction.

    Notes:
        As `residual_share`.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(residual_loss(quantity("1 g"), residual=quantity("15 mL"), bag=quantity("50 mL")))
        0.3 g
    """
    lost: Quantity = dose * magnitude(residual_share(residual, bag=bag), "%", "share") / 100
    return lost
