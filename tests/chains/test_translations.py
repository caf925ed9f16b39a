"""Every compiled chain against two independent readings of its steps: sympy's algebra and pint's units."""

from __future__ import annotations

from fractions import Fraction

import pytest

from calclib.chains.chain import NO_EDIT, Edit
from calclib.chains.factors import Factor, Value
from calclib.chains.kinds.band import Band, RateBand
from calclib.chains.kinds.clock import Clock
from calclib.chains.kinds.count_up import CountUp
from calclib.chains.kinds.limit import Limit
from calclib.chains.kinds.lookup import Lookup, Row
from calclib.chains.kinds.root import RaisedTo
from calclib.chains.kinds.rounding import Round
from calclib.chains.measured import measured_values
from calclib.chains.step import Step
from calclib.chains.symbolic import Expression, number, rounded, symbol, symbolic, symbolic_values
from calclib.items import Item, solution_of
from calclib.quantity.enclosure import Enclosure
from calclib.quantity.policies import rounding_policies, rounding_policy
from calclib.quantity.units import Unit, parse_unit
from tests.items.drawn import A_FIFTH, MODELS, drawn_items, model

DIGITS = 60


def agrees(value: Value, expression: Expression) -> bool:
    """Whether an exact value is what sympy computes; an enclosure must hold it."""
    if isinstance(value, Enclosure):
        return value.holds(Fraction(str(expression.evalf(DIGITS))))
    return bool(expression == number(value))


def substituted(expression: Expression, values: dict[str, Value]) -> Expression:
    """Put the values of givens and equivalences into an expression."""
    return expression.subs({symbol(name): number(value) for name, value in values.items()})


@pytest.mark.parametrize("name", MODELS)
def test_sympy_agrees_on_every_step(name: str) -> None:
    """The value of every step is that of sympy's expression, exactly; a root lies in its enclosure."""
    for item in drawn_items(name)[:2]:
        solution = solution_of(item, model(name))
        inputs = {n: v for n, v in solution.values.items() if n not in solution.chain.by_name}
        expressions = symbolic_values(solution.chain)
        for step in solution.chain.steps:
            assert agrees(solution.values[step.name], substituted(expressions[step.name], inputs)), step.name


@pytest.mark.parametrize("name", A_FIFTH)
def test_pint_agrees_on_every_step(name: str) -> None:
    """With units in place of equivalences every step comes to the same number in its unit."""
    for item in drawn_items(name)[:3]:
        solution = solution_of(item, model(name))
        inputs = {n: v for n, v in solution.values.items() if n not in solution.chain.by_name}
        measured = measured_values(solution.chain, inputs)
        for step in solution.chain.steps:
            ours, theirs = solution.values[step.name], measured[step.name]
            if isinstance(ours, Enclosure):
                assert isinstance(theirs, Enclosure) and theirs.holds(ours.middle) and ours.holds(theirs.middle)
            else:
                assert theirs == ours, step.name


@pytest.mark.parametrize("name", [n for n in MODELS if '"lb"' in model(n).text])
def test_pint_agrees_under_another_convention(name: str) -> None:
    """Another value of a convention goes through chain and registry alike."""
    stated = (i for i in drawn_items(name) if "lb_per_kg" in i.equivalences)
    item = next(stated, None)
    if item is None:  # none of the drawn items is stated in pounds
        return
    solution = solution_of(_with_pounds(item, "110231/50000"), model(name))
    inputs = {n: v for n, v in solution.values.items() if n not in solution.chain.by_name}

    assert inputs["eq:lb_per_kg"] == Fraction(110231, 50000)
    measured = measured_values(solution.chain, inputs)
    for step in solution.chain.steps:
        if not isinstance(solution.values[step.name], Enclosure):
            assert measured[step.name] == solution.values[step.name]


def _with_pounds(item: Item, value: str) -> Item:

    return item._replace(equivalences={**item.equivalences, "lb_per_kg": value})


COMMON = ("step", "step", Unit(()), "", ())
KG = parse_unit("kg")
RISING = (RateBand(Fraction(10), Fraction(4)), RateBand(Fraction(20), Fraction(2)), RateBand(None, Fraction(1)))
ROWS = (Row(None, None, Fraction(5), Fraction(1)), Row(None, Fraction(5), Fraction(9), Fraction(2)))
STEPS: dict[str, Step] = {
    "band": Band(*COMMON, of="x", bands=RISING),
    "one rate": Band(*COMMON, of="x", bands=RISING, progressive=False),
    "count up": CountUp(*COMMON, factors=(Factor("x", 1),)),
    "count down": CountUp(*COMMON, factors=(Factor("x", 1),), down=True),
    "least": Limit(*COMMON, take="least", terms=((Factor("x", 1),), (Factor("", 1, Fraction(7)),))),
    "greatest": Limit(*COMMON, take="greatest", terms=((Factor("x", 1),), (Factor("", 1, Fraction(7)),))),
    "power": RaisedTo(*COMMON, base="x", exponent=Fraction(29, 40)),
    "clock": Clock(*COMMON, start="start", add=(Factor("x", 1),)),
    "decimal minutes": Clock(*COMMON, start="start", add=(Factor("x", 1),), variant="decimal minutes"),
    "cut off": Clock(*COMMON, start="start", add=(Factor("x", 1),), variant="decimal minutes, cut off"),
    "lookup": Lookup(*COMMON, key="x", rows=ROWS),
}


CORNERS = ("0.5", "4.999", "5", "17/3", "8", "10", "20", "20.01", "90")
IN_THE_TABLE = CORNERS[:5]


@pytest.mark.parametrize(
    ("kind", "x"), [(kind, x) for kind in STEPS for x in (IN_THE_TABLE if kind == "lookup" else CORNERS)]
)
def test_kinds_agree_with_sympy_at_their_corners(kind: str, x: str) -> None:
    """Each kind of step agrees with its translation also where it bends."""
    step = STEPS[kind]
    env: dict[str, Value] = {"x": Fraction(x), "start": Fraction(1400)}
    known = {name: number(value) for name, value in env.items()}

    assert agrees(step.evaluate(env), symbolic(step, known))


RULES = sorted({rule for policy in rounding_policies().values() for rule in policy.rules.values()}, key=repr)


@pytest.mark.parametrize("x", ["0", "0.05", "0.25", "0.35", "0.5", "0.994", "0.995", "1", "2.5", "9.95", "10", "12.25"])
def test_rounding_rules_agree_with_sympy(x: str) -> None:
    """Each rounding rule of each policy agrees with its translation, at ties too."""
    for rule in RULES:
        expression = rounded(number(Fraction(x)), rule)
        assert agrees(rule.rounded(Fraction(x)), expression), rule


@pytest.mark.parametrize("x", ["2.345", "2.5", "19.75"])
def test_the_rounding_step_agrees_with_sympy(x: str) -> None:
    """A step of kind round is the policy's rule."""
    step = Round(*COMMON, of="x", rule=rounding_policy().rule("body_surface"))

    assert agrees(step.evaluate({"x": Fraction(x)}), symbolic(step, {"x": number(Fraction(x))}))


@pytest.mark.parametrize("name", A_FIFTH)
def test_edits_agree_with_sympy(name: str) -> None:
    """A scaled value and a rounding on the way mean the same in a chain and in its translation."""
    item = drawn_items(name)[0]
    solution = solution_of(item, model(name))
    chain, values = solution.chain, solution.values
    inputs = {n: v for n, v in values.items() if n not in chain.by_name}
    scaled = next(n for s in chain.steps for n in s.inputs if isinstance(inputs.get(n), Fraction) and ":" not in n)
    first = next((s for s in chain.steps if not isinstance(values[s.name], str)), None)  # some only decide
    tenth = rounding_policy("tenths").rule("default")
    early = (Edit(rounding={first.name: tenth}),) if first else ()
    for edit in (NO_EDIT, Edit(scales={scaled: Fraction(11, 10)}), *early):
        try:
            done = chain.reevaluate(values, edit)
        except Exception as error:
            if "row" in str(error):  # a scaled key may leave the table
                continue
            raise
        expressions = symbolic_values(chain, edit)
        for step in chain.steps:
            assert agrees(done[step.name], substituted(expressions[step.name], inputs)), (step.name, edit)
