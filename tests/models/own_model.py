"""An item model as faculty write one, and the same with lines changed."""

from __future__ import annotations

OWN_MODEL = '''\
id = "own-syringe-volume"
version = 1
title = "Volume for a syringe"
topic = "own"
skill = "volume of an injection from the order and the label"
order = 900
sources = ["Invented School of Nursing, Skills handbook, 2024"]
stem = """
Order: {drug} {order} IM once. On hand: {drug} {strength}.
"""

[given.drug]
kind = "text"
draw = ["haloperidol", "promethazine"]

[given.order]
kind = "drug_amount"
unit = "mg"
draw = { from = "12.5", to = "60", step = "0.25" }
says = "ordered dose"

[given.strength]
kind = "mixture"
unit = "mg/mL"
draw = ["25 mg/mL", "50 mg/2 mL", "30 mg/mL"]
mistaken = ["25 mg/mL", "50 mg/2 mL", "30 mg/mL"]
says = "strength on hand"

[[step]]
name = "volume"
kind = "product"
of = "order / strength"
unit = "mL"
says = "volume to draw up"

[[where]]
that = "volume <= 3 mL"

[[part]]
name = "volume"
asks = "volume"
asked = "How many mL do you draw up?"
unit = "mL"
rounding = "injection_volume"
points = 1
'''


def changed(old: str, new: str, count: int = 1) -> str:
    """The model with one text in the place of another, which it must hold."""
    assert old in OWN_MODEL
    return OWN_MODEL.replace(old, new, count)


def line_of(text: str, fragment: str) -> int:
    """The line on which a fragment stands."""
    return text[: text.index(fragment)].count("\n") + 1
