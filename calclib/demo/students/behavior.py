"""How often students err, and which mistakes they make: read once from the tables beside this file."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from importlib import resources
from typing import Any

from calclib.demo.students.figures import DIGITS, NotUnderstoodError


@dataclass(frozen=True)
class HumanError:
    """A mistake of the list: its words and its weight."""

    id: str
    says: str
    weight: Decimal


@dataclass(frozen=True)
class Rate:
    """Shares of the exercises that are answered right, wrong and not at all."""

    right: Decimal
    blank: Decimal

    def shifted(self, logits: Decimal) -> Rate:
        """Return the rate of a student whose ability lies so many logits above the average.

        Who is more able is right more often and, where not, gives up less: the odds of both move by as much.
        """
        more = DIGITS.exp(logits)
        right = _share(DIGITS.multiply(DIGITS.divide(self.right, 1 - self.right), more))
        tries = 1 - self.right - self.blank
        given_up = _share(DIGITS.divide(DIGITS.divide(self.blank, tries), more)) if tries else Decimal(1)
        return Rate(right, DIGITS.multiply(given_up, 1 - right))


def _share(odds: Decimal) -> Decimal:
    return DIGITS.divide(odds, 1 + odds)


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(resources.files("calclib").joinpath("demo", "students", name).read_text("utf-8"))


@functools.cache
def human_errors() -> Mapping[str, HumanError]:
    """Return the list of mistakes by id."""
    rows = _table("human_errors.toml")
    return {name: HumanError(name, row["says"], Decimal(row["weight"])) for name, row in rows.items()}


@functools.cache
def rate(label: str) -> Rate:
    """Return how often a kind of problem is answered right and left blank by an average student.

    Raises:
        NotUnderstoodError: The table has no row for it.
    """
    table = _table("error_rates.toml")
    if label not in table["kinds"]:
        raise NotUnderstoodError(f"students/error_rates.toml has no row for “{label}”")
    row = table["rows"][table["kinds"][label]]
    everyone = Decimal(row["set"])
    return Rate(DIGITS.divide(Decimal(row["right"]), everyone), DIGITS.divide(everyone - row["tried"], everyone))


@functools.cache
def habit(name: str) -> Decimal:
    """Return the probability of a habit of writing or erring."""
    return Decimal(_table("error_rates.toml")["habits"][name])
