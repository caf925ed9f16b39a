"""Numbers of the formulas and the ranges in which they hold, from `constants.toml`."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from typing import Any

from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Exact
from calclib.quantity.registry import Quantity, magnitude, quantity
from calclib.quantity.writing import read_number, write_quantity
from calclib.wording.facts import fact


def constant(name: str) -> Quantity:
    """One number of a formula with its unit."""
    entry = _table()["constant"][name]
    return quantity(read_number(entry["value"]), entry["unit"])


def number(name: str) -> Exact:
    """One number of a formula without its unit, for one that takes numbers in fixed units."""
    return read_number(_table()["constant"][name]["value"])


def constant_text(name: str) -> str:
    """One number of a formula with its unit, as a data file writes it: "2.3 kg/in".

    Raises:
        BadInput: No formula has a number of that name.
    """
    entry = _entry("constant", name)
    return f"{entry['value']} {entry['unit']}".strip()


def band_texts(name: str) -> list[dict[str, str]]:
    """Rates by band of weight as a data file writes them: "10 kg", "4 mL/kg/h".

    Raises:
        BadInput: No formula has bands of that name.
    """
    entry = _entry("bands", name)
    return [
        {
            **({"upto": f"{band['upto']} kg"} if "upto" in band else {}),
            "rate": f"{band['rate']} {entry['unit']}",
        }
        for band in entry["bands"]
    ]


def _entry(kind: str, name: str) -> Mapping[str, Any]:
    found: Mapping[str, Any] | None = _table()[kind].get(name)
    if found is None:
        near = get_close_matches(name, _table()[kind], 1)
        hint = (
            fact("errors.did_you_mean", name=near[0]) if near else fact("errors.there_are", known=tuple(_table()[kind]))
        )
        raise BadInput(
            fact("errors_formulas.no_bands" if kind == "bands" else "errors_formulas.no_number", name=name, hint=hint)
        )
    return found


def in_range(given: Quantity, name: str) -> Exact:
    """The number of a quantity in the unit of the range that it must lie in.

    Raises:
        BadInput: if it measures something else, or lies outside the range.
    """
    limits = _table()["range"][name]
    low, high, unit = read_number(limits["low"]), read_number(limits["high"]), limits["unit"]
    found = magnitude(given, unit, limits["says"])
    if not low <= found <= high:
        raise BadInput(
            fact(
                "errors_formulas.out_of_range",
                name=limits["says"],
                low=write_quantity(low, unit),
                high=write_quantity(high, unit),
                given=str(given),
            )
        )
    return found


def positive(given: Quantity, unit: str, what: str) -> Exact:
    """The number of a quantity in a unit, above zero.

    Raises:
        BadInput: if it measures something else, or is not above zero.
    """
    found = magnitude(given, unit, what)
    if not found > 0:
        raise BadInput(fact("errors_formulas.not_positive", what=what, given=str(given)))
    return found


def bands(name: str) -> Mapping[str, Any]:
    """Rates by band of weight: `unit`, `source`, and `bands` of `upto` and `rate`."""
    found: Mapping[str, Any] = _table()["bands"][name]
    return found


@cache
def _table() -> Mapping[str, Mapping[str, Any]]:
    return tomllib.loads(files("calclib.formulas").joinpath("constants.toml").read_text(encoding="utf-8"))
