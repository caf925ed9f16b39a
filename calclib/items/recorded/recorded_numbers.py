"""Numbers and rules as records hold them, each read once."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from calclib.errors.messages import BadInput
from calclib.quantity.enclosure import Enclosure, Exact
from calclib.quantity.rounding import RoundingRule
from calclib.wording.facts import fact

_KEPT_NUMBERS = 50_000


def damaged(error: Exception) -> BadInput:
    """Return what is said of a record that can not be read."""
    return BadInput(fact("errors_items.damaged_record", error=str(error)))


def exact_text(value: Exact) -> str:
    """Return a value as "125/4", or an enclosure as "1.73/1..1.74/1"."""
    return f"{value.low}..{value.high}" if isinstance(value, Enclosure) else str(value)


def exact_from_text(text: str) -> Exact:
    """Return the value that `exact_text` wrote."""
    low, dots, high = text.partition("..")
    return Enclosure(number(low), number(high)) if dots else number(low)


def number_text(value: Fraction | None) -> str | None:
    """Return a number as a record holds it."""
    return None if value is None else str(value)


def number_or_none(text: str | None) -> Fraction | None:
    """Return the number that `number_text` wrote."""
    return None if text is None else number(text)


# A class's records hold the same few rules and many equal numbers; reading each once halves the time of marking.
@lru_cache(maxsize=_KEPT_NUMBERS)
def number(text: str) -> Fraction:
    """Return a recorded number."""
    return Fraction(*_ratio(text))


def _ratio(text: str) -> tuple[int, int]:
    """Numerator and denominator of a recorded number; a fraction that looks for points and powers takes four times."""
    top, slash, bottom = text.partition("/")
    return int(top), int(bottom) if slash else 1


def recorded_rule(record: Mapping[str, Any]) -> RoundingRule:
    """Return the rounding rule of a record."""
    bands = tuple((band["below"], band["step"]) for band in record["bands"])
    return _rule_of(record["name"], record["unit"], bands, record["mode"], record["tie"], record["source"])


@lru_cache(maxsize=1_000)
def _rule_of(
    name: str, unit: str, bands: tuple[tuple[str | None, str], ...], mode: str, tie: str, source: str
) -> RoundingRule:
    steps = [{"below": below, "step": step} for below, step in bands]
    return RoundingRule.from_record(
        {"name": name, "unit": unit, "bands": steps, "mode": mode, "tie": tie, "source": source}
    )
