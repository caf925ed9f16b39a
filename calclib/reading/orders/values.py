"""What a text of an order or a label says, as a record."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class Form(StrEnum):
    """How a value is stated."""

    AMOUNT = "amount"
    IN_VOLUME = "in volume"
    PERCENT = "percent"
    RATIO = "ratio"
    EVERY_HOURS = "every hours"


@dataclass(frozen=True)
class Amount:
    """A number and the unit words behind it, such as "mg/kg/day"; "" for none."""

    value: Fraction
    unit: str


@dataclass(frozen=True)
class OrderValue:
    """One value of an order or a label.

    Attributes:
        form: How it is stated.
        amounts: The amount; two that add up where it is said in two units, such as 5 ft 6 in. A percent, the parts of a
            ratio and a number of hours have no unit.
        volume: The volume that holds the amount, for `IN_VOLUME`.
    """

    form: Form
    amounts: tuple[Amount, ...]
    volume: Amount | None = None


@dataclass(frozen=True)
class OrderContext:
    """What is known of a value before it is read.

    Attributes:
        rules: The rules that kinds.toml names for its kind.
        unit: Its working unit, in the words of units.toml.
        bare: Whether a number alone is one in the working unit.
        drug_first: Whether a drug's name may stand before it.
    """

    rules: frozenset[str] = frozenset()
    unit: str = ""
    bare: bool = False
    drug_first: bool = False
