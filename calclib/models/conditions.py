"""What must hold of a draw, as the `where` of an item model says it."""

from __future__ import annotations

import re

from calclib.chains.expression import parse_product
from calclib.errors.messages import BadInput
from calclib.models.model import Condition
from calclib.quantity.amounts import parse_amount
from calclib.wording.facts import fact

_CONDITION = re.compile(r"([^<>=!]+?)\s*(<=|>=|<|>|==|!=|is a multiple of)\s*([^<>=!]+)")


def read_condition(text: str, line: int | None) -> Condition:
    """Return a condition from its text.

    Args:
        text: For example "rate <= 250 mL/h".
        line: The line of the file.

    Raises:
        BadInput: It doesn't compare two things.
    """
    match = _CONDITION.fullmatch(text)
    if match is None:
        raise BadInput(fact("errors_models.no_comparison", text=text))
    left, relation, right = match.groups()
    amount = parse_amount(right) if right[0].isdigit() and "*" not in right else None
    powers = () if amount else parse_product(right)
    return Condition(parse_product(left), relation, powers, amount, text, line)
