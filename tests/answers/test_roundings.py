"""One classification of how a number was rounded: the same for every part and every policy."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.answers import PartVerdict, judge_item, marking_policy
from calclib.answers.roundings import TypedNumber, rounding_of
from calclib.items import Item, ItemPart, draw_item
from calclib.models import bank
from calclib.quantity import rounding_policies
from calclib.quantity.enclosure import ends
from calclib.quantity.rounding import RoundingBand, RoundingRule
from calclib.quantity.writing import has_finite_decimals, write_number
from calclib.reading import Reading, read_answer
from tests.items.drawn import item_under

RULES = tomllib.loads((Path(__file__).parent / "roundings.toml").read_text(encoding="utf-8"))["rule"]
ROWS = [pytest.param(rule, row, id=f"{row['typed']}-for-{row['exact']}") for rule in RULES for row in rule["rows"]]
HOMEWORK = marking_policy("homework")
POLICIES = sorted(rounding_policies())
FIRST_DIFFERENCES = (Fraction(2, 5), Fraction(-2, 5), Fraction(1), Fraction(-1), Fraction(3, 2), Fraction(-3, 2))


def rule_of(table: dict[str, Any]) -> RoundingRule:
    """The rule of a table of rows."""
    bands = [RoundingBand(Fraction(1), Fraction(table["below"]))] if "below" in table else []
    bands.append(RoundingBand(None, Fraction(table["step"])))
    return RoundingRule("asked", "", tuple(bands), table.get("mode", "nearest"), "half_up", "common_practice")


@pytest.mark.parametrize(("table", "row"), ROWS)
def test_a_number_is_named_as_the_table_decides(table: dict[str, Any], row: dict[str, Any]) -> None:
    """Cut off, rounded the wrong way, too few digits, more digits than asked, or none of these."""
    rule, exact, factor = rule_of(table), Fraction(row["exact"]), Fraction(row.get("factor", "1"))
    reading = read_answer(row["typed"], "quantity")
    assert isinstance(reading, Reading)
    assert reading.value is not None
    value = reading.value * factor
    found = rounding_of(exact, rule, TypedNumber(value, reading.decimals, factor))
    kind = "key" if value == rule.rounded(exact) else found.kind if found else ""
    assert kind == row["kind"]


def amounts(item: Item | None) -> Iterator[ItemPart]:
    """The parts that ask for an amount that is rounded."""
    for part in item.parts if item else ():
        if part.kind == "quantity" and part.rule is not None and part.rule.step_at(ends(part.exact)[0]):  # type: ignore[arg-type]
            yield part


def judged(item: Item, part: ItemPart, value: Fraction) -> PartVerdict:
    """The verdict on a number in the unit asked."""
    text = f"{write_number(value)} {part.unit}"
    return next(v for v in judge_item(item, {part.name: text}, HOMEWORK) if v.part == part.name)


def nearest(value: Fraction, place: Fraction) -> Fraction:
    """A value rounded at a place, half up."""
    return (value / place + Fraction(1, 2)).__floor__() * place


def written(part: ItemPart) -> Iterator[tuple[str, Fraction]]:
    """The exact value of a part written at the digits asked, more finely and more coarsely, with what that is."""
    exact, rule = part.exact, part.rule
    assert exact is not None
    assert rule is not None
    low, high = ends(exact)
    step = rule.step_at(low)
    found = [("cut_off", (low / step).__floor__() * step), ("wrong_direction", (high / step).__ceil__() * step)]
    for n in range(-4, 6):
        place = Fraction(10) ** -n
        if place < step and n > 0:
            found.append(("finer_than_asked", (low / place).__floor__() * place))
            found.append(("finer_than_asked", nearest(low, place)))
        elif place > step:
            found.append(("too_few_digits", nearest(low, place)))
    taken = {part.key}
    for kind, value in found:
        if value > 0 and value not in taken and not (kind == "too_few_digits" and abs(value - low) * 20 > low):
            taken.add(value)
            yield kind, value


@pytest.mark.parametrize("model_id", sorted(bank()))
@pytest.mark.parametrize("policy", ["tenths-and-wholes"])
def test_a_rounding_has_the_same_name_in_every_part(model_id: str, policy: str) -> None:
    """The exact value, cut off, rounded the other way, with fewer or more digits, is called so wherever it is asked."""
    names_agree(item_under(model_id, policy))


@pytest.mark.parametrize("model_id", sorted(bank())[::12])
@pytest.mark.parametrize("policy", [name for name in POLICIES if name not in ("tenths-and-wholes", "exact")])
def test_a_rounding_has_the_same_name_under_every_policy(model_id: str, policy: str) -> None:
    """The same by every rounding policy."""
    names_agree(item_under(model_id, policy))


def names_agree(item: Item | None) -> None:
    """What the exact value becomes is named, unless a known mistake or another legitimate path leads to that number."""
    for part in amounts(item):
        assert item is not None
        for kind, value in written(part):
            if any(accepted.holds(value) for accepted in part.accepted):
                continue
            found = judged(item, part, value)
            if kind == "too_few_digits" and part.exact == part.key:  # nothing was to be rounded at the end
                on_the_way = found.rounding is not None and found.rounding.kind == "rounded_on_the_way"
                assert found.verdict.startswith("wrong") or on_the_way, f"{model_and(item, part)}: {value}"
                continue
            if kind == "too_few_digits" and found.verdict == "wrong_with_cause":
                assert any(fault.hard and fault.written == value for fault in part.faults), found.message
                continue
            assert found.rounding is not None, f"{model_and(item, part)}: {value} is {found.verdict}, not {kind}"
            by_another_path = bool(part.other_exact) and found.rounding.kind == "finer_than_asked"
            assert found.rounding.kind == kind or by_another_path, f"{model_and(item, part)}: {value}"
            expected = "right_before_rounding" if found.rounding.kind == "finer_than_asked" else "rounded_wrongly"
            assert found.verdict == expected


def model_and(item: Item, part: ItemPart) -> str:
    """What a failure is about."""
    return f"{item.model_id} {part.name} (exactly {part.exact}, key {part.key})"


@pytest.mark.parametrize("model_id", sorted(bank()))
def test_a_number_beside_the_answer_is_right_by_no_way(model_id: str) -> None:
    """What is neither the exact value at some digits nor where a rounding on the way leads is wrong.

    The ways are worked out here once more, from the values that the item records.
    """
    item = item_under(model_id, "tenths-and-wholes")
    for part in amounts(item):
        assert item is not None
        assert part.rule is not None
        assert part.exact is not None
        low, high = ends(part.exact)
        step = part.rule.step_at(low)
        assert part.key is not None
        for difference in FIRST_DIFFERENCES:
            value = part.key + difference * step
            if value <= 0 or not has_finite_decimals(value) or reachable(part, value, low, high):
                continue
            assert judged(item, part, value).verdict.startswith("wrong"), f"{model_and(item, part)}: {value}"


def reachable(part: ItemPart, value: Fraction, low: Fraction, high: Fraction) -> bool:
    """Whether a number is some exact value of the part, rounded or cut off at some digits, or by the rule beside it."""
    assert part.rule is not None
    paths = [low, high, *(ends(exact)[0] for exact, _ in part.other_exact)]
    step = part.rule.step_at(low)
    beside = {(end / step).__floor__() * step for end in (low, high)} | {(high / step).__ceil__() * step}
    if value in beside or any(accepted.holds(value) for accepted in part.accepted):
        return True
    ways = [*paths, *(ends(way.value)[0] for way in part.ways)]
    for exact in ways:
        if part.rule.rounded(exact) == value or exact == value:
            return True
        for n in range(-4, 8):
            scale = Fraction(10) ** n
            if value in ((exact * scale).__floor__() / scale, (exact * scale + Fraction(1, 2)).__floor__() / scale):
                return True
    return False


def test_a_record_without_ways_calls_no_number_rounded_on_the_way() -> None:
    """A set that was handed out before ways were recorded is judged as ever; where it can't know, it abstains."""
    item = draw_item(bank()["which-oral-syringe"], "offs 3")
    part = next(part for part in item.parts if part.kind == "quantity" and part.ways)
    way = next(way for way in part.ways if isinstance(way.value, Fraction) and way.value != part.exact)
    assert part.rule is not None
    older = item._replace(parts=tuple(p._replace(ways=(), one_unit="", converts=None) for p in item.parts))
    text = f"{way.value.numerator}/{way.value.denominator} {part.unit}"  # type: ignore[union-attr]
    new, old = (
        next(v for v in judge_item(one, {part.name: text}, HOMEWORK) if v.part == part.name) for one in (item, older)
    )
    assert (new.verdict, old.verdict[:5]) == ("rounded_wrongly", "wrong")
    assert new.rounding is not None
    assert (new.rounding.kind, new.rounding.step) == ("rounded_on_the_way", way.step)
