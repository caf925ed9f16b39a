"""A chain's values compared with those of two programs that share nothing with it: sympy and pint."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.factors import Value
from calclib.chains.measured import measured_values
from calclib.chains.symbolic import Expression, number, symbol, symbolic_values, word
from calclib.models.identity import ByIdentity
from calclib.quantity.enclosure import Enclosure, ends
from calclib.wording.facts import Fact, fact


def disagreements(chain: Chain, values: Mapping[str, Value]) -> Iterator[tuple[str, Fact]]:
    """Yield each step whose value is another by sympy or by pint, and what is wrong with it.

    Args:
        chain: The chain.
        values: The values of all steps, givens, constants and equivalences by name.
    """
    env = {name: value for name, value in values.items() if name not in chain.by_name}
    measured = measured_values(chain, env)
    expressions = _expressions(ByIdentity(chain))
    known = [(symbol(name), word(v) if isinstance(v, str) else number(v)) for name, v in env.items()]
    for step in chain.steps:
        value = values[step.name]
        if not _same(value, measured[step.name]):
            yield (
                step.name,
                fact(
                    "errors_proving.another_by_pint", step=step.name, value=str(value), found=str(measured[step.name])
                ),
            )
        found = _told_apart(expressions[step.name].subs(known))
        if not _is(found, value):
            yield step.name, fact("errors_proving.another_by_sympy", step=step.name, value=str(value), found=str(found))


# A model is proved whole before the next one, and states its givens in few ways.
@lru_cache(maxsize=256)
def _expressions(key: ByIdentity[Chain]) -> Mapping[str, Expression]:
    """The steps of a chain in sympy."""
    return symbolic_values(key.record)


def _told_apart(found: Expression) -> Expression:
    """An expression whose words are numbers that differ: sympy can't tell whether two symbols are the same."""
    words = sorted(found.free_symbols, key=str)
    return found if len(words) < 2 else found.subs({one: number(Fraction(-1, 2 + n)) for n, one in enumerate(words)})


def _same(value: Value, other: Value) -> bool:
    if isinstance(value, str) or isinstance(other, str):
        return value == other
    if isinstance(value, Enclosure) or isinstance(other, Enclosure):
        (low, high), (other_low, other_high) = ends(value), ends(other)
        return low <= other_high and other_low <= high
    return value == other


def _is(found: Expression, value: Value) -> bool:
    """Whether sympy's value is this one, or lies in the enclosure."""
    if isinstance(value, Enclosure):
        return bool(found >= number(value.low)) and bool(found <= number(value.high))
    return bool(found == (word(value) if isinstance(value, str) else number(value)))
