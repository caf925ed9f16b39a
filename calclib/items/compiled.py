"""An item model compiled for the forms in which its givens are stated and for a rounding policy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from calclib.chains.chain import Chain
from calclib.chains.compiling import compiled_step
from calclib.chains.expression import parse_sum
from calclib.chains.factors import Env, Factor, Names, bridged, factors_of, product_value, unit_of
from calclib.chains.kinds.product import Product
from calclib.chains.step import Step
from calclib.errors.messages import BadInput
from calclib.models.identity import ByIdentity
from calclib.models.model import Condition, GivenModel, ItemModel, StepModel
from calclib.models.stated import AMOUNT_IN_VOLUME, EVERY_HOURS, PERCENT, PERCENT_STRENGTH, PERCENT_UNIT, RATIO, Stated
from calclib.models.step_checks import step_expressions
from calclib.quantity.equivalences import equivalences
from calclib.quantity.rounding import RoundingPolicy, RoundingRule
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import write_number
from calclib.wording.facts import fact

Forms = tuple[tuple[str, tuple[str, ...]], ...]
PERCENT_CONSTANT = "percent_strength"

KEPT_FORMS = 4096
"""How many compiled models are kept, with what is worked out once for each: those of the bank and as many again."""


@dataclass(frozen=True)
class CompiledCondition:
    """A constraint in factors."""

    condition: Condition
    left: tuple[Factor, ...]
    right: tuple[Factor, ...]

    def holds(self, env: Env) -> bool:
        """Return whether the values fulfill the constraint."""
        left, right = product_value(self.left, env), product_value(self.right, env)
        relation = self.condition.relation
        if relation == "is a multiple of":
            return (left / right).denominator == 1  # type: ignore[union-attr]
        if relation in ("==", "!="):
            return (left == right) == (relation == "==")
        if relation.startswith("<"):
            return left <= right if relation == "<=" else left < right
        return left >= right if relation == ">=" else left > right


@dataclass(frozen=True)
class CompiledModel:
    """What is needed to run one item model for given forms and policy.

    Args:
        chain: The steps, conversions of stated forms first.
        where: The constraints.
        constants: Values of the model's constants.
        allowed: Roundings on the way that the policy allows, by step name.
    """

    chain: Chain
    where: tuple[CompiledCondition, ...]
    constants: Mapping[str, Fraction]
    allowed: Mapping[str, RoundingRule]


def compiled(model: ItemModel, stated: Mapping[str, Stated], policy: RoundingPolicy) -> CompiledModel:
    """Return the model compiled for how its givens are stated.

    Raises:
        BadInput: A step's units do not fit; the model's line is named.
    """
    forms: Forms = tuple(sorted((name, s.form) for name, s in stated.items()))
    return _compiled(ByIdentity(model), forms, ByIdentity(policy))


@lru_cache(maxsize=KEPT_FORMS)
def _compiled(model_key: ByIdentity[ItemModel], forms: Forms, policy_key: ByIdentity[RoundingPolicy]) -> CompiledModel:
    model, policy = model_key.record, policy_key.record
    units: dict[str, Unit] = {name: unit for name, (_, unit) in model.constants.items()}
    constants = {name: value for name, (value, _) in model.constants.items()}
    components: dict[str, tuple[tuple[str, int], ...]] = {}
    says = {name: model.words.get(name, _constant_words(name, value)) for name, value in constants.items()}
    conversions: list[Step] = []
    for name, form in forms:
        given = model.givens[name]
        says[name] = given.says
        conversions.extend(_stated_form(given, form, units, components, says, constants))
    texts = frozenset(name for name, _ in forms if model.givens[name].kind == "text")
    names = Names(units, components, says, texts)
    steps: list[Step] = list(conversions)
    used = _used(model)
    steps = [s for s in steps if s.name in used]
    for step_model in model.steps:
        try:
            step = _step(step_model, names, policy)
        except BadInput as error:
            raise BadInput(error.what, where=model.id, line=step_model.line) from None
        steps.append(step)
        units[step.name] = step.unit
        says[step.name] = step.says
    required, allowed = _intermediate(steps, conversions, model, policy)
    chain = Chain(tuple(steps), names, frozenset(s.name for s in conversions), required)
    return CompiledModel(chain, tuple(_condition(c, names, model) for c in model.where), constants, allowed)


def _constant_words(name: str, value: Fraction) -> str:
    """The name of a constant as words, with its number if that is not simply one."""
    words = name.replace("_", " ")
    return words if value == 1 else f"{words} ({write_number(value)})"


def _used(model: ItemModel) -> set[str]:
    """Names that steps, constraints or formulas mention; a distractor's form needs no conversion."""
    terms = [term for step in model.steps for text in step_expressions(step) for term in parse_sum(text)]
    powers = [power for term in terms for power in term.powers]
    powers += [power for condition in model.where for power in (*condition.left, *condition.right)]
    return {power.name for power in powers if power.number is None}


def _stated_form(
    given: GivenModel,
    form: tuple[str, ...],
    units: dict[str, Unit],
    components: dict[str, tuple[tuple[str, int], ...]],
    says: dict[str, str],
    constants: dict[str, Fraction],
) -> list[Step]:
    """Enter a given's names and return the step that converts its stated form, if one is needed."""
    name = given.name
    if given.kind == "clock":
        units[name] = parse_unit("min")
        return []
    if given.kind == "date":
        units[name] = parse_unit("day")
        return []
    if given.unit is None:
        units[name] = Unit(())
        return []
    units[name] = given.unit
    stated = f"{name}.stated"
    if form[0] == AMOUNT_IN_VOLUME:
        amount, volume = f"{name}.amount", f"{name}.volume"
        units[amount], units[volume] = parse_unit(form[1], "drug_amount"), parse_unit(form[2], "volume")
        components[name] = ((amount, 1), (volume, -1))
        says[amount], says[volume] = f"amount of drug in the {given.says}", f"volume in the {given.says}"
        return []
    says[stated] = given.says
    if form[0] == "unit":
        unit = _stated_unit(form[1], given)
        if unit == given.unit:
            return []
        units[stated] = unit
        factors: tuple[Factor, ...] = (Factor(stated, 1),)
    elif form[0] == PERCENT:
        units[stated], units[PERCENT_CONSTANT] = parse_unit("%"), PERCENT_UNIT
        constants[PERCENT_CONSTANT] = PERCENT_STRENGTH
        says[PERCENT_CONSTANT] = "meaning of percent"
        factors = (Factor(stated, 1), Factor(PERCENT_CONSTANT, 1))
    elif form[0] == RATIO:
        units[stated], factors = parse_unit("mL/g"), (Factor(stated, -1),)
    else:
        assert form[0] == EVERY_HOURS
        units[stated], factors = parse_unit("h/dose"), (Factor(stated, -1),)
    names = Names(units, components, says)
    factors = bridged(factors, names, given.unit, name)
    return [Product(name, given.says, given.unit, _converted_quantity(given, factors), (), factors)]


def _converted_quantity(given: GivenModel, factors: tuple[Factor, ...]) -> str:
    """A weight from pounds is rounded on the way by some courses; grams to kilograms is exact."""
    by_convention = any(f.is_equivalence and not equivalences()[f.equivalence].definition for f in factors)
    return given.kind if by_convention and given.kind == "body_weight" else ""


def _stated_unit(text: str, given: GivenModel) -> Unit:
    try:
        return parse_unit(text, given.kind if given.kind != "number" else None)
    except BadInput:
        return parse_unit(text)


def _step(model: StepModel, names: Names, policy: RoundingPolicy) -> Step:
    common = {
        "name": model.name,
        "says": model.says,
        "unit": model.unit,
        "quantity": model.quantity,
        "sources": model.sources,
    }
    fields = dict(model.fields)
    if model.kind == "round" and isinstance(fields.get("rule"), str):
        fields["rule"] = policy.rule(fields["rule"])
    return compiled_step(model.kind, common, fields, names)


def _intermediate(
    steps: list[Step], conversions: list[Step], model: ItemModel, policy: RoundingPolicy
) -> tuple[dict[str, RoundingRule], dict[str, RoundingRule]]:
    """Roundings on the way, required and allowed; an asked step is rounded by its own rule alone."""
    asked = {part.asks for part in model.parts}
    required: dict[str, RoundingRule] = {}
    allowed: dict[str, RoundingRule] = {}
    for step in steps:
        rule = policy.intermediate.get(step.quantity)
        if rule is None or step.name in asked or (rule.rule.unit and rule.rule.unit != str(step.unit)):
            continue
        (required if rule.when == "required" else allowed)[step.name] = rule.rule
    return required, allowed


def _condition(condition: Condition, names: Names, model: ItemModel) -> CompiledCondition:
    try:
        left = factors_of(condition.left, names)
        right = factors_of(condition.right, names)
        unit = unit_of(right, names) if condition.right_amount is None else condition.right_amount[1]
        left = _compared(condition, left, names, unit)
        if condition.right_amount is not None:
            right = (Factor("", 1, condition.right_amount[0]),)
        return CompiledCondition(condition, _numbered(left), _numbered(right))
    except BadInput as error:
        raise BadInput(
            fact("errors_items.condition", condition=condition.text, what=error.what),
            where=model.id,
            line=condition.line,
        ) from None


def _compared(condition: Condition, left: tuple[Factor, ...], names: Names, unit: Unit) -> tuple[Factor, ...]:
    """The left side in the unit of the right one."""
    try:
        return bridged(left, names, unit, "where", per_dose=True)
    except BadInput:
        have = str(unit_of(left, names)) or fact("errors_chains.pure_number")
        bare = condition.text.rpartition(condition.relation)[2].strip()
        if condition.right_amount is not None and not unit.powers:
            raise BadInput(fact("errors_items.unit_missing", number=bare, unit=have)) from None
        wanted = str(unit) or fact("errors_chains.pure_number")
        raise BadInput(fact("errors_items.not_comparable", have=have, wanted=wanted)) from None


def _numbered(factors: tuple[Factor, ...]) -> tuple[Factor, ...]:
    """Conversions as plain numbers: whether a draw is plausible does not hang on a convention."""
    values = equivalences()
    return tuple(Factor("", f.exponent, values[f.equivalence].value) if f.is_equivalence else f for f in factors)
