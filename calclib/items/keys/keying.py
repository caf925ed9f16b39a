"""From the values of one draw to an item: keys, accepted answers, what each fault leads to, and whether it is fair."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType

from calclib.chains.chain import Chain
from calclib.chains.factors import without_doses
from calclib.chains.kinds.choice import Choice
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.decide import Decide
from calclib.chains.kinds.product import Product
from calclib.items.compiled import CompiledModel
from calclib.items.drawn import Drawing, drawing_for
from calclib.items.item import Accepted, Item, ItemPart, StatedGiven
from calclib.items.keys.fairness import Values, far_from_exact, in_part, outcomes_of, with_paths
from calclib.items.keys.on_the_way import ways_of
from calclib.items.keys.one_unit import one_unit_of
from calclib.items.mistakes.fault_classes import DrawnFaults, FaultClass
from calclib.items.mistakes.fault_results import fault_results, with_rarer_faults
from calclib.items.part_units import asked_value, in_step_unit
from calclib.items.recorded.way_values import WayValues
from calclib.items.setup_text import setup_text
from calclib.items.solution import with_worked
from calclib.items.stated_rounding import is_high_alert, refuse_split_tablets
from calclib.models.devices import device
from calclib.models.model import SETUP, ItemModel, PartModel
from calclib.models.stated import Stated, clock_text
from calclib.paths.legitimate import KEY_PATH
from calclib.quantity.equivalences import equivalences, exact_number
from calclib.quantity.rounding import RoundingPolicy
from calclib.quantity.writing import conversion_words, has_finite_decimals, write_quantity
from calclib.wording.facts import Fact
from calclib.wording.sentences import said, sentence

COINCIDENCE = "draw.same_answer"


@dataclass(frozen=True)
class Unusable:
    """Why a draw is not used.

    Args:
        why: The reason.
        fair: Whether all legitimate ways led to the key, so that two mistakes with one answer are the reason.
    """

    why: Fact
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
    note: Fact | None,
    allow_unfair: bool,
    may_coincide: bool = False,
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
        note: What is unusual about the values, None for nothing.
        allow_unfair: Whether the item is wanted even if it is not fair or not diagnosable.
        may_coincide: Whether two mistakes may lead to the same wrong answer.
    """
    chain = ready.chain
    keyed = keyed_parts(model, policy, ready, stated, done, variants, allow_unfair=allow_unfair)
    if isinstance(keyed, Unusable):
        return keyed
    parts, problems = keyed
    why = [*([] if note is None else [note]), *problems]
    fair = not problems
    diagnosable = True
    drawn = DrawnFaults(model, ready, stated, done)
    far: list[list[FaultClass]] = []
    for place, (part, part_model) in enumerate(zip(parts, model.parts, strict=True)):
        if part.kind == SETUP:
            far.append([])
            continue
        classes = drawn.classes(part_model.asks)
        faults, beyond, collisions = fault_results(part, part_model, chain, classes, whole=allow_unfair or may_coincide)
        refused = [one for one in collisions if not (may_coincide and one.kind == COINCIDENCE)]
        if refused and not allow_unfair:
            return Unusable(in_part(part, refused[0]), True)
        diagnosable = diagnosable and not collisions
        why += [in_part(part, p) for p in collisions]
        parts[place] = part._replace(faults=faults)
        far.append(beyond)
    parts = with_rarer_faults(parts, far, model, drawn)
    item = Item(
        model_id=model.id,
        model_version=model.version,
        model_hash=model.hash,
        topic=model.topic,
        skill=model.skill,
        seed=seed,
        policy_name=policy.name,
        equivalences={n: str(v[0]) for n, v in variants.items()},
        stem=stem_text(model, stated, variants, tuple(map(sentence, chain.rounded_first()))),
        givens=tuple(
            StatedGiven(n, s.text, _role(model, n), model.givens[n].says)
            for n, s in stated.items()
            if n in model.recorded_names
        ),
        parts=tuple(parts),
        caution=model.caution,
        fair=fair,
        diagnosable=diagnosable,
        why=tuple(why),
        drawings=drawings_of(model, stated),
        papers=tuple(paper.filled(lambda text: filled(text, stated)) for paper in model.papers),
    )
    return with_worked(item, model, chain, done)


def keyed_parts(
    model: ItemModel,
    policy: RoundingPolicy,
    ready: CompiledModel,
    stated: Mapping[str, Stated],
    done: Values,
    variants: Mapping[str, tuple[Fraction, ...]],
    *,
    allow_unfair: bool = False,
) -> tuple[list[ItemPart], list[Fact]] | Unusable:
    """Return the parts of one draw with their keys, and what is unfair about them; or the first thing that is.

    Args:
        model: The item model.
        policy: The rounding policy.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
        variants: Values that count as right for each conversion, the key's first.
        allow_unfair: Whether they are wanted even if they are not fair.

    Raises:
        BadInput: A rule splits a tablet that may not be split.
    """
    chain = ready.chain
    outcomes = outcomes_of(model, policy, ready, done, variants)
    parts: list[ItemPart] = []
    why: list[Fact] = []
    entered: dict[str, Fraction] = {}
    high_alert = is_high_alert(model, stated)
    for part_model in model.parts:
        part: ItemPart = part_of(part_model, policy, chain, done, dict(entered))
        part = part._replace(says=chain.by_name[part_model.asks].says)
        if part.kind == "quantity" and part.key is not None:
            entered[part_model.asks] = in_step_unit(part.key, part_model, chain)
        if part.rule is not None and part.exact is not None:
            refuse_split_tablets(part.rule, part.exact, part.unit)
        part, problems = with_paths(part, [(path, values[part.name]) for path, values in outcomes])
        problems += far_from_exact(part, high_alert)
        if problems and not allow_unfair:
            return Unusable(in_part(part, problems[0]), False)
        why += [in_part(part, one) for one in problems]
        one_unit, converts = one_unit_of(part_model, ready, stated)
        parts.append(part._replace(asked=filled(part.asked, stated), one_unit=one_unit, converts=converts))
    return parts, why


def shared_answer(
    model: ItemModel, ready: CompiledModel, stated: Mapping[str, Stated], done: Values, parts: Sequence[ItemPart]
) -> Fact | None:
    """Return the first two mistakes of a draw that lead to the same answer, None if none do.

    Args:
        model: The item model.
        ready: The model compiled for how the givens are stated.
        stated: The givens as stated.
        done: All values of the chain.
        parts: The parts with their keys.
    """
    drawn = DrawnFaults(model, ready, stated, done)
    for part, part_model in zip(parts, model.parts, strict=True):
        if part.kind != SETUP:
            classes = drawn.classes(part_model.asks)
            _, _, collisions = fault_results(part, part_model, ready.chain, classes, whole=False)
            if collisions:
                return in_part(part, collisions[0])
    return None


def _role(model: ItemModel, name: str) -> str:
    """The role of a given; a column that is printed nowhere is hidden to whoever reads the record."""
    role = model.givens[name].role
    return "hidden" if role == "column" and name not in model.printed else role


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


def part_of(
    part: PartModel,
    policy: RoundingPolicy,
    chain: Chain,
    done: Values,
    entered: Mapping[str, Fraction] = MappingProxyType({}),
) -> ItemPart:
    """Return a part with its key by the values of a chain, its accepted answer that key alone.

    Args:
        part: The part of the model.
        policy: The rounding policy.
        chain: The compiled chain.
        done: All values of the chain.
        entered: By the step that they ask, the rounded answers of earlier parts, in the unit of the step.

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
            missed=step.found(done).missed if isinstance(step, Decide) else step.missed(value),
            decides=step.column if isinstance(step, Decide) else "",
        )
    assert not isinstance(value, str)
    if isinstance(step, Clock):
        rule = policy.rule(part.rounding or "clock")
        key = rule.rounded(value)
        text = said("rounding_rule.clock")
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
    exact = asked_value(done, part, chain)
    if part.kind == SETUP:
        text = setup_text(chain, done, part.asks)
        unit = str(without_doses(part.unit))
        rule_text = said("rounding_rule.setup")
        return ItemPart(
            part.name, SETUP, part.asked, unit, text, exact, None, None, rule_text, part.points, (), (), None, ()
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
        said("rounding_rule.counted_up") if isinstance(step, CountUp) else rule.text(unit),
        part.points,
        (),
        (Accepted(key, key, KEY_PATH),),
        None,
        (),
        only_products=all(isinstance(s, Product) for s in chain.steps if chain.depends(part.asks, s.name)),
        ways=WayValues(lambda: ways_of(part, chain, done, entered)),
    )
