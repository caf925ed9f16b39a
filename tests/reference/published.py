"""Reads published examples and computes them with our formulas; the expected digits are the source's own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import calclib.formulas
from calclib.quantity.clock import parse
from calclib.quantity.enclosure import Exact
from calclib.quantity.equivalences import bridge_factor, exact_number
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.quantity.rounding import Mode, RoundingBand, RoundingRule
from calclib.quantity.units import parse_unit

HERE = Path(__file__).parent
_MIXTURE = re.compile(r"([\d.,]+ [^/]+)/([\d.]+ .+)")
_NUMBER = re.compile(r"[\d.]+(/[\d.]+)?")


def rows(topic: str) -> list[dict[str, Any]]:
    """The rows of one file."""
    found: list[dict[str, Any]] = tomllib.loads((HERE / f"{topic}.toml").read_text(encoding="utf-8"))["row"]
    return found


def at_printed_digits(x: Exact, printed: str, mode: Mode = "nearest", decimals: int | None = None) -> Fraction:
    """Our number, rounded to as many digits as the source prints; `decimals` where a table leaves out zeros."""
    decimals = len(printed.partition(".")[2]) if decimals is None else decimals
    rule = RoundingRule("printed", "", (RoundingBand(None, Fraction(1, 10**decimals)),), mode, "half_up", "from_memory")
    return rule.rounded(x)


def computed(row: Mapping[str, Any]) -> Quantity:
    """What our formulas make of the givens of a row."""
    return value({**row["given"], "formula": row["formula"]})


def value(given: Any) -> Any:
    """A given: a text, a whole number, or a formula with givens of its own."""
    if isinstance(given, str):
        return _amount(given)
    if not isinstance(given, dict):
        return given
    formula, extra = given["formula"], {"formula", "decimals", "in_unit", "part"}
    givens = {name: part for name, part in given.items() if name not in extra}
    result = _OWN[formula](givens) if formula in _OWN else _published(formula, givens)
    if "part" in given:
        result = result[given["part"]]
    if "decimals" in given:
        unit = given.get("in_unit") or givens["to"]
        rounded = at_printed_digits(magnitude(result, unit, "step"), "0." + "0" * given["decimals"])
        return quantity(rounded, unit)
    return result


def _published(formula: str, givens: Mapping[str, Any]) -> Any:
    words = {"rule", "sex", "doses_per_day", "valence"}
    arguments = {name: part if name in words else value(part) for name, part in givens.items()}
    first, *_ = arguments
    return getattr(calclib.formulas, formula)(arguments.pop(first), **arguments)


def _amount(text: str) -> Quantity:
    if match := _MIXTURE.fullmatch(text):
        return quantity(match[1]) / quantity(match[2])
    return quantity(exact_number(text), "") if _NUMBER.fullmatch(text) else quantity(text)


def _product(givens: Mapping[str, Any]) -> Quantity:
    result = quantity(1, "")
    for factor in givens.get("times", ()):
        result = result * value(factor)
    for factor in givens.get("over", ()):
        result = result / value(factor)
    return result


def _sum(givens: Mapping[str, Any]) -> Quantity:
    first, *others = (value(part) for part in givens["of"])
    return sum(others, start=first)


def _difference(givens: Mapping[str, Any]) -> Quantity:
    first, *others = (value(part) for part in givens["of"])
    return first - sum(others[1:], start=others[0])


def _convert(givens: Mapping[str, Any]) -> Quantity:
    texts = givens["quantity"] if isinstance(givens["quantity"], list) else [givens["quantity"]]
    to, kind = givens["to"], givens.get("kind") or _weight_kind(givens["to"], texts)
    total = Fraction(0)
    for text in texts:
        number, _, unit = text.partition(" ")
        if unit.startswith("deg"):
            return quantity(text).to(to)
        use = {name: exact_number(factor) for name, factor in givens.get("use", {}).items()}
        factor = bridge_factor(parse_unit(unit, kind), parse_unit(to, kind), use)
        assert factor is not None, (unit, to)
        total += exact_number(number) * factor
    return quantity(total, to, kind)


def _weight_kind(to: str, texts: list[str]) -> str | None:
    return "body_weight" if any(text.endswith("lb") for text in texts) else None


_OWN = {"product": _product, "sum": _sum, "difference": _difference, "convert": _convert}


def clock_text(row: Mapping[str, Any]) -> str:
    """The time on the clock that a row asks for."""
    minutes = magnitude(value(row["given"]["add"]), "min", "time")
    assert isinstance(minutes, Fraction)
    return parse(row["given"]["start"]).plus(minutes).write()
