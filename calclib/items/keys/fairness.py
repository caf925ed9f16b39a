"""Whether a draw is fair: every legitimate way leads to the key, and none comes near to where its rounding changes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import NO_EDIT, Edit
from calclib.chains.factors import Value
from calclib.chains.kinds.clock import Clock
from calclib.items.compiled import KEPT_FORMS, CompiledModel
from calclib.items.item import Accepted, ItemPart
from calclib.items.part_units import asked_value, in_step_unit
from calclib.items.stated_rounding import MOST, MOST_OF_HIGH_ALERT, too_far
from calclib.models.identity import ByIdentity
from calclib.models.model import SETUP, ItemModel
from calclib.paths.legitimate import Path, legitimate_paths
from calclib.quantity.enclosure import Exact, Undecided, ends
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.writing import has_finite_decimals, write_quantity
from calclib.wording.facts import Fact, fact

MARGIN = Fraction(1, 20)
"""How near to a rounding boundary a value may come, in steps of the rounding."""

Values = Mapping[str, Value]


def outcomes_of(
    model: ItemModel,
    policy: RoundingPolicy,
    ready: CompiledModel,
    done: Values,
    variants: Mapping[str, tuple[Fraction, ...]],
) -> list[tuple[Path, dict[str, Value | None]]]:
    """Return the exact value of each part by each legitimate path; None where a path can't be followed.

    Args:
        model: The item model.
        policy: The rounding policy.
        ready: The model compiled for how the givens are stated.
        done: All values of the chain.
        variants: Values that count as right for each conversion, the key's first.
    """
    chain = ready.chain
    several = tuple((name, right) for name, right in variants.items() if len(right) > 1)
    results = []
    for path, alone in _paths(ByIdentity(ready), several, any(part.from_entered for part in model.parts)):
        values: dict[str, Value | None] = {}
        entered: dict[str, Value] = {}
        after, ran = done, NO_EDIT
        for part in model.parts:
            edit = (
                Edit(values={**path.values, **entered}, rounding=path.rounding) if path.entered and entered else alone
            )
            try:
                if edit is not ran and edit.touches:
                    after, ran = chain.reevaluate(done, edit), edit
                value = after[part.asks]
                step = chain.by_name[part.asks]
                if isinstance(value, str) or isinstance(step, Clock):
                    values[part.name] = value
                    continue
                values[part.name] = asked_value(after, part, chain)
                if any(part.name in other.from_entered for other in model.parts):
                    rounded = policy.rule(part.rounding).rounded(values[part.name])  # type: ignore[arg-type]
                    entered[part.asks] = in_step_unit(rounded, part, chain)
            except (ZeroDivisionError, Undecided):
                values[part.name] = None
        results.append((path, values))
    return results


@lru_cache(maxsize=KEPT_FORMS)
def _paths(
    key: ByIdentity[CompiledModel], several: tuple[tuple[str, tuple[Fraction, ...]], ...], from_entered: bool
) -> tuple[tuple[Path, Edit], ...]:
    """The legitimate paths, each with the edit that it is while no rounded answer is entered."""
    ready = key.record
    paths = legitimate_paths(ready.chain, variants=dict(several), allowed=ready.allowed, from_entered=from_entered)
    return tuple((path, Edit(values=path.values, rounding=path.rounding)) for path in paths)


def with_paths(part: ItemPart, outcomes: Sequence[tuple[Path, Value | None]]) -> tuple[ItemPart, list[Fact]]:
    """Return a part with its accepted answers, and what is unfair about it.

    Args:
        part: The part with its key.
        outcomes: Its exact value by each legitimate path.
    """
    accepted: dict[Fraction, Fact] = {}
    exact: dict[Exact, Fact] = {}
    problems: list[Fact] = []
    if part.kind == SETUP:
        return part, problems
    passed: list[Value] = []
    for path, value in outcomes:
        if value is None:
            problems.append(fact("draw.undecided", way=path.way))
        elif part.kind == "choice":
            if value != part.accepted_choice:
                problems.append(_leads_to_choice(path, str(value), part))
        else:
            assert part.rule is not None and not isinstance(value, str)
            if value in passed:
                continue
            rounded = part.rule.rounded(value)
            accepted.setdefault(rounded, path.way)
            if value != part.exact:
                exact.setdefault(value, path.way)
            if rounded != part.key:
                other = write_quantity(rounded, part.unit, None if has_finite_decimals(rounded) else 6)
                problems.append(fact("draw.leads_elsewhere", way=path.way, other=other, answer=part.answer))
            elif (near := _near_boundary(part, value, path.way)) is not None:
                problems.append(near)
            else:
                passed.append(value)
    if part.key == 0 and part.exact:
        problems.append(fact("draw.becomes_zero"))
    accepted_values = tuple(Accepted(v, v, by) for v, by in accepted.items())
    return part._replace(accepted=accepted_values, other_exact=tuple(exact.items())), problems


def far_from_exact(part: ItemPart, high_alert: bool) -> list[Fact]:
    """Return what is said of a key that rounding takes too far from the exact value, nothing if it doesn't.

    Args:
        part: The part with its key.
        high_alert: Whether the drug is a high-alert medication, so that less is allowed.
    """
    if part.kind != "quantity" or part.rule is None or part.key is None or part.exact is None:
        return []
    if not too_far(part.rule, part.key, part.exact, high_alert):
        return []
    about = write_quantity(ends(part.exact)[0], part.unit, 6)
    most = str(100 * (MOST_OF_HIGH_ALERT if high_alert else MOST))
    return [fact("draw.too_far", answer=part.answer, most=most, value=about)]


def in_part(part: ItemPart, problem: Fact) -> Fact:
    """Return what speaks against a draw, with the part in which it was found."""
    return fact("draw.in_part", part=part.words, problem=problem)


def _leads_to_choice(path: Path, other: str, part: ItemPart) -> Fact:
    return fact("draw.leads_to_choice", way=path.way, other=other, answer=part.accepted_choice or "")


def _near_boundary(part: ItemPart, value: Exact, way: Fact) -> Fact | None:
    """What is unfair about a value near the point where its rounding changes; None if it is not near."""
    assert part.rule is not None
    away = part.rule.steps_from_boundary(value)
    if away >= MARGIN:
        return None
    if away == 0 and isinstance(value, Fraction):
        exactly = write_quantity(value, part.unit, None if has_finite_decimals(value) else 6)
        return fact("draw.at_boundary", way=way, value=exactly)
    about = write_quantity(ends(value)[0], part.unit, 6)
    return fact("draw.near_boundary", way=way, value=about)
