"""Whether a step of an item model is of a known kind, with the fields and names that it needs, and stays small."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from fractions import Fraction

from calclib.chains.compiling import STEP_KINDS
from calclib.chains.expression import Power, parse_sum
from calclib.chains.kinds.decide import names_in
from calclib.errors.messages import BadInput
from calclib.errors.nearest import nearest_or_nothing
from calclib.models.model import StepModel
from calclib.quantity.equivalences import exact_number
from calclib.wording.facts import Fact, fact

MAX_DEGREE = 40
"""Stated numbers multiplied into one value, counted through all steps: numbers that grow step by step would not end."""

MAX_BANDS = 20
MAX_EXPONENT = Fraction(4)
MAX_EXPONENT_DIGITS = 10_000

_EXPRESSIONS = ("of", "value", "low", "high", "add", "subtract", "start", "end", "key")


def caught(check: Callable[..., object], *of: object) -> Iterator[BadInput]:
    """Yield the mistake that a check raises.

    Args:
        check: The check.
        of: What it looks at.
    """
    try:
        check(*of)
    except BadInput as error:
        yield error


def step_mistakes(step: StepModel, degrees: dict[str, int]) -> Iterator[BadInput]:
    """Yield what is wrong with a step: its kind, its fields, the names that it uses, how many numbers it multiplies.

    Args:
        step: The step.
        degrees: By name, how many stated numbers each earlier value multiplies; the step's own is added.
    """
    wrong = [*caught(_check_kind, step), *caught(_check_fields, step)]
    unknown = [] if wrong else [*_unknown_names(step, degrees)]
    yield from (*wrong, *unknown)
    if not wrong and not unknown:
        yield from caught(_check_degree, step, degrees)


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
            degree += product_degree(term.powers, degrees, fact("errors_models.step", name=step.name), step.line)
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


def product_degree(powers: tuple[Power, ...], degrees: Mapping[str, int], what: Fact, line: int | None) -> int:
    """Return how many stated numbers a product multiplies.

    Args:
        powers: Its factors.
        degrees: The same of each value by name.
        what: What the product belongs to, for the message.
        line: The line where it stands.

    Raises:
        BadInput: More than MAX_DEGREE.
    """
    total = sum(abs(p.exponent) * (1 if p.number is not None else degrees.get(p.name, 1)) for p in powers)
    if total > MAX_DEGREE:
        raise BadInput(fact("errors_models.multiplies_too_many", what=what, most=MAX_DEGREE), line=line)
    return total
