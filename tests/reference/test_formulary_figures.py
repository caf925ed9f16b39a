"""The formulary's figures against the digits that labels and guidelines print."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.formulary import Kind, Limit, Use, drug_named
from calclib.quantity.amounts import parse_amount
from calclib.quantity.equivalences import bridge_factor

ROWS: list[dict[str, Any]] = tomllib.loads(Path(__file__).with_name("formulary.toml").read_text("utf-8"))["figure"]


def ids(row: dict[str, Any]) -> str:
    """Names a test by drug and figure."""
    return f"{row['drug']}, {row['indication']}: {row['kind']}"


def use_of(row: dict[str, Any]) -> Use:
    """The use that the row speaks of; exactly one has its route, group and indication."""
    (use,) = [
        use
        for use in drug_named(row["drug"]).uses
        if row["route"] in use.routes and use.group == row["group"] and use.indication == row["indication"]
    ]
    return use


def limit_of(row: dict[str, Any]) -> Limit:
    """The figure; a stated dilution stands for a concentration where no limit is printed."""
    use, kind = use_of(row), Kind(row["kind"])
    limit = use.limit(kind) or (use.limit(Kind.CONCENTRATION_STATED) if kind is Kind.CONCENTRATION else None)
    assert limit is not None
    return limit


def printed(number: str, unit: str, like: Any) -> Fraction:
    """What the source prints, in the formulary's unit."""
    value, printed_unit = parse_amount(f"{number} {unit}")
    factor = bridge_factor(printed_unit, like.unit, {})
    assert factor is not None
    return value * factor


@pytest.mark.parametrize("row", ROWS, ids=ids)
def test_a_figure_has_the_printed_digits(row: dict[str, Any]) -> None:
    """Both ends of a range and each limit are what the source prints."""
    limit = limit_of(row)

    assert limit.high[0].value == printed(row["high"], row["unit"], limit.high[0])
    if "low" in row:
        assert limit.low is not None
        assert limit.low.value == printed(row["low"], row["unit"], limit.low)


def test_there_are_enough_of_them() -> None:
    """At least 60 figures of at least 40 drugs are compared."""
    assert len(ROWS) >= 60
    assert len({row["drug"] for row in ROWS}) >= 40
