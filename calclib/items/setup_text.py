"""The set-up of a step in one line: every number of the problem with its unit, and each conversion."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from calclib.chains.chain import Chain
from calclib.chains.factors import Factor, Value
from calclib.chains.kinds.product import Product
from calclib.chains.shown import Showing, product_text


def setup_text(chain: Chain, values: Mapping[str, Value], asks: str) -> str:
    """Return the set-up of a product, products of earlier steps written out: “1,000 mL x 15 gtt/mL / 8 h x 1 h/60 min”.

    Args:
        chain: The chain.
        values: All its values.
        asks: The step.
    """
    step = chain.by_name[asks]
    assert isinstance(step, Product)
    return product_text(Showing(chain, values).product(_together(_written_out(step, chain, 1))))


def _written_out(step: Product, chain: Chain, exponent: int) -> Iterator[Factor]:
    for factor in step.factors:
        inner = chain.by_name.get(factor.name) if factor.number is None else None
        if isinstance(inner, Product):
            yield from _written_out(inner, chain, exponent * factor.exponent)
        else:
            yield replace(factor, exponent=exponent * factor.exponent)


def _together(factors: Iterator[Factor]) -> tuple[Factor, ...]:
    """Equal factors as one, so that a conversion there and back is left out."""
    found: dict[object, Factor] = {}
    for factor in factors:
        key = (factor.name, factor.number, factor.group)
        before = found.get(key)
        found[key] = factor if before is None else replace(before, exponent=before.exponent + factor.exponent)
    return tuple(factor for factor in found.values() if factor.exponent)
