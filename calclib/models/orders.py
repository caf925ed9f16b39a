"""What an item model says of the order in its stem, so that it can be held against the formulary."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from calclib.chains.expression import Power, parse_product
from calclib.errors.messages import BadInput
from calclib.errors.nearest import nearest_or_nothing
from calclib.formulary.records import AgeGroup, Line
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.models.model import ItemModel

AMOUNTS = (
    "dose", "day", "times", "rate", "flow", "concentration", "volume", "time", "most", "weight", "area", "age",
)  # fmt: skip
"""Fields that hold a product of givens and steps."""
WORDS = ("drug", "route", "group", "line", "indication", "condition")
"""Fields that hold the name of a text given, or the words themselves."""
FIELDS = (*AMOUNTS, *WORDS, "unless")

_NAME = re.compile(r"[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?")


@dataclass(frozen=True)
class OrderModel:
    """An order as a model's file describes it.

    Args:
        amounts: For each field of `AMOUNTS` that is said, its product of givens, steps and numbers.
        words: For each field of `WORDS` that is said, the name of a text given, or the words themselves.
        unless: The labels of a step for which it is right not to carry the order out, by the step's name.
        line: The line of the file that says it.
    """

    amounts: Mapping[str, tuple[Power, ...]]
    words: Mapping[str, str]
    unless: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    line: int | None = None

    @property
    def names(self) -> frozenset[str]:
        """The givens, steps and constants that its amounts name."""
        return frozenset(power.name for powers in self.amounts.values() for power in powers if power.number is None)


def read_order(fields: Mapping[str, Any], line: int | None) -> OrderModel:
    """Return the order that the fields of an [[order]] describe.

    Raises:
        BadInput: An amount is no product, or a word is none that the field can hold.
    """
    words = {name: str(fields[name]) for name in WORDS if name in fields}
    for name, known in (("group", AgeGroup), ("line", Line)):
        said = words.get(name, "")
        if said and "." not in said and said not in list(known):
            raise BadInput(fact("errors_models.word_of_order", name=name, known=tuple(known), text=said), line=line)
    unless = {step: tuple(map(str, labels)) for step, labels in fields.get("unless", {}).items()}
    amounts = {name: parse_product(str(fields[name])) for name in AMOUNTS if name in fields}
    return OrderModel(amounts, words, unless, line)


def order_mistakes(model: ItemModel) -> Iterator[BadInput]:
    """Yield where an order names what the model doesn't have."""
    steps = {step.name for step in model.steps}
    known = [*model.constants, *steps, *(name for name, given in model.givens.items() if given.kind != "row")]
    for order in model.orders:
        for name in sorted(order.names - set(known)):
            yield BadInput(
                fact("errors_models.no_value_in_order", name=name, hint=nearest_or_nothing(name, known)),
                line=order.line,
            )
        for name in order.unless:
            if name not in steps:
                yield BadInput(fact("errors_models.unless_of_order", name=name), line=order.line)
        for what, said in order.words.items():
            if "." in said and _NAME.fullmatch(said) and said not in model.givens:
                yield BadInput(fact("errors_models.no_column_in_order", field=what, name=said), line=order.line)
