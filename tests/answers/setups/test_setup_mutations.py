"""Set-ups built from every product of the bank, right as they are, and each with one thing wrong."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

import pytest

from calclib.answers import judge_setup
from calclib.answers.setups.bridges import bridge_of
from calclib.answers.setups.problem import SetupProblem, problem_of
from calclib.chains.factors import without_doses
from calclib.errors import BadInput
from calclib.models import bank
from calclib.quantity import rounding_policy
from calclib.quantity.equivalences import equivalences
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import write_number
from tests.items.drawn import drawn_items

OTHER_UNIT = {"mL": "L", "L": "mL", "h": "min", "min": "h", "mg": "g", "g": "mg", "mcg": "mg", "kg": "lb", "lb": "kg"}
FEW = 2


@dataclass(frozen=True)
class Piece:
    """A factor of a set-up: a number of the stem, or a conversion (`unit` None)."""

    name: str
    value: Fraction
    unit: Unit | None
    exponent: int


def pieces_of(problem: SetupProblem) -> list[Piece]:
    """The factors of the right set-up, conversions last."""
    pieces = []
    unit = Unit(())
    for name, exponent in problem.expected.items():
        if name.startswith("#"):
            pieces.append(Piece(name, Fraction(name[1:]), Unit(()), exponent))
            continue
        value, own = problem.values[name], problem.chain.unit(name)
        assert isinstance(value, Fraction)
        unit = unit * own**exponent
        if str(own) == "%" and "percent_strength" in problem.values:
            own = parse_unit("g")
        if name == "percent_strength":
            value, own, exponent = Fraction(100), parse_unit("mL"), -exponent
        pieces += [Piece(name, value, own, 1 if exponent > 0 else -1)] * abs(exponent)
    for name, exponent in bridge_of(without_doses(unit), problem.unit) or ():
        pieces += [Piece(name, problem.conversion_value(name), None, 1 if exponent > 0 else -1)] * abs(exponent)
    return pieces


def typed(pieces: list[Piece]) -> str:
    """The set-up as one types it; "" if nothing stands above the line."""
    ordered = sorted(pieces, key=lambda p: (p.exponent < 0 and p.unit is not None, p.unit is None))
    if not ordered or (ordered[0].exponent < 0 and ordered[0].unit is not None):
        return ""
    text = ""
    for piece in ordered:
        if piece.unit is None:
            eq = equivalences()[piece.name]
            many, one = amount(piece.value, Unit.of([(eq.of, 1)])), amount(Fraction(1), Unit.of([(eq.per, 1)]))
            shown, sign = (f"{many}/{one}" if piece.exponent > 0 else f"{one}/{many}"), " x "
        else:
            shown, sign = amount(piece.value, piece.unit), " x " if piece.exponent > 0 else " / "
        text += f"{sign if text else ''}{shown}"
    return text


def amount(value: Fraction, unit: Unit) -> str:
    """A number with its unit as one types it."""
    words = "meter" if str(unit) == "m" else str(unit).replace("% TBSA", "%")
    return f"{write_number(value)} {words}".strip()


def mutations(pieces: list[Piece]) -> Iterator[tuple[str, Piece, list[Piece]]]:
    """Each factor upside down, left out, twice, with another number, with another unit."""
    for place, piece in enumerate(pieces):
        before, after = pieces[:place], pieces[place + 1 :]
        yield "inverted", piece, [*before, replace(piece, exponent=-piece.exponent), *after]
        if len(pieces) > 1:
            yield "missing", piece, [*before, *after]
        yield "extra", piece, [*pieces, piece]
        kind = "wrong conversion" if piece.unit is None else "wrong number"
        yield kind, piece, [*before, replace(piece, value=piece.value * Fraction(7, 5) + Fraction(1, 8)), *after]
        if piece.unit is not None and piece.unit.powers and (other := OTHER_UNIT.get(piece.unit.powers[0][0])):
            first, *rest = piece.unit.powers
            yield "wrong unit", piece, [*before, replace(piece, unit=Unit.of([(other, first[1]), *rest])), *after]


def ambiguous(problem: SetupProblem, pieces: list[Piece]) -> bool:
    """Whether a change can be read in two ways, or a unit is one that nobody writes: mL x %/g.

    A number may be 1, stand twice, have the value of a conversion, or be another one upside down: 4 beside 0.25.
    """
    if any(piece.unit is not None and len(piece.unit.powers) > 1 and "%" in str(piece.unit) for piece in pieces):
        return True
    results = {step.name for step in problem.chain.steps}
    numbers = [q for q in problem.quantities if len(q.exponents) == 1 and not results & set(q.exponents)]
    stated = [q.value for q in numbers if q.stated or q.exponents.keys() & problem.expected.keys()]
    factors = [piece.value for piece in pieces if piece.unit is None]
    conversions = {value for value, *_ in problem.conversions_of(frozenset({"g", "mg", "h", "min"}))}
    taught = {value for value, *_ in problem.conversions_of(frozenset({"kg", "lb"}))}
    twice = len(set(stated + factors)) < len(stated + factors) or len(set(pieces)) < len(pieces)
    values = [*stated, *(piece.value for piece in pieces)]
    upside_down = any(value and 1 / value in values for value in values)  # 1 is so too
    quotients = {one / other for one in values for other in values if one and other}
    return twice or bool(conversions & set(stated)) or upside_down or bool(taught & quotients)


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_one_thing_wrong_in_a_product_is_named(model_id: str) -> None:
    """The right set-up is explained; every single change of it is named with what it concerns.

    A set-up in which a number is 1, stands twice, could be a conversion or is another one upside down is left out:
    there a change can be read in two ways.
    """
    model, policy = bank()[model_id], rounding_policy()
    missed = []
    for item in drawn_items(model_id)[:FEW]:
        for part in item.parts:
            problem = problem_of(item, model, policy, part.name) if part.only_products else None
            if problem is None:
                continue
            try:
                pieces = pieces_of(problem)
                right = typed(pieces)
            except BadInput:  # a number without end
                continue
            if ambiguous(problem, pieces):
                continue
            assert judge_setup(item, model, policy, part.name, right).verdict == "explained", right
            for kind, piece, changed in mutations(pieces):
                text = typed(changed)
                verdict = judge_setup(item, model, policy, part.name, text) if text else None
                if verdict is None or verdict.verdict == "unread":
                    continue
                what = {q.says for q in problem.quantities if piece.name in q.exponents} | {problem.says(piece.name)}
                what |= {problem.conversion_text(piece.name)} if piece.unit is None else set()
                if not any(f.kind == kind and f.what in what for f in verdict.findings):
                    missed.append(f"{part.name} {kind} {piece.name}: {text}: {verdict}")
    assert missed == []
