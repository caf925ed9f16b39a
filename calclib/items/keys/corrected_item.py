"""An item that was handed out, re-keyed by a corrected model or another rounding policy: its numbers and stem stay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from calclib.errors.messages import BadInput, told_of
from calclib.items.compiled import compiled
from calclib.items.item import Accepted, Item, ItemPart
from calclib.items.keys.fairness import MARGIN
from calclib.items.keys.keying import Unusable, equivalence_text, keyed_item, variants_of
from calclib.items.own_values.drug_measure import as_measured
from calclib.items.recorded.ways import rekeyed
from calclib.items.solution import rebuilt, recorded_givens
from calclib.items.stated_rounding import rounded_as_recorded
from calclib.models.devices import LEVEL
from calclib.models.model import SETUP, ItemModel
from calclib.quantity.enclosure import Exact, Undecided, ends
from calclib.quantity.equivalences import exact_number
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.writing import has_finite_decimals, write_quantity
from calclib.wording.facts import Fact, fact

Way = tuple[ItemModel, RoundingPolicy]
"""An item model and a rounding policy by which items are keyed."""


@dataclass(frozen=True)
class CorrectedItem:
    """A re-keyed item, and what faculty should know of it, as facts: an unfair draw, a key that was left."""

    item: Item
    notes: tuple[Fact, ...]


def corrected_item(
    item: Item, model: ItemModel, policy: RoundingPolicy, *, printed: bool, beside: Sequence[Way] = ()
) -> CorrectedItem:
    """Return a recorded item as a corrected model, or another rounding policy, keys it.

    The draw was made so that every legitimate way led to one answer by the model and policy of that time; by others
    ways may part, or the value stand near to a boundary. Whatever a way leads to is then accepted, both sides of the
    boundary, and what was right before: the doubt is the student's gain. Where no key can be told, the old one stays.

    Args:
        item: The item as recorded.
        model: The model from which it was drawn, or a mended one with the same givens and parts.
        policy: The rounding policy.
        printed: Whether what is right as it was handed out stays right.
        beside: What else is right beside the key: the answers by other models and policies.

    Raises:
        BadInput: The model states or asks something else than the item, or can't read its numbers.
    """
    refuse_unlike(item, model)
    by = _named(item, model, policy)
    try:
        found = _keyed(item, model, policy)
        others = [(_keyed(item, *way), way) for way in beside]
    except (Undecided, ZeroDivisionError) as error:
        return CorrectedItem(item, (fact("rekeyed.undecided", by=by, reason=told_of(error)),))
    notes: list[Fact] = []
    parts = []
    for place, (before, after) in enumerate(zip(item.parts, found.parts, strict=True)):
        _refuse_another_question(before, after)
        unfair = _unfair(found, after)
        part = after._replace(asked=before.asked, points=before.points)
        for other, way in others:
            part = with_beside(part, other.parts[place], _beside(item, *way, other.parts[place]))
        if printed or unfair:
            part = with_beside(part, before, _as_handed_out(item, model, policy, before))
        if unfair:
            part = part._replace(accepted=tuple(_granted(one, part) for one in part.accepted))
            part = part._replace(accepted=(*part.accepted, *_across(after, part.accepted)))
            if right := _rights(part):
                notes.append(_not_fair(part, by, unfair[0], right, alone=len(item.parts) == 1))
        parts.append(part)
    return CorrectedItem(_as_printed(item, found, tuple(parts), tuple(notes)), tuple(notes))


def _not_fair(part: ItemPart, by: tuple[Fact, ...], why: Fact, right: Fact, *, alone: bool) -> Fact:
    if alone:
        return fact("rekeyed.not_fair", by=by, why=why, right=right)
    return fact("rekeyed.not_fair_in_part", asked=part.asked, by=by, why=why, right=right)


def refuse_unlike(item: Item, model: ItemModel) -> None:
    """Refuse a model that states or asks something else than a recorded item.

    Raises:
        BadInput: What differs, named.
    """
    if model.hash == item.model_hash:
        return
    if model.id != item.model_id:
        raise BadInput(fact("errors_items.another_model", model=model.id, drawn_from=item.model_id))
    stated = [name for name, given in model.givens.items() if given.kind != "row" and name in model.recorded_names]
    drawn = {drawing.given: (drawing.device.name, drawing.level is not None) for drawing in item.drawings}
    _refuse_other_names("given", [given.name for given in item.givens], stated)
    for name in stated:
        given = model.givens[name]
        if ((given.drawn_on, given.reads == LEVEL) if given.drawn_on else None) != drawn.get(name):
            raise BadInput(fact("errors_items.drawn_otherwise", name=name), line=given.line)
    _refuse_other_names("part", [part.name for part in item.parts], [part.name for part in model.parts])


def _refuse_other_names(what: Literal["given", "part"], before: Sequence[str], after: Sequence[str]) -> None:
    for name in before:
        if name not in after:
            raise BadInput(
                fact("errors_items.part_lacking" if what == "part" else "errors_items.given_lacking", name=name)
            )
    for name in after:
        if name not in before:
            raise BadInput(fact("errors_items.part_added" if what == "part" else "errors_items.given_added", name=name))
    if what == "part" and list(before) != list(after):
        raise BadInput(fact("errors_items.order_of_parts", parts=tuple(before)))


def _refuse_another_question(before: ItemPart, after: ItemPart) -> None:
    none = fact("errors_items.none")
    if before.kind != after.kind:
        raise BadInput(
            fact("errors_items.other_kind", name=before.name, was=before.kind or none, now=after.kind or none)
        )
    if before.unit != after.unit:
        raise BadInput(
            fact("errors_items.other_unit", name=before.name, was=before.unit or none, now=after.unit or none)
        )
    was, now = tuple(sorted(before.choices)), tuple(sorted(after.choices))
    if was != now:
        raise BadInput(fact("errors_items.other_choices", name=before.name, was=was or (none,), now=now or (none,)))


def as_of(item: Item, model: ItemModel) -> Item:
    """Return an item as if it had been drawn from another version of its model, for what goes by the model's text."""
    same = model.hash == item.model_hash
    return item if same else item._replace(model_version=model.version, model_hash=model.hash)


def with_beside(part: ItemPart, other: ItemPart, why: Fact) -> ItemPart:
    """Return a part that also takes for right what another keying of the same question does.

    Args:
        part: The part, whose key stays.
        other: The same question keyed otherwise.
        why: What makes that right.
    """
    by = rekeyed(why)
    if part.kind == SETUP:
        return part
    if part.kind == "choice":
        mine = (part.accepted_choice, *dict(part.other_choices))
        others = ((other.accepted_choice, by), *((choice, by) for choice, _ in other.other_choices))
        more = tuple((choice, way) for choice, way in others if choice is not None and choice not in mine)
        return part._replace(other_choices=(*part.other_choices, *more))
    known = {(one.low, one.high) for one in part.accepted}
    exact = {value for value, _ in part.other_exact} | {part.exact}
    accepted = (Accepted(one.low, one.high, by) for one in other.accepted if (one.low, one.high) not in known)
    return part._replace(
        accepted=(*part.accepted, *accepted),
        other_exact=(*part.other_exact, *((value, way) for value, way in _exact(other, why) if value not in exact)),
    )


def _exact(part: ItemPart, why: Fact) -> Iterator[tuple[Exact, Fact]]:
    if part.exact is not None:
        yield part.exact, rekeyed(why)
    for value, way in part.other_exact:
        yield value, rekeyed(fact("way.then", why=why, way=way))


def _keyed(item: Item, model: ItemModel, policy: RoundingPolicy) -> Item:
    item = _with_equivalences(item, model, policy)
    ready, done = rebuilt(item, model, policy)
    model = rounded_as_recorded(item, as_measured(item, model), policy)
    variants = {}
    for name in ready.chain.equivalences:
        key = Fraction(item.equivalences[name])
        allowed = () if equivalence_text(name, key) in item.stem else policy.equivalences.get(name, ())
        # The key goes on with the conversion with which it was made; others only count beside it.
        variants[name] = tuple(dict.fromkeys((key, *(exact_number(text) for text in allowed))))
    found = keyed_item(
        model, item.seed, policy, ready, recorded_givens(item, model), done, variants, None, allow_unfair=True
    )
    assert not isinstance(found, Unusable), "an item that is wanted at any rate is an item"
    return found


def _with_equivalences(item: Item, model: ItemModel, policy: RoundingPolicy) -> Item:
    """The item as if drawn from a corrected model, with the conversions that it needs and the stem doesn't print."""
    if model.hash == item.model_hash:
        return item
    item = as_of(item, model)
    measured = as_measured(item, model)
    chain = compiled(measured, recorded_givens(item, model), policy).chain
    needed = variants_of(replace(measured, states=()), chain, policy, {})
    return item._replace(
        equivalences={**{name: str(values[0]) for name, values in needed.items()}, **item.equivalences}
    )


def _as_printed(item: Item, found: Item, parts: tuple[ItemPart, ...], notes: tuple[Fact, ...]) -> Item:
    """The item with its new key, everything that the notebook shows as it was handed out."""
    now = {given.name: given for given in found.givens}
    return found._replace(
        seed=item.seed,
        stem=item.stem,
        # Whether a number is needed, and its name in the worked solution, go with the model.
        givens=tuple(given._replace(role=now[given.name].role, says=now[given.name].says) for given in item.givens),
        parts=parts,
        caution=item.caution,
        drawings=item.drawings,
        papers=item.papers,
        equivalences={**item.equivalences, **found.equivalences},
        why=notes,
    )


def _named(item: Item, model: ItemModel, policy: RoundingPolicy) -> tuple[Fact, ...]:
    """A model, a policy or both, whatever differs from an item's own."""
    named: tuple[Fact, ...] = ()
    if model.hash != item.model_hash:
        named = (fact("rekeyed.by_model", version=model.version),)
    if policy.name != item.policy_name or not named:
        named += (fact("rekeyed.by_policy", policy=policy.name),)
    return named


def _as_handed_out(item: Item, model: ItemModel, policy: RoundingPolicy, part: ItemPart) -> Fact:
    """What makes the item's own answers right: the key, the rule, or both, whatever is another by now."""
    if model.hash == item.model_hash:
        return fact("way.printed_rule", rule=part.rule_text)
    version = str(item.model_version)
    if policy.name == item.policy_name:
        return fact("way.handed_out_key", version=version)
    return fact("way.handed_out_key_and_rule", version=version, rule=part.rule_text)


def _beside(item: Item, model: ItemModel, policy: RoundingPolicy, part: ItemPart) -> Fact:
    """The same of answers that are right beside the key by a model or a policy."""
    if model.hash == item.model_hash:
        return fact("way.other_version", version=str(model.version))
    return fact("way.printed_rule", rule=part.rule_text)


# Ways that part say more than one that stands near to a boundary.
_LEADS_ELSEWHERE = frozenset({"draw.leads_elsewhere", "draw.leads_to_choice"})
_BY_A_PATH = _LEADS_ELSEWHERE | {"draw.undecided", "draw.at_boundary", "draw.near_boundary"}


def _unfair(item: Item, part: ItemPart) -> tuple[Fact, ...]:
    """What speaks against the draw's fairness in one part."""
    if item.fair:
        return ()
    mixed = (one.field("problem") for one in item.why if one.kind == "draw.in_part" and one.field("part") == part.words)
    found = [one for one in mixed if isinstance(one, Fact) and one.kind in _BY_A_PATH]
    return tuple(sorted(found, key=lambda one: one.kind not in _LEADS_ELSEWHERE))


def _rights(part: ItemPart) -> Fact | None:
    """What is right in a part that isn't fair; None where that is the key alone, a choice."""
    if part.kind == "choice":
        labels = [str(part.accepted_choice), *dict(part.other_choices)]
        choices = tuple(fact("rekeyed.choice", choice=label) for label in labels)
        return fact("rekeyed.right", answers=choices) if len(labels) > 1 else None
    if part.kind == "clock":
        return fact("rekeyed.right_times")
    return fact("rekeyed.right", answers=tuple(dict.fromkeys(_written(one.low, part.unit) for one in part.accepted)))


def _granted(one: Accepted, part: ItemPart) -> Accepted:
    """An answer by another way than the key's: it costs nothing, since nobody saw to it that the draw is fair."""
    return one if one.low == part.key or one.decided else one._replace(by=rekeyed(one.by))


def _across(part: ItemPart, accepted: Sequence[Accepted]) -> Iterator[Accepted]:
    """The answers beyond a rounding boundary to which the value stands too near."""
    if part.rule is None or part.exact is None:
        return
    known = {(one.low, one.high) for one in accepted}
    for exact in (part.exact, *(value for value, _ in part.other_exact)):
        low, high = ends(exact)
        near = part.rule.step_at(low) * MARGIN
        for value in (part.rule.rounded(low - near), part.rule.rounded(high + near)):
            if (value, value) not in known:
                known.add((value, value))
                yield Accepted(value, value, rekeyed(fact("way.across_boundary")))


def _written(value: Fraction, unit: str) -> str:
    return write_quantity(value, unit, None if has_finite_decimals(value) else 6)
