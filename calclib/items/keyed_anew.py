"""An item that was handed out, keyed anew by another rounding policy: its numbers, its stem and its model stay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.errors.messages import BadInput
from calclib.items.drug_measure import as_measured
from calclib.items.item import Accepted, Item, ItemPart
from calclib.items.keying import MARGIN, Unusable, equivalence_text, keyed_item
from calclib.items.model import ItemModel
from calclib.items.solution import rebuilt, recorded_givens
from calclib.quantity.enclosure import Exact, Undecided, ends
from calclib.quantity.equivalences import exact_number
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.writing import has_finite_decimals, write_quantity

_ANEW = "keyed anew, "


@dataclass(frozen=True)
class KeyedAnew:
    """An item keyed anew, and sentences on what faculty should know of it: an unfair draw, a key that was left."""

    item: Item
    notes: tuple[str, ...]


def keyed_anew(item: Item, model: ItemModel, policy: RoundingPolicy, *, printed: bool) -> KeyedAnew:
    """Return a recorded item as another rounding policy keys it.

    The draw was made so that every legitimate way led to one answer by the policy of that time; by another policy ways
    may part, or the value stand near to a boundary. Whatever a way leads to is then accepted, both sides of the
    boundary, and what was right before: the doubt is the student's gain. Where no key can be told, the old one stays.

    Args:
        item: The item as recorded.
        model: The model from which it was drawn, of the same text.
        policy: The other policy.
        printed: Whether what is right by the rule that was printed with the question stays right.

    Raises:
        BadInput: The model is another than that of the item.
    """
    try:
        found = _keyed(item, model, policy)
    except (Undecided, ZeroDivisionError) as error:
        return KeyedAnew(item, (f"can't be keyed by the policy “{policy.name}” ({error}): the old key stays.",))
    notes: list[str] = []
    parts = []
    for before, after in zip(item.parts, found.parts, strict=True):
        unfair = _unfair(found, after)
        part, left = _merged(before, after, keep=printed or bool(unfair))
        words = f"{part.name.replace('_', ' ')}: " if len(item.parts) > 1 else ""
        if left:
            notes.append(f"{words}by the policy “{policy.name}” another choice would be right: the old key stays.")
        elif unfair and part.kind != "choice":
            part = part._replace(accepted=tuple(_granted(one, part) for one in part.accepted))
            part = part._replace(accepted=(*part.accepted, *_across(after, part.accepted)))
            every = " and ".join(dict.fromkeys(_written(one.low, part.unit) for one in part.accepted))
            right = f"{every} are right" if part.kind == "quantity" else "The times of all ways are right"
            notes.append(f"{words}not fair by the policy “{policy.name}”: {unfair[0]}. {right}.")
        parts.append(part)
    anew = found._replace(seed=item.seed, stem=item.stem, givens=item.givens, parts=tuple(parts), why=tuple(notes))
    return KeyedAnew(anew, tuple(notes))


def _keyed(item: Item, model: ItemModel, policy: RoundingPolicy) -> Item:
    ready, done = rebuilt(item, model, policy)
    model = as_measured(item, model)
    variants = {}
    for name in ready.chain.equivalences:
        key = Fraction(item.equivalences[name])
        allowed = () if equivalence_text(name, key) in item.stem else policy.equivalences.get(name, ())
        # The key goes on with the conversion with which it was made; others only count beside it.
        variants[name] = tuple(dict.fromkeys((key, *(exact_number(text) for text in allowed))))
    found = keyed_item(
        model, item.seed, policy, ready, recorded_givens(item, model), done, variants, "", at_any_rate=True
    )
    assert not isinstance(found, Unusable), "an item that is wanted at any rate is an item"
    return found


def _unfair(item: Item, part: ItemPart) -> tuple[str, ...]:
    """What speaks against the draw's fairness in one part, in words."""
    start = f"part {part.name}: "
    mixed = () if item.fair else tuple(one.removeprefix(start) for one in item.why if one.startswith(start))
    # Ways that part say more than one that stands near to a boundary.
    return tuple(sorted((one for one in mixed if "path" in one), key=lambda one: "leads to" not in one))


def _merged(before: ItemPart, after: ItemPart, *, keep: bool) -> tuple[ItemPart, bool]:
    """The part with the new key and, where they are kept, the answers that were right before; whether the old stays."""
    if before.kind != after.kind or before.unit != after.unit or before.choices != after.choices:
        raise BadInput(f"part {before.name} asks for something else than when it was handed out")
    after = after._replace(asked=before.asked, points=before.points)
    if before.kind == "choice":
        differs = before.accepted_choice != after.accepted_choice
        return (before, True) if keep and differs else (after, False)
    if not keep:
        return after, False
    exact = {value for value, _ in after.other_exact} | {after.exact}
    return after._replace(
        accepted=(*after.accepted, *_still(before, after)),
        other_exact=(*after.other_exact, *((value, by) for value, by in _exact(before) if value not in exact)),
    ), False


def _still(before: ItemPart, after: ItemPart) -> Iterator[Accepted]:
    known = {(one.low, one.high) for one in after.accepted}
    for one in before.accepted:
        if (one.low, one.high) not in known:
            yield Accepted(one.low, one.high, f"{_ANEW}the rule that the notebook printed: “{before.rule_text}”")


def _granted(one: Accepted, part: ItemPart) -> Accepted:
    """An answer by another way than the key's: it costs nothing, since nobody saw to it that the draw is fair."""
    return one if one.low == part.key or one.decided else one._replace(by=f"{_ANEW}{one.by}")


def _across(part: ItemPart, accepted: Sequence[Accepted]) -> Iterator[Accepted]:
    """The answers beyond a rounding boundary to which the value stands too near."""
    assert part.rule is not None and part.exact is not None
    known = {(one.low, one.high) for one in accepted}
    for exact in (part.exact, *(value for value, _ in part.other_exact)):
        low, high = ends(exact)
        near = part.rule.step_at(low) * MARGIN
        for value in (part.rule.rounded(low - near), part.rule.rounded(high + near)):
            if (value, value) not in known:
                known.add((value, value))
                yield Accepted(value, value, f"{_ANEW}across a rounding boundary to which the value stands too near")


def _written(value: Fraction, unit: str) -> str:
    return write_quantity(value, unit, None if has_finite_decimals(value) else 6)


def _exact(before: ItemPart) -> Iterator[tuple[Exact, str]]:
    if before.exact is not None:
        yield before.exact, "the rule that the notebook printed"
    yield from before.other_exact
