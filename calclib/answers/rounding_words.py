"""How a right value was rounded, in words that follow “The calculation is right, but”."""

from __future__ import annotations

from calclib.answers.roundings import Rounding

_PLACES = {0: "wholes", 1: "tenths", 2: "hundredths", 3: "thousandths"}


def rounding_words(rounding: Rounding) -> str:
    """Return what was done otherwise than the rule asks.

    Args:
        rounding: How the value was rounded; not one that shows more digits than asked, which needs no such words.
    """
    if rounding.kind == "cut_off":
        return "its last digits were cut off where the rule rounds up"
    if rounding.kind == "wrong_direction":
        return "it was rounded up where the rule goes the other way"
    if rounding.kind == "too_few_digits":
        return f"it was {rounding.manner or 'rounded'} to fewer digits than asked"
    if rounding.manner is None:
        return f"it was worked out with {rounding.step}"
    if rounding.decimals is None:
        return f"the {rounding.step} was rounded on the way, and not at the end"
    places = _PLACES.get(rounding.decimals, f"{rounding.decimals} decimals")
    return f"the {rounding.step} was {rounding.manner} to {places} on the way, and not at the end"
