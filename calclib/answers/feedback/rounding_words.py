"""How a right value was rounded, as a fact of `rounding.toml`."""

from __future__ import annotations

from collections.abc import Mapping

from calclib.answers.roundings import Rounding
from calclib.wording.facts import Fact, fact

_PLACES: Mapping[int, Fact] = {
    0: fact("rounding.places_0"),
    1: fact("rounding.places_1"),
    2: fact("rounding.places_2"),
    3: fact("rounding.places_3"),
}


def rounding_fact(rounding: Rounding) -> Fact:
    """Return what was done otherwise than the rule asks.

    Args:
        rounding: How the value was rounded; not one that shows more digits than asked, which needs no such words.
    """
    cut_off = rounding.manner == "cut off"
    if rounding.kind == "cut_off":
        return fact("rounding.cut_off")
    if rounding.kind == "wrong_direction":
        return fact("rounding.wrong_direction")
    if rounding.kind == "too_few_digits":
        return fact("rounding.cut_off_to_fewer" if cut_off else "rounding.rounded_to_fewer")
    step = rounding.step
    if rounding.manner is None:
        return fact("rounding.other_number", step=step)
    if rounding.decimals is None:
        return fact("rounding.on_the_way", step=step)
    places = _PLACES.get(rounding.decimals) or fact("rounding.places_more", number=rounding.decimals)
    return fact("rounding.cut_off_on_the_way" if cut_off else "rounding.rounded_on_the_way", step=step, places=places)
