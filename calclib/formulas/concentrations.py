"""Strengths of solutions: percent and ratio, dilution, mixing of two strengths, milliequivalents."""

from __future__ import annotations

from calclib.errors.messages import BadInput
from calclib.formulas.constants import constant, in_range, positive
from calclib.quantity.enclosure import Exact
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.wording.facts import fact


def solute_mass(volume: Quantity, *, strength: Quantity) -> Quantity:
    """Drug in a volume of a percent solution (weight in volume: 1% is 1 g in 100 mL).

    Args:
        volume: Volume of the solution [volume].
        strength: Percent strength [percent].

    Returns:
        Mass in g [drug mass].

    Raises:
        BadInput: for a strength outside 0 to 100%, or a volume that is not above zero.

    Source:
        usp_1160; openstax_contemporary_mathematics_2023, sec. 13.3.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(solute_mass(quantity("250 mL"), strength=quantity("1.58 %")))
        3.95 g
    """
    amount = positive(volume, "mL", "volume") * magnitude(concentration_of_percent(strength), "g/mL", "strength")
    return quantity(amount, "g")


def concentration_of_percent(strength: Quantity) -> Quantity:
    """Concentration of a percent solution (weight in volume).

    Args:
        strength: Percent strength [percent].

    Returns:
        Concentration in mg/mL [drug mass per volume].

    Raises:
        BadInput: for a strength outside 0 to 100%.

    Source:
        usp_1160: 1% is 1 g in 100 mL.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(concentration_of_percent(quantity("0.9 %")))
        9 mg/mL
    """
    each = magnitude(constant("percent_strength"), "mg/mL", "one percent")
    return quantity(in_range(strength, "percent") * each, "mg/mL")


def percent_strength(concentration: Quantity) -> Quantity:
    """Percent strength (weight in volume) of a concentration.

    Args:
        concentration: Drug in each mL [drug mass per volume].

    Returns:
        Strength in % [percent].

    Raises:
        BadInput: if it is no mass in a volume, or not above zero.

    Source:
        usp_1160: 1% is 1 g in 100 mL.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(percent_strength(quantity("500 mg/mL")))
        50%
    """
    each = magnitude(constant("percent_strength"), "mg/mL", "one percent")
    return quantity(positive(concentration, "mg/mL", "concentration") / each, "%")


def concentration_of_ratio(volume: Quantity) -> Quantity:
    """Concentration of a ratio strength 1:n, that is 1 g in n mL.

    Args:
        volume: The n of the ratio, in mL [volume].

    Returns:
        Concentration in mg/mL [drug mass per volume].

    Raises:
        BadInput: if it is no volume, or not above zero.

    Source:
        usp_7_2016, conversion table.

    Notes:
        Ratios have left the labels of single-drug injections; a course teaches them to read old ones.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(concentration_of_ratio(quantity("1000 mL")))
        1 mg/mL
    """
    return quantity(1000 / positive(volume, "mL", "volume"), "mg/mL")


def concentration_after_dilution(stock: Quantity, *, stock_volume: Quantity, final_volume: Quantity) -> Quantity:
    """Concentration after a volume of stock is made up to a final volume (C1V1 = C2V2).

    Args:
        stock: Concentration before [anything].
        stock_volume: Volume of the stock taken [volume].
        final_volume: Volume after diluting [volume].

    Returns:
        Concentration after, in the unit of `stock` [as `stock`].

    Raises:
        BadInput: if the final volume is below that of the stock, or a volume is not above zero.

    Source:
        openstax_chemistry_2019, sec. 3.3.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> before = {"stock_volume": quantity("10 mL"), "final_volume": quantity("50 mL")}
        >>> print(concentration_after_dilution(quantity("1000 mcg/mL"), **before))
        200 mcg/mL
    """
    taken, final = positive(stock_volume, "mL", "volume of stock"), positive(final_volume, "mL", "final volume")
    if final < taken:
        raise BadInput(fact("errors_formulas.diluted_to_less", final=str(final_volume), stock=str(stock_volume)))
    diluted: Quantity = stock * (taken / final)
    return diluted


def final_volume_for_dilution(stock: Quantity, *, stock_volume: Quantity, wanted: Quantity) -> Quantity:
    """Volume to which a stock is made up for a wanted concentration (C1V1 = C2V2).

    Args:
        stock: Concentration before [anything].
        stock_volume: Volume of the stock [volume].
        wanted: Concentration after [as `stock`].

    Returns:
        Final volume, in the unit of `stock_volume` [volume].

    Raises:
        BadInput: if the wanted concentration is above that of the stock, or measures something else.

    Source:
        openstax_chemistry_2019, sec. 3.3.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> doses = {"stock_volume": quantity("8 mL"), "wanted": quantity("20 %")}
        >>> print(final_volume_for_dilution(quantity("50 %"), **doses))
        20 mL
    """
    volume: Quantity = stock_volume * _weaker(stock, wanted)
    return volume


def stock_volume_for_dilution(stock: Quantity, *, final_volume: Quantity, wanted: Quantity) -> Quantity:
    """Volume of stock that a final volume of a wanted concentration needs (C1V1 = C2V2).

    Args:
        stock: Concentration before [anything].
        final_volume: Volume after diluting [volume].
        wanted: Concentration after [as `stock`].

    Returns:
        Volume of stock, in the unit of `final_volume` [volume].

    Raises:
        BadInput: if the wanted concentration is above that of the stock, or measures something else.

    Source:
        openstax_chemistry_2019, sec. 3.3.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(stock_volume_for_dilution(quantity("50 %"), final_volume=quantity("20 mL"), wanted=quantity("20 %")))
        8 mL
    """
    volume: Quantity = final_volume / _weaker(stock, wanted)
    return volume


def alligation(low: Quantity, *, high: Quantity, wanted: Quantity, total: Quantity) -> tuple[Quantity, Quantity]:
    """Volumes of a weak and a strong solution that mixed give a wanted strength.

    Args:
        low: Strength of the weak one [percent, or any concentration].
        high: Strength of the strong one [as `low`].
        wanted: Strength of the mixture [as `low`].
        total: Volume of the mixture [volume].

    Returns:
        Volume of the weak one and of the strong one, in the unit of `total` [volume].

    Raises:
        BadInput: if the wanted strength does not lie between the two.

    Source:
        openstax_elementary_algebra_2020, Solve Mixture Applications.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> strengths = {"high": quantity("50 %"), "wanted": quantity("40 %")}
        >>> print(*alligation(quantity("25 %"), **strengths, total=quantity("200 mL")), sep=", ")
        80 mL, 120 mL
    """
    positive(total, "mL", "total")
    span = _ratio(high - low, low) if low.check(high.dimensionality) else None
    if span is None or not wanted.check(low.dimensionality):
        raise BadInput(fact("errors_formulas.strengths_to_mix", low=str(low), high=str(high), wanted=str(wanted)))
    part = _ratio(wanted - low, low)
    if not 0 <= part <= span or not span > 0:
        raise BadInput(fact("errors_formulas.not_between", wanted=str(wanted), low=str(low), high=str(high)))
    strong = part / span
    return total * (1 - strong), total * strong


def milliequivalents(mass: Quantity, *, molar_mass: Quantity, valence: int) -> Quantity:
    """Milliequivalents in a mass: mass x valence / molar mass.

    Args:
        mass: Mass of the salt or ion [drug mass].
        molar_mass: Mass of a mmol in mg, the same number as g/mol [drug mass per substance].
        valence: Charges, 1 to 4.

    Returns:
        Charge in mEq [drug charge].

    Raises:
        BadInput: if `valence` is outside 1 to 4, or a quantity is not above zero.

    Source:
        natural_standard_meq; usp_1160.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(milliequivalents(quantity("40.08 mg"), molar_mass=quantity("40.08 mg/mmol"), valence=2))
        2 mEq
    """
    millimoles = positive(mass, "mg", "mass") / positive(molar_mass, "mg/mmol", "molar mass")
    return quantity(millimoles * checked_valence(valence), "mEq")


def mass_of_milliequivalents(charge: Quantity, *, molar_mass: Quantity, valence: int) -> Quantity:
    """Mass that holds some milliequivalents: mEq x molar mass / valence.

    Args:
        charge: Charge [drug charge].
        molar_mass: Mass of a mmol in mg, the same number as g/mol [drug mass per substance].
        valence: Charges, 1 to 4.

    Returns:
        Mass in mg [drug mass].

    Raises:
        BadInput: if `valence` is outside 1 to 4, or a quantity is not above zero.

    Source:
        natural_standard_meq; usp_1160.

    Example:
        >>> from calclib.quantity.registry import quantity
        >>> print(mass_of_milliequivalents(quantity("1 mEq"), molar_mass=quantity("40.08 mg/mmol"), valence=2))
        20.04 mg
    """
    each = positive(molar_mass, "mg/mmol", "molar mass") / checked_valence(valence)
    return quantity(positive(charge, "mEq", "charge") * each, "mg")


def checked_valence(valence: int) -> int:
    """The valence itself, if an ion can have it.

    Raises:
        BadInput: outside 1 to 4.
    """
    if not 1 <= valence <= 4:
        raise BadInput(fact("errors_formulas.valence", valence=valence))
    return valence


def _weaker(stock: Quantity, wanted: Quantity) -> Exact:
    if not stock.check(wanted.dimensionality):
        raise BadInput(fact("errors_formulas.strengths_to_dilute", stock=str(stock), wanted=str(wanted)))
    times = _ratio(stock, wanted)
    if not times >= 1:
        raise BadInput(fact("errors_formulas.diluted_to_stronger", wanted=str(wanted), stock=str(stock)))
    return times


def _ratio(a: Quantity, b: Quantity) -> Exact:
    return magnitude(a / b, "", "ratio of strengths")
