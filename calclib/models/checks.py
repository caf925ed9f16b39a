"""What one part of an item model says of another: names that exist, units that agree, products that stay small."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from fractions import Fraction

from calclib.chains.factors import Factor, Names, unit_of, units_differ, without_doses
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
    TableRow,
)
from calclib.models.orders import order_mistakes
from calclib.models.papers import HOLE
from calclib.models.stated import read_own
from calclib.models.step_checks import caught, product_degree, step_mistakes
from calclib.quantity.equivalences import bridge_factor
from calclib.quantity.units import Unit
from calclib.wording.facts import Fact, fact

WITH_SETUP = ("product",)


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
            yield from caught(_check_given, model, given, tuple(model.givens.values())[:place], degrees)
        degrees.setdefault(given.name, 1)
    yield from caught(_check_names, model)
    for step in model.steps:
        yield from step_mistakes(step, degrees)
        degrees.setdefault(step.name, 1)
    for condition in model.where:
        yield from _where_mistakes(condition, degrees)
    if not unread:
        yield from order_mistakes(model)
        for place in range(len(model.parts)):
            yield from caught(_check_part, model, place)


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
    degrees[given.name] = product_degree(
        given.draw.powers, degrees, fact("errors_models.given", name=given.name), given.line
    )


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
        yield from caught(
            product_degree, powers, degrees, fact("errors_models.where", condition=condition.text), condition.line
        )


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
