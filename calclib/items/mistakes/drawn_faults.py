"""Misconceptions that depend on what is drawn: texts that hold amounts, and two volumes taken together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Value
from calclib.chains.kinds.lookup import Lookup
from calclib.chains.kinds.product import Product
from calclib.errors.messages import BadInput
from calclib.faults.factor_faults import value_says
from calclib.faults.fault import Fault
from calclib.items.compiled import KEPT_FORMS
from calclib.models.identity import ByIdentity
from calclib.models.stated import Stated
from calclib.quantity.amounts import parse_amount
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit
from calclib.wording.facts import fact


def powder_by_diluent(chain: Chain, stated: Mapping[str, Stated]) -> Iterator[Fault]:
    """Yield the powder divided by the diluent where a label tells the strength by the diluent that was added.

    Args:
        chain: The compiled chain.
        stated: The givens as stated.
    """
    texts = {name: given.text for name, given in stated.items() if given.working is None}
    for step in chain.steps:
        if not isinstance(step, Lookup) or (diluent := _amount(texts.get(step.key, ""))) is None:
            continue
        for name, text in texts.items():
            amount = _amount(text) if name != step.key else None
            if amount is None or not diluent[0]:
                continue
            factor = bridge_factor(amount[1] / diluent[1], step.unit, {})
            if factor is not None:
                strength = amount[0] / diluent[0] * factor
                words = fact("mistake.diluent_as_final_volume", phrase=value_says(step.key, chain))
                edit = Edit(values={step.name: strength})
                yield Fault("diluent for final volume", step.name, step.key, words, edit)


def taken_together(chain: Chain, done: Mapping[str, Value]) -> Iterator[Fault]:
    """Yield a volume that holds another already, taken as if the other came on top: “make up to” read as “add”.

    Args:
        chain: The compiled chain.
        done: All values of the chain.
    """
    for step, above, below in _two_volumes(ByIdentity(chain)):
        part, whole = done[above], done[below]
        if isinstance(part, Fraction) and isinstance(whole, Fraction) and 0 < part < whole:
            words = fact("mistake.added_to_whole", part=value_says(above, chain), whole=value_says(below, chain))
            edit = Edit(scales={below: (whole + part) / whole})
            yield Fault("counted in", step, below, words, edit, True)


@lru_cache(maxsize=KEPT_FORMS)
def _two_volumes(key: ByIdentity[Chain]) -> tuple[tuple[str, str, str], ...]:
    """The steps that divide one volume by another in the same unit, with the names of the two."""
    chain, found = key.record, []
    for step in chain.steps:
        if not isinstance(step, Product) or step.name in chain.conversions:
            continue
        plain = [f for f in step.factors if f.name and not f.is_equivalence and not f.group]
        plain = [f for f in plain if dict(chain.unit(f.name).dimension) == {"volume": 1}]
        found += [
            (step.name, above.name, below.name)
            for above in plain
            for below in plain
            if above.exponent > 0 > below.exponent and chain.unit(above.name) == chain.unit(below.name)
        ]
    return tuple(found)


def _amount(text: str) -> tuple[Fraction, Unit] | None:
    try:
        value, unit = parse_amount(text)
    except BadInput:
        return None
    return (value, unit) if unit.powers else None
