"""The kinds of given, each described once in kinds.toml."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True)
class GivenKind:
    """What is known of one kind of given.

    Args:
        name: Its name, as item models write it.
        units: What it measures, by example units; empty where it is no number.
        examples: Ways in which books and orders state it.
        zero: There may be none of it.
        negative: It may be below zero.
        bare: A number without a unit can mean one thing only.
        one_dose: It is the amount of one dose.
        drug_first: The name of a drug may stand before it.
        spoken: Rules for what only values of this kind may say.
    """

    name: str
    units: tuple[str, ...]
    examples: tuple[str, ...] = ()
    zero: bool = False
    negative: bool = False
    bare: bool = False
    one_dose: bool = False
    drug_first: bool = False
    spoken: tuple[str, ...] = ()


@cache
def given_kinds() -> Mapping[str, GivenKind]:
    """Return the kinds by name, those that are no number first."""
    data = tomllib.loads(files("calclib.quantity").joinpath("kinds.toml").read_text(encoding="utf-8"))
    return {name: GivenKind(name, **_frozen(fields)) for name, fields in data.items()}


def is_number(kind: str) -> bool:
    """Return whether a given of this kind is a number with a unit."""
    return bool(given_kinds()[kind].units)


def _frozen(fields: Mapping[str, Any]) -> dict[str, Any]:
    return {key: tuple(value) if isinstance(value, list) else value for key, value in fields.items()}
