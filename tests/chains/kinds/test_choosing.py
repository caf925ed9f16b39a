"""Steps that choose a size, and steps that count the time between two times of day."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest

from calclib.chains.chain import Chain
from calclib.chains.compiling import compiled_step
from calclib.chains.factors import Names
from calclib.chains.hints import Hints
from calclib.chains.kinds.choose import Choose
from calclib.chains.measured import measured_values
from calclib.chains.shown import GAP
from calclib.chains.step import Step
from calclib.chains.symbolic import number, symbol, symbolic_value, word
from calclib.chains.worked_solution import Asked, worked_lines
from calclib.errors import BadInput
from calclib.faults.enumeration import step_faults
from calclib.quantity.units import Unit, parse_unit
from calclib.wording import sentence

UNITS = Names({"volume": parse_unit("mL"), "first": parse_unit("min"), "last": parse_unit("min")})
SYRINGES = [
    {"upto": "1 mL", "label": "1 mL syringe"},
    {"upto": "3 mL", "label": "3 mL syringe"},
    {"upto": "0.005 L", "label": "5 mL syringe"},
]


def choose(options: list[dict[str, str]] = SYRINGES) -> Step:
    """A step that chooses a syringe for a volume."""
    common = {"name": "syringe", "says": "syringe", "unit": Unit(()), "quantity": "", "sources": ()}
    return compiled_step("choose", common, {"of": "volume", "options": options}, UNITS)


def between() -> Step:
    """A step that counts the minutes from the first to the last time."""
    common = {"name": "ran", "says": "time", "unit": parse_unit("min"), "quantity": "", "sources": ()}
    return compiled_step("between", common, {"start": "first", "end": "last"}, UNITS)


def minutes(clock: str) -> Fraction:
    """Minutes after midnight of four digits."""
    return Fraction(int(clock[:2]) * 60 + int(clock[2:]))


@pytest.mark.parametrize(("volume", "label"), [("0.4", "1"), ("1", "1"), ("1.01", "3"), ("3", "3"), ("5", "5")])
def test_the_smallest_that_holds_the_volume_is_chosen(volume: str, label: str) -> None:
    """A volume equal to a limit still fits; the three ways to run a chain agree."""
    step = choose()
    env: dict[str, Any] = {"volume": Fraction(volume)}
    chain = Chain((step,), UNITS)

    assert step.evaluate(env) == f"{label} mL syringe"
    assert measured_values(chain, env)["syringe"] == f"{label} mL syringe"
    assert symbolic_value(chain, "syringe").subs(symbol("volume"), number(env["volume"])) == word(f"{label} mL syringe")
    assert label in sentence(
        worked_lines(chain, {**env, "syringe": step.evaluate(env)}, Asked("syringe", Unit(()), None, label))[0]
    )


def test_a_volume_that_nothing_holds_is_refused() -> None:
    """No syringe is chosen that is too small."""
    with pytest.raises(BadInput):
        choose().evaluate({"volume": Fraction(6)})


@pytest.mark.parametrize(
    "options",
    [SYRINGES[:1], SYRINGES[::-1], [{"label": "any"}, SYRINGES[0]], [{"upto": "1 h", "label": "a"}, {"label": "b"}]],
)
def test_options_must_rise_and_measure_the_value(options: list[dict[str, str]]) -> None:
    """Options that do not rise, one alone, and limits of another kind are refused with a sentence."""
    with pytest.raises(BadInput):
        choose(options)


def test_the_neighbors_of_the_right_size_are_mistakes() -> None:
    """A larger one than needed and one that is too small can be told apart from the right one."""
    step = choose()
    chosen = set()
    for fault in step_faults(step, Chain((step,), UNITS)):
        assert isinstance(fault.edit.step, Choose)
        chosen.add(fault.edit.step.evaluate({"volume": Fraction(2)}))

    assert chosen == {"1 mL syringe", "5 mL syringe"}


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [("1345", "1530", 105), ("2215", "0630", 495), ("0000", "2359", 1439), ("0800", "0800", 0)],
)
def test_the_day_turns_over_between_two_times(first: str, last: str, expected: int) -> None:
    """An end before the start is one of the next day; a time after itself is no time; the ways to run it agree."""
    step = between()
    env: dict[str, Any] = {"first": minutes(first), "last": minutes(last)}
    chain = Chain((step,), UNITS)

    assert step.evaluate(env) == expected
    assert measured_values(chain, env)["ran"] == expected
    symbols = {symbol: env[symbol.name] for symbol in symbolic_value(chain, "ran").free_symbols}
    assert symbolic_value(chain, "ran").subs(symbols) == expected


def test_clock_times_subtracted_as_numbers_are_a_mistake_of_their_own() -> None:
    """1530 less 1345 is 105 minutes, not 185; 2215 to 0630 is not 0630 to 2215."""
    step = between()
    faults = {fault.kind: fault.edit.step for fault in step_faults(step, Chain((step,), UNITS))}
    day: dict[str, Any] = {"first": minutes("1345"), "last": minutes("1530")}
    night: dict[str, Any] = {"first": minutes("2215"), "last": minutes("0630")}
    wrong, back = faults["clock as number"], faults["counted backwards"]
    assert wrong is not None and back is not None

    assert (wrong.evaluate(day), wrong.evaluate(night)) == (185, 815)
    assert (back.evaluate(day), back.evaluate(night)) == (105, 945)


def test_hints_leave_the_size_and_the_end_open() -> None:
    """The second rung shows the step with a gap and not its result."""
    for step, env in ((choose(), {"volume": Fraction(2)}), (between(), {"first": Fraction(0), "last": Fraction(95)})):
        chain = Chain((step,), UNITS)
        hints = Hints(chain, {**env, step.name: step.evaluate(env)}, step.name, "", ())

        assert GAP in " ".join(map(sentence, hints.lines(2)))


@pytest.mark.parametrize(("amount", "value"), [("59.5", 60), ("60", 60), ("60.5", 80), ("80", 80)])
def test_a_row_may_hold_its_limit(amount: str, value: int) -> None:
    """A table of syringes picks the one that a dose just fills, as the choice of a syringe does."""
    names = Names({"amount": parse_unit("mg")})
    common = {"name": "syringe", "says": "syringe", "unit": parse_unit("mg"), "quantity": "", "sources": ()}
    rows = [{"upto": "60 mg", "holds": "60 mg"}, {"upto": "80 mg", "holds": "80 mg"}]
    step = compiled_step("lookup", common, {"table": "t", "key": "amount", "column": "holds", "rows": rows}, names)
    chain = Chain((step,), names)

    assert step.evaluate({"amount": Fraction(amount)}) == value
    assert measured_values(chain, {"amount": Fraction(amount)})["syringe"] == value
    assert symbolic_value(chain, "syringe").subs(symbol("amount"), number(Fraction(amount))) == value
