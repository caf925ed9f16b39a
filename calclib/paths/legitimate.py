"""The legitimate ways to an answer: conversions that a policy allows, roundings on the way, entered values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from itertools import combinations, product

from calclib.chains.chain import Chain
from calclib.chains.factors import EQUIVALENCE
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import RoundingRule
from calclib.quantity.writing import conversion_words
from calclib.wording.facts import Fact, fact

MAX_ROUNDINGS = 4


@dataclass(frozen=True)
class Path:
    """One legitimate way through a chain.

    Args:
        way: The way, as a fact of `way.toml`.
        values: Values of equivalences that differ from the key's, by their names in the chain.
        rounding: Roundings on the way, by step name.
        entered: Whether later parts go on from the rounded answers of earlier ones.
    """

    way: Fact
    values: Mapping[str, Fraction] = field(default_factory=dict)
    rounding: Mapping[str, RoundingRule] = field(default_factory=dict)
    entered: bool = False


KEY_PATH = fact("way.exact")


def legitimate_paths(
    chain: Chain,
    *,
    variants: Mapping[str, Sequence[Fraction]],
    allowed: Mapping[str, RoundingRule],
    from_entered: bool,
) -> tuple[Path, ...]:
    """Return all legitimate ways, that of the key first.

    Args:
        chain: The compiled chain.
        variants: For each equivalence the values that count as right, the key's first.
        allowed: Roundings on the way that the policy allows, by step name.
        from_entered: Whether a part may be computed from the rounded answers of earlier parts.
    """
    used = [name for name in variants if name in chain.equivalences and len(variants[name]) > 1]
    steps = [name for name in allowed if name in chain.by_name][:MAX_ROUNDINGS]
    paths: list[Path] = []
    for values in product(*(variants[name] for name in used)):
        changed = {EQUIVALENCE + n: v for n, v in zip(used, values, strict=True) if v != variants[n][0]}
        for rounded in _subsets(steps):
            rules = {**chain.rounded, **{name: allowed[name] for name in rounded}}
            paths.extend(
                Path(_way(chain, changed, rounded, entered), changed, rules, entered)
                for entered in ((False, True) if from_entered else (False,))
            )
    return tuple(paths)


def _subsets(names: Sequence[str]) -> Iterator[tuple[str, ...]]:
    for size in range(len(names) + 1):
        yield from combinations(names, size)


def _way(chain: Chain, values: Mapping[str, Fraction], rounded: Sequence[str], entered: bool) -> Fact:
    steps = [_conversion(name.removeprefix(EQUIVALENCE), value) for name, value in values.items()]
    steps += [fact("way.rounded_first", phrase=chain.by_name[name].says) for name in rounded]
    steps += [fact("way.as_entered")] if entered else []
    if steps:
        return fact("way.allowed", steps=tuple(steps))
    if chain.rounded:
        return fact("way.required", steps=tuple(chain.by_name[name].says for name in chain.rounded))
    return KEY_PATH


@lru_cache(maxsize=1000)
def _conversion(name: str, value: Fraction) -> Fact:
    return fact("way.conversion", text=conversion_words(replace(equivalences()[name], value=value)))
