"""From the values of one draw to an item: keys, accepted answers, what each fault leads to, and whether it is fair."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain, Edit
from calclib.chains.factors import Value, without_doses
from calclib.chains.kinds.choice import Choice
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.product import Product
from calclib.errors.messages import BadInput
from calclib.faults.enumeration import conversion_words
from calclib.items.compiled import CompiledModel
from calclib.items.devices import device
from calclib.items.drawn import Drawing, drawing_for
from calclib.items.fault_classes import FARTHEST, FaultClass, fault_classes
from calclib.items.item import Accepted, FaultResult, Item, ItemPart, StatedGiven
from calclib.items.model import SETUP, ItemModel, PartModel
from calclib.items.setup_text import RULE, setup_text
from calclib.items.solution import with_worked
from calclib.items.stated import Stated, clock_text
from calclib.paths.legitimate import KEY_PATH, Path, legitimate_paths
from calclib.quantity.enclosure import Enclosure, Exact, Undecided
from calclib.quantity.equivalences import bridge_factor, equivalences, exact_number
from calclib.quantity.rounding import RoundingPolicy, RoundingRule
from calclib.quantity.units import Unit
from calclib.quantity.writing import has_finite_decimals, write_quantity

MARGIN = Fraction(1, 20)
NEGLIGIBLE = Fraction(1, 20)
ONE = Fraction(1)

Values = Mapping[str, Value]


@dataclass(frozen=True)
class Unusable:
    """Why a draw is not used.

    Args:
        why: The reason in words.
        fair: Whether all legitimate ways led to the key, so that two mistakes with one answer are the reason.
    """

    why: str
    fair: bool


def variants_of(
    model: ItemModel, chain: Chain, policy: RoundingPolicy, use: Mapping[str, Fraction]
) -> dict[str, tuple[Fraction, ...]]:
    """Return the values that count as right for each conversion of a chain, the key's first.

    What a teacher fixes or the stem states is the only right one; else the policy decides.
    """
    result: dict[str, tuple[Fraction, ...]] = {}
    for name in chain.equivalences:
        allowed = tuple(exact_number(text) for text in policy.equivalences.get(name, ()))
        default = allowed[0] if allowed else equivalences()[name].value
        if name in use:
            result[name] = (use[name],)
        elif name in model.states or not allowed:
            result[name] = (default,)
        else:
            result[name] = allowed
    return result


def keyed_item(
    model: ItemModel,
    seed: str,
    policy: RoundingPolicy,
    ready: CompiledModel,
    stated: Mapping[str, Stated],
    done: Values,
    variants: Mapping[str, tuple[Fraction, ...]],
    note: str,
    at_any_rate: bool,
) -> Item | Unusable:
    """Return the item of one draw, its keys by the exact path; or why it is not used, as soon as that is known.

    Args:
        model: The item model.
        seed: The seed text.
        policy: The rounding policy.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
        variants: Values that count as right for each conversion, the key's first.
        note: What is unusual about the values.
        at_any_rate: Whether the item is wanted even if it is not fair or not diagnosable.
    """
    chain = ready.chain
    why = [note] if note else []
    outcomes = _outcomes(model, policy, ready, done, variants)
    parts: list[ItemPart] = []
    fair = diagnosable = True
    for part_model in model.parts:
        part: ItemPart = part_of(part_model, policy, chain, done)
        part, problems = _with_paths(part, [(path, values[part.name]) for path, values in outcomes])
        if problems and not at_any_rate:
            return Unusable(f"part {part.name}: {problems[0]}", False)
        fair = fair and not problems
        why += [f"part {part.name}: {p}" for p in problems]
        parts.append(replace(part, asked=filled(part.asked, stated)))
    classes = fault_classes(model, ready, stated, done)
    for place, (part, part_model) in enumerate(zip(parts, model.parts, strict=True)):
        if part.kind == SETUP:
            continue
        faults, collisions = _fault_results(part, part_model, chain, classes[part_model.asks])
        if collisions and not at_any_rate:
            return Unusable(f"part {part.name}: {collisions[0]}", True)
        diagnosable = diagnosable and not collisions
        why += [f"part {part.name}: {p}" for p in collisions]
        parts[place] = replace(part, faults=faults)
    item = Item(
        model_id=model.id,
        model_version=model.version,
        model_hash=model.hash,
        topic=model.topic,
        skill=model.skill,
        seed=seed,
        policy_name=policy.name,
        equivalences={n: str(v[0]) for n, v in variants.items()},
        stem=stem_text(model, stated, variants, chain.rounded_first()),
        givens=tuple(
            StatedGiven(n, s.text, model.givens[n].role, model.givens[n].says)
            for n, s in stated.items()
            if model.givens[n].role in ("stated", "distractor") or f"{{{n}}}" in model.stem
        ),
        parts=tuple(parts),
        caution=model.caution,
        fair=fair,
        diagnosable=diagnosable,
        why=tuple(why),
        drawings=drawings_of(model, stated),
    )
    return with_worked(item, model, chain, done)


def drawings_of(model: ItemModel, stated: Mapping[str, Stated]) -> tuple[Drawing, ...]:
    """Return the drawings from which values are read."""
    return tuple(
        drawing_for(name, device(given.drawn_on), given.reads, stated[name].working or Fraction(0))
        for name, given in model.givens.items()
        if given.drawn_on and name in stated
    )


def stem_text(
    model: ItemModel,
    stated: Mapping[str, Stated],
    variants: Mapping[str, tuple[Fraction, ...]],
    rounded_first: Sequence[str],
) -> str:
    """Return the stem with its values, the conversions on which sources differ, and what must be rounded on the way."""
    text = filled(model.stem, stated)
    conventions = [
        equivalence_text(name, values[0])
        for name, values in variants.items()
        if not equivalences()[name].definition and (len(values) == 1 or name in model.states)
    ]
    text = f"{text} Use {' and '.join(conventions)}." if conventions else text
    return " ".join([text, *rounded_first])


def filled(text: str, stated: Mapping[str, Stated]) -> str:
    """Return a text with {names} replaced by what is stated."""
    for name, value in stated.items():
        text = text.replace(f"{{{name}}}", value.text)
    return text


def equivalence_text(name: str, value: Fraction) -> str:
    """Return a conversion as a stem prints it."""
    return conversion_words(replace(equivalences()[name], value=value))


def part_of(part: PartModel, policy: RoundingPolicy, chain: Chain, done: Values) -> ItemPart:
    """Return a part with its key by the values of a chain, its accepted answer that key alone.

    Args:
        part: The part of the model.
        policy: The rounding policy.
        chain: The compiled chain.
        done: All values of the chain.

    Raises:
        BadInput: The part's unit measures something else than the step that it asks.
        Undecided: An irrational value stands too near to a rounding boundary.
    """
    step = chain.by_name[part.asks]
    value = done[part.asks]
    if isinstance(step, Choice):
        assert isinstance(value, str)
        return ItemPart(
            part.name,
            "choice",
            part.asked,
            "",
            value,
            None,
            None,
            None,
            "",
            part.points,
            step.labels,
            (),
            value,
            (),
            proceed=step.proceed,
        )
    assert not isinstance(value, str)
    if isinstance(step, Clock):
        rule = policy.rule(part.rounding or "clock")
        key = rule.rounded(value)
        text = "Answer with a time on the 24-hour clock, and the day if it is not the same."
        return ItemPart(
            part.name,
            "clock",
            part.asked,
            "",
            clock_text(key),
            value,
            key,
            rule,
            text,
            part.points,
            (),
            (Accepted(key, key, KEY_PATH),),
            None,
            (),
        )
    exact = _in_part_unit(value, part, chain)
    if part.kind == SETUP:
        text = setup_text(chain, done, part.asks)
        unit = str(without_doses(part.unit))
        return ItemPart(
            part.name, SETUP, part.asked, unit, text, exact, None, None, RULE, part.points, (), (), None, ()
        )
    rule = policy.rule(part.rounding)
    key = rule.rounded(exact)
    unit = str(without_doses(part.unit))
    return ItemPart(
        part.name,
        "quantity",
        part.asked,
        unit,
        write_quantity(key, unit, None if has_finite_decimals(key) else 6),
        exact,
        key,
        rule,
        rule.text(unit),
        part.points,
        (),
        (Accepted(key, key, KEY_PATH),),
        None,
        (),
        only_products=all(isinstance(s, Product) for s in chain.steps if chain.depends(part.asks, s.name)),
    )


def _in_part_unit(value: Exact, part: PartModel, chain: Chain) -> Exact:
    have = chain.unit(part.asks)
    factor = _factor(have, part.unit)
    if factor is None:
        raise BadInput(
            f"part {part.name} is asked in {part.unit}, but the step {part.asks} is in {have}", line=part.line
        )
    return value if factor is ONE else value * factor


@lru_cache(maxsize=1024)
def _factor(have: Unit, want: Unit) -> Fraction | None:
    """The number that leads from one unit to another, doses aside; None if they measure different things."""
    have, want = without_doses(have), without_doses(want)
    return ONE if have == want else bridge_factor(have, want, {})


def in_step_unit(value: Fraction, part: PartModel, chain: Chain) -> Fraction:
    """Return a value in the unit that a part asks, in the unit of the step asked."""
    scale = _in_part_unit(Fraction(1), part, chain)
    assert isinstance(scale, Fraction)
    return value / scale


def _outcomes(
    model: ItemModel,
    policy: RoundingPolicy,
    ready: CompiledModel,
    done: Values,
    variants: Mapping[str, tuple[Fraction, ...]],
) -> list[tuple[Path, dict[str, Value | None]]]:
    """The exact value of each part by each legitimate path; None where a path can't be followed."""
    chain = ready.chain
    paths = legitimate_paths(
        chain,
        variants=variants,
        allowed=ready.allowed,
        from_entered=any(part.from_entered for part in model.parts),
    )
    results = []
    for path in paths:
        values: dict[str, Value | None] = {}
        entered: dict[str, Value] = {}
        for part in model.parts:
            edit = Edit(values={**path.values, **(entered if path.entered else {})}, rounding=path.rounding)
            try:
                value = chain.reevaluate(done, edit)[part.asks] if edit.touches else done[part.asks]
                step = chain.by_name[part.asks]
                if isinstance(value, str) or isinstance(step, Clock):
                    values[part.name] = value
                    continue
                values[part.name] = _in_part_unit(value, part, chain)
                if any(part.name in other.from_entered for other in model.parts):
                    rounded = policy.rule(part.rounding).rounded(values[part.name])  # type: ignore[arg-type]
                    entered[part.asks] = in_step_unit(rounded, part, chain)
            except (ZeroDivisionError, Undecided):
                values[part.name] = None
        results.append((path, values))
    return results


def _with_paths(part: ItemPart, outcomes: Sequence[tuple[Path, Value | None]]) -> tuple[ItemPart, list[str]]:
    """The part with its accepted answers, and what is unfair about it."""
    accepted: dict[Fraction, str] = {}
    exact: dict[Exact, str] = {}
    problems: list[str] = []
    if part.kind == SETUP:
        return part, problems
    for path, value in outcomes:
        if value is None:
            problems.append(f"by the path “{path.says}” no rounding can be decided")
        elif part.kind == "choice":
            if value != part.accepted_choice:
                problems.append(f"the path “{path.says}” leads to “{value}”, not to “{part.accepted_choice}”")
        else:
            assert part.rule is not None and not isinstance(value, str)
            rounded = part.rule.rounded(value)
            accepted.setdefault(rounded, path.says)
            if value != part.exact:
                exact.setdefault(value, path.says)
            if rounded != part.key:
                other = write_quantity(rounded, part.unit, None if has_finite_decimals(rounded) else 6)
                problems.append(f"the path “{path.says}” leads to {other}, not to {part.answer}")
            elif part.rule.steps_from_boundary(value) < MARGIN:
                problems.append(f"by the path “{path.says}” the value stands too near to a rounding boundary")
    accepted_values = tuple(Accepted(v, v, by) for v, by in accepted.items())
    return replace(part, accepted=accepted_values, other_exact=tuple(exact.items())), problems


def _fault_results(
    part: ItemPart, model: PartModel, chain: Chain, classes: Sequence[FaultClass]
) -> tuple[tuple[FaultResult, ...], list[str]]:
    """What each fault leads to in a part, and which hard faults can't be told apart."""
    results: dict[Fraction | str, FaultResult] = {}
    marks: dict[Fraction | str, int | None] = {}
    collisions: list[str] = []
    for fault_class in sorted(classes, key=lambda c: c.fault.spare):
        result = _result(part, model, chain, fault_class)
        if result is None:
            continue
        mark = result.choice if result.choice is not None else result.written
        assert mark is not None
        other = results.get(mark)
        if fault_class.fault.spare:
            results[mark] = result if other is None else other._replace(also=(*other.also, result.fault))
        elif other is None:
            results[mark], marks[mark] = result, fault_class.but_for_rounding
        elif result.hard and other.hard and part.kind != "choice":
            same = result.fault == other.fault and result.step == other.step and result.given == other.given
            same = same or fault_class.but_for_rounding == marks[mark] is not None
            if same or (result.value == other.value and _at_one(result.fault, other.fault)):
                results[mark] = other._replace(also=(*other.also, result.fault))
                continue
            collisions.append(f"“{other.says}” and “{result.says}” both lead to the same answer")
            results[mark] = other._replace(also=(*other.also, result.fault))
        elif result.hard:
            results[mark] = result._replace(also=(*result.also, other.fault))
            marks[mark] = fault_class.but_for_rounding
    return tuple(results.values()), collisions


def _at_one(fault: str, other: str) -> bool:
    """Whether two faults that come to one value may be named together.

    A value may be taken for another by any mistake. Leaving out a factor of 10, as of tubing with 10 gtt/mL, is a slip
    of the decimal point too: to refuse such draws would leave the commonest tubing out of all items.
    """
    left_out = {"left out", "amount left out", "volume left out"}
    return "wrong value" in (fault, other) or ("decimal slip" in (fault, other) and bool(left_out & {fault, other}))


def _result(part: ItemPart, model: PartModel, chain: Chain, fault_class: FaultClass) -> FaultResult | None:
    fault, value = fault_class.fault, fault_class.value
    also = tuple(f.kind for f in fault_class.others)
    if isinstance(value, str):
        if value == part.accepted_choice:
            return None
        return FaultResult(fault.kind, fault.step, fault.given, fault.says, None, None, value, True, also)
    assert part.rule is not None and part.key is not None
    exact = value if part.kind == "clock" else _in_part_unit(value, model, chain)
    if isinstance(exact, Enclosure):
        exact = exact.middle.limit_denominator(10**12)
    if part.kind == "clock":
        written = part.rule.rounded(exact)
        hard = written % 1440 != part.key % 1440
    else:
        if exact <= 0 or (part.key > 0 and not part.key / FARTHEST <= exact <= part.key * FARTHEST):
            return None
        written = as_written(exact, part.rule)
        hard = written != part.key
    if written == part.key and exact == part.exact:
        return None
    return FaultResult(fault.kind, fault.step, fault.given, fault.says, exact, written, None, hard, also)


def as_written(value: Fraction, rule: RoundingRule) -> Fraction:
    """Return a value as a student who rounds by the rule would write it.

    Where the rule would change a small value by more than a twentieth, or does not end the decimals, three digits are
    kept instead.
    """
    rounded = rule.rounded(value)
    if abs(rounded - value) <= abs(value) * NEGLIGIBLE and has_finite_decimals(rounded):
        return rounded
    return _three_digits(value)


def _three_digits(value: Fraction) -> Fraction:
    """A value with its first three digits, an exact half rounded up."""
    top, bottom = abs(value).as_integer_ratio()
    if not top:
        return value
    places = 3 - len(str(top // bottom)) if top >= bottom else 1 + len(str(bottom // top))
    while top * 10**places < 100 * bottom if places >= 0 else top < 100 * bottom * 10**-places:
        places += 1
    scale = Fraction(10) ** places
    return (value * scale + Fraction(1, 2)).__floor__() / scale
