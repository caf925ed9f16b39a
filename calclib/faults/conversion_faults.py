"""Another number or unit in the place of a conversion: 10 for 1,000, 2 for 2.2, a quart for a cup."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from calclib.chains.chain import Chain, Edit
from calclib.chains.kinds.product import Product
from calclib.faults import wording
from calclib.faults.factor_faults import conversion_units
from calclib.faults.fault import Fault
from calclib.quantity.equivalences import equivalences
from calclib.quantity.writing import write_unit
from calclib.wording.facts import fact

# Teaspoons in each kitchen measure, from the smallest to the largest.
KITCHEN = {"tsp": 1, "tbsp": 3, "oz": 6, "cup": 48, "pt": 96, "qt": 192, "gal": 768}
PLACES_AWAY = 2
THOUSAND = Fraction(1000)


def conversion_faults(chain: Chain, stated: Mapping[str, str]) -> Iterator[Fault]:
    """Yield the mistakes; all are rare enough to be spare.

    Args:
        chain: The compiled chain.
        stated: The words of the numbers of the stem by name.
    """
    for name in chain.equivalences:
        yield from _another_number(name)
    for name, says in stated.items():
        yield from _another_measure(name, says, _kitchen_symbol(name, chain), "")
    for step in chain.steps:
        if isinstance(step, Product) and step.name not in chain.conversions:
            yield from _another_measure(step.name, step.says, _kitchen_symbol(step.name, chain), step.name)


def _another_number(name: str) -> Iterator[Fault]:
    """10 or 100 for the 1,000 of a metric step, and a convention or a definition without its decimals."""
    eq = equivalences()[name]
    if eq.value == THOUSAND:
        wrong: tuple[Fraction, ...] = (Fraction(100), Fraction(10))
    elif eq.value.denominator != 1 and eq.value > 1:
        wrong = (Fraction(eq.value.__floor__()),)
    else:
        return
    for number in wrong:
        words = wording.wrong_factor(conversion_units(eq))
        scaled = Edit(scales={f"eq:{name}": number / eq.value})
        yield Fault("wrong factor", "", f"eq:{name}", words, scaled, True)


def _kitchen_symbol(name: str, chain: Chain) -> str:
    powers = chain.unit(name).powers if name in chain.by_name or name in chain.names.units else ()
    return powers[0][0] if len(powers) == 1 and powers[0][1] == 1 and powers[0][0] in KITCHEN else ""


def _another_measure(name: str, says: str, symbol: str, step: str) -> Iterator[Fault]:
    """A number of cups taken for that many quarts, and the other neighbors in the kitchen."""
    if not symbol:
        return
    order = list(KITCHEN)
    place = order.index(symbol)
    for other in order[max(place - PLACES_AWAY, 0) : place + PLACES_AWAY + 1]:
        if other == symbol:
            continue
        words = fact("mistake.other_measure", other=write_unit(other), right=write_unit(symbol), phrase=says)
        ratio = Fraction(KITCHEN[other], KITCHEN[symbol])
        scaled = Edit(scales={name: ratio if not step else 1 / ratio})
        yield Fault("wrong measure", step, "" if step else name, words, scaled, True)
