"""What one part of an item model says of another: names that exist, units that agree, products that stay small."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from fractions import Fraction

from calclib.chains.compiling import STEP_KINDS
from calclib.chains.expression import Power, parse_sum
from calclib.chains.factors import Factor, Names, unit_of, units_differ, without_doses
from calclib.chains.kinds.decide import names_in
from calclib.errors.file_lines import FileLines
from calclib.errors.messages import BadInput
from calclib.errors.nearest import nearest_or_nothing
from calclib.formulary.records import AgeGroup
from calclib.models.devices import MARK, READINGS, device
from calclib.models.model import (
    SETUP,
    AgeFor,
    Choices,
    Condition,
    Formula,
    FromRow,
    GivenModel,
    Grid,
    ItemModel,
    StepModel,
    TableRow,
)
from calclib.models.orders import order_mistakes
from calclib.models.papers import HOLE
from calclib.models.stated import read_own
from calclib.quantity.equivalences import bridge_factor, exact_number
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact

MAX_DEGREE = 40
"""Stated numbers multiplied into one value, counted through all steps: numbers that grow step by step would not end."""

MAX_BANDS = 20
MAX_EXPONENT = Fraction(4)
MAX_EXPONENT_DIGITS = 10_000

WITH_SETUP = ("product",)

_EXPRESSIONS = ("of", "value", "low", "high", "add", "subtract", "start", "end", "key")


def model_mistakes(model: ItemModel, lines: FileLines, unread: frozenset[str]) -> Iterator[BadInput]:
    """Yield where the parts of a model don't fit each other.

    A name is unknown or comes twice, units do not agree, or numbers could grow without bound; each with its line.

    Args:
        model: The model.
        lines: Where the fields of its file stand.
        unread: Names that couldn't be read, so that their mistakes are known already and what hangs on them isn't
            looked at.
    """
    yield from _stem_mistakes(model, lines.line(("stem",)), unread)
    degrees: dict[str, int] = dict.fromkeys((*model.constants, *unread), 1)
    for place, given in enumerate(model.givens.values()):
        if not unread:
            yield from _caught(_check_given, model, given, tuple(model.givens.values())[:place], degrees)
        degrees.setdefault(given.name, 1)
    yield from _caught(_check_names, model)
    for step in model.steps:
        yield from _step_mistakes(step, degrees)
        degrees.setdefault(step.name, 1)
    for condition in model.where:
        yield from _where_mistakes(condition, degrees)
    if not unread:
        yield from order_mistakes(model)
        for place in range(len(model.parts)):
            yield from _caught(_check_part, model, place)


def _caught(check: Callable[..., object], *of: object) -> Iterator[BadInput]:
    try:
        check(*of)
    except BadInput as error:
        yield error


def _stem_mistakes(model: ItemModel, stem_line: int | None, unread: frozenset[str]) -> Iterator[BadInput]:
    printed = [(model.stem, stem_line), *((part.asked, part.line) for part in model.parts)]
    printed += [(text, paper.line) for paper in model.papers for text in paper.texts]
    for text, line in printed:
        for name in HOLE.findall(text):
            given = model.givens.get(name)
            if given is not None and given.drawn_on:
                yield BadInput(fact("errors_models.stated_on_device", name=name), line=line)
            elif name not in unread and (given is None or given.kind == "row" or given.role == "hidden"):
                stated = [n for n, g in model.givens.items() if g.kind != "row" and g.role != "hidden"]
                yield BadInput(
                    fact("errors_models.no_stated_given", name=name, hint=nearest_or_nothing(name, stated)), line=line
                )
        if re.search(r"[{}]", HOLE.sub("", text)):
            yield BadInput(fact("errors_models.brace_not_closed"), line=line)
    shown = {name for text, _ in printed for name in HOLE.findall(text)}
    for name, given in model.givens.items():
        if given.role in ("stated", "distractor") and given.kind != "row" and name not in shown and not given.drawn_on:
            yield BadInput(fact("errors_models.not_in_stem", name=name), line=given.line)


def _check_given(model: ItemModel, given: GivenModel, before: tuple[GivenModel, ...], degrees: dict[str, int]) -> None:
    """A given may point only at what is drawn before it."""
    if given.drawn_on:
        _check_drawn(given)
    earlier = {g.name: g for g in before}
    for what, pointed in (("draw", given.draw), ("forms", given.forms), ("mistaken", given.mistaken)):
        if isinstance(pointed, FromRow) and given.role != "column":
            _check_column(model, given, what, pointed, earlier)
    degrees[given.name] = 2 if given.kind == "mixture" else 1
    if isinstance(given.draw, AgeFor):
        _check_age(given, given.draw, earlier)
    if not isinstance(given.draw, Formula):
        return
    for power in given.draw.powers:
        known = earlier.get(power.name)
        if power.number is None and (known is None or known.unit is None):
            numbers = [name for name, g in earlier.items() if g.unit is not None]
            raise BadInput(
                fact(
                    "errors_models.no_number_before",
                    name=given.name,
                    of=power.name,
                    hint=nearest_or_nothing(power.name, numbers),
                ),
                line=given.line,
            )
    units = Names({name: g.unit for name, g in earlier.items() if g.unit is not None})
    factors = tuple(Factor(p.name, p.exponent, p.number) for p in given.draw.powers)
    have = unit_of(factors, units)
    assert given.unit is not None
    if without_doses(have) != without_doses(given.unit):
        raise BadInput(
            fact(
                "errors_models.unit_of_formula",
                name=given.name,
                have=_unit(have),
                unit=str(given.unit) or fact("errors_chains.no_unit"),
                why=units_differ(have, given.unit),
            ),
            line=given.line,
        )
    degrees[given.name] = _degree(given.draw.powers, degrees, fact("errors_models.given", name=given.name), given.line)


def _check_age(given: GivenModel, draw: AgeFor, earlier: Mapping[str, GivenModel]) -> None:
    """An age goes with a weight that is drawn before it."""
    weights = [name for name, one in earlier.items() if one.kind == "body_weight"]
    row, _, column = draw.group.partition(".")
    known = f"{row}.{column}" in earlier if column else draw.group in (AgeGroup.CHILD, AgeGroup.ADULT)
    if draw.weight not in weights or not known:
        hint = nearest_or_nothing(draw.weight, weights)
        groups = (str(AgeGroup.CHILD), str(AgeGroup.ADULT))
        what = fact("errors_models.age_for", name=given.name, of=draw.weight, hint=hint, known=groups)
        raise BadInput(what, line=given.line)


def _check_drawn(given: GivenModel) -> None:
    """A value drawn on a device is one of its marks, and is stated in its unit."""
    try:
        of = device(given.drawn_on)
    except BadInput as error:
        raise BadInput(fact("errors_models.in_its_given", name=given.name, what=error.what), line=given.line) from None
    if given.role != "stated" or given.forms != (of.unit,):
        raise BadInput(
            fact("errors_models.stated_in_unit_of_device", name=given.name, device=of.name, unit=of.unit),
            line=given.line,
        )
    if given.reads not in READINGS:
        raise BadInput(fact("errors_models.reads", name=given.name, known=tuple(READINGS)), line=given.line)
    if isinstance(given.draw, Grid):
        values = [given.draw.start, given.draw.end, given.draw.start + given.draw.step]
    elif isinstance(given.draw, Choices):
        values = [read_own(given, text).working or Fraction(0) for text in given.draw.texts]
    else:
        raise BadInput(fact("errors_models.device_without_range", name=given.name), line=given.line)
    last = values[1] if isinstance(given.draw, Grid) else max(values)
    wrong = [v for v in values if not of.has_mark(v) and v <= last]
    if given.reads == MARK:
        wrong = [v for v in values if v != of.mark]
    if wrong or last + of.ring > of.end + of.labelled:
        raise BadInput(
            fact(
                "errors_models.beyond_device",
                name=given.name,
                device=of.name,
                mark=of.written(of.mark),
                end=of.written(of.end),
            ),
            line=given.line,
        )


def _check_column(
    model: ItemModel, given: GivenModel, what: str, pointed: FromRow, earlier: Mapping[str, GivenModel]
) -> None:
    row = earlier.get(pointed.row)
    if row is None or not isinstance(row.draw, TableRow):
        raise BadInput(
            fact(
                "errors_models.no_given_of_kind_row",
                name=given.name,
                field=what,
                row=pointed.row,
                column=pointed.column,
            ),
            line=given.line,
        )
    columns = model.columns.get(pointed.row, ())
    if pointed.column not in columns:
        raise BadInput(
            fact(
                "errors_models.no_column_of_row",
                name=given.name,
                row=pointed.row,
                column=pointed.column,
                hint=nearest_or_nothing(pointed.column, columns),
            ),
            line=given.line,
        )


def _check_names(model: ItemModel) -> None:
    names = [*model.givens, *model.constants]
    for step in model.steps:
        if step.name in names:
            raise BadInput(fact("errors_models.name_twice", name=step.name), line=step.line)
        names.append(step.name)


def _step_mistakes(step: StepModel, degrees: dict[str, int]) -> Iterator[BadInput]:
    wrong = [*_caught(_check_kind, step), *_caught(_check_fields, step)]
    unknown = [] if wrong else [*_unknown_names(step, degrees)]
    yield from (*wrong, *unknown)
    if not wrong and not unknown:
        yield from _caught(_check_degree, step, degrees)


def _unknown_names(step: StepModel, degrees: Mapping[str, int]) -> Iterator[BadInput]:
    said: set[str] = set()
    for text in step_expressions(step):
        try:
            names = [p.name for term in parse_sum(text) for p in term.powers if p.number is None]
        except BadInput as error:
            yield BadInput(fact("errors_models.in_its_step", name=step.name, what=error.what), line=step.line)
            continue
        for name in names:
            if name not in degrees and name not in said:
                said.add(name)
                yield BadInput(
                    fact(
                        "errors_models.no_earlier_step",
                        step=step.name,
                        name=name,
                        hint=nearest_or_nothing(name, degrees),
                    ),
                    line=step.line,
                )


def _where_mistakes(condition: Condition, degrees: Mapping[str, int]) -> Iterator[BadInput]:
    powers = (*condition.left, *condition.right)
    unknown = dict.fromkeys(p.name for p in powers if p.number is None and p.name not in degrees)
    for name in unknown:
        yield BadInput(
            fact(
                "errors_models.no_value_in_where",
                condition=condition.text,
                name=name,
                hint=nearest_or_nothing(name, degrees),
            ),
            line=condition.line,
        )
    if not unknown:
        yield from _caught(
            _degree, powers, degrees, fact("errors_models.where", condition=condition.text), condition.line
        )


def _check_kind(step: StepModel) -> None:
    if step.kind not in STEP_KINDS:
        raise BadInput(
            fact(
                "errors_models.no_kind_of_step",
                step=step.name,
                name=step.kind,
                hint=nearest_or_nothing(step.kind, STEP_KINDS),
                known=tuple(STEP_KINDS),
            ),
            line=step.line,
        )


def _check_degree(step: StepModel, degrees: dict[str, int]) -> None:
    degree = 0
    for text in step_expressions(step):
        for term in parse_sum(text):
            degree += _degree(term.powers, degrees, fact("errors_models.step", name=step.name), step.line)
    if degree > MAX_DEGREE:
        raise BadInput(fact("errors_models.too_many_numbers", name=step.name), line=step.line)
    degrees[step.name] = degree + (step.kind == "band")


def step_expressions(step: StepModel) -> Iterator[str]:
    """Yield the texts of a step that name values."""
    for field in _EXPRESSIONS:
        value = step.fields.get(field)
        if isinstance(value, str):
            yield value
        elif isinstance(value, list):
            yield from value
    if step.kind == "decide":
        for row in step.fields.get("rows", ()):
            yield from names_in(str(row.get("that", ""))) if "that" in row else ()


def _check_fields(step: StepModel) -> None:
    """The forms of the fields that belong to one kind of step."""
    for name, value in step.fields.items():
        if name == "rows":
            continue
        plain = isinstance(value, bool) if name == "progressive" else isinstance(value, str)
        if name == "of" and step.kind == "limit":
            plain = isinstance(value, list) and all(isinstance(one, str) for one in value)
        elif name in ("choices", "missed"):
            plain = isinstance(value, dict) and all(isinstance(one, str) for one in value.values())
        elif name == "bands":
            plain = isinstance(value, list) and 0 < len(value) <= MAX_BANDS and all(_is_band(one) for one in value)
        elif name == "options":
            plain = isinstance(value, list) and 0 < len(value) <= MAX_BANDS and all(_is_option(one) for one in value)
        if not plain:
            raise BadInput(
                fact("errors_models.form_of_step", step=step.name, field=name, step_kind=step.kind), line=step.line
            )
    if step.kind == "power":
        try:
            exponent = exact_number(step.fields.get("exponent", ""))
        except (ValueError, ZeroDivisionError):
            exponent = MAX_EXPONENT + 1
        if exponent > MAX_EXPONENT or exponent.denominator > MAX_EXPONENT_DIGITS:
            raise BadInput(fact("errors_models.exponent", name=step.name, most=str(MAX_EXPONENT)), line=step.line)


def _is_band(band: object) -> bool:
    return isinstance(band, dict) and "rate" in band and all(isinstance(one, str) for one in band.values())


def _is_option(option: object) -> bool:
    return isinstance(option, dict) and {"label"} <= set(option) <= {"label", "upto"} and _all_text(option.values())


def _all_text(values: Iterable[object]) -> bool:
    return all(isinstance(one, str) for one in values)


def _degree(powers: tuple[Power, ...], degrees: Mapping[str, int], what: Fact, line: int | None) -> int:
    """How many stated numbers a product multiplies."""
    total = sum(abs(p.exponent) * (1 if p.number is not None else degrees.get(p.name, 1)) for p in powers)
    if total > MAX_DEGREE:
        raise BadInput(fact("errors_models.multiplies_too_many", what=what, most=MAX_DEGREE), line=line)
    return total


def _check_part(model: ItemModel, place: int) -> None:
    part = model.parts[place]
    steps = {step.name: step for step in model.steps}
    earlier = [other.name for other in model.parts[:place]]
    if part.name in earlier:
        raise BadInput(fact("errors_models.two_parts", name=part.name), line=part.line)
    if part.asks not in steps:
        raise BadInput(
            fact(
                "errors_models.no_step_to_ask",
                name=part.name,
                step=part.asks,
                hint=nearest_or_nothing(part.asks, steps),
            ),
            line=part.line,
        )
    for name in part.from_entered:
        if name in earlier and model.part(name).kind == SETUP:
            raise BadInput(fact("errors_models.entered_setup", part=part.name, name=name), line=part.line)
        if name not in earlier:
            raise BadInput(
                fact(
                    "errors_models.no_earlier_part", part=part.name, name=name, hint=nearest_or_nothing(name, earlier)
                ),
                line=part.line,
            )
    step = steps[part.asks]
    if part.kind not in ("", SETUP):
        raise BadInput(fact("errors_models.kind_of_part", name=part.name, known=SETUP), line=part.line)
    if part.kind == SETUP and (step.kind not in WITH_SETUP or part.rounding or part.from_entered):
        raise BadInput(
            fact("errors_models.no_step_for_setup", name=part.name, known=tuple(WITH_SETUP)),
            line=part.line,
        )
    if step.kind in ("clock", "compare", "choose", "decide"):
        return
    if not part.rounding and part.kind != SETUP:
        raise BadInput(fact("errors_models.no_rounding_rule", name=part.name), line=part.line)
    have, want = without_doses(step.unit), without_doses(part.unit)
    if have != want and bridge_factor(have, want, {}) is None:
        number = model.steps.index(step) + 1
        raise BadInput(
            fact(
                "errors_models.unit_of_part",
                number=number,
                step=step.name,
                have=_unit(have),
                part=part.name,
                want=_unit(want),
                why=units_differ(have, want),
            ),
            line=part.line,
        )


def _unit(unit: Unit) -> str | Fact:
    return str(unit) or fact("errors_chains.pure_number")
