"""How often kinds of mistakes are made, as far as it decides what may be said of an answer.

The order is common practice: conversions, the place of the decimal point and the set-up of a division are what
instructors see most. Any value of a problem may be left out or turned round, so those kinds fit too many numbers to be
said for certain; a kind that is not named here is only asked about.
"""

from __future__ import annotations

from collections.abc import Mapping

COMMON: Mapping[str, str] = {
    "conversion left out": "the step most often forgotten",
    "used unconverted": "the same, for a given value",
    "conversion inverted": "whether to multiply or to divide by a conversion is the next question that students ask",
    "decimal slip": "copying and moving a decimal point is a part of nearly every problem",
    "divided the wrong way": "“have over desired” is the usual slip in the formula",
    "day for dose": "orders give amounts for a day, and nurses give doses",
    "volume left out": "a strength in 5 mL is taken for one in each mL",
    "limit ignored": "the check at the end is forgotten",
    "term left out": "one of several amounts is skipped",
}
"""Kinds common enough for two of them in one answer to be worth asking about, with the reason."""

# A division may be set up the wrong way around in several places of one chain, so its number tells too little.
_ONLY_ASKED = "divided the wrong way"

USUAL: Mapping[str, str] = {
    **{kind: reason for kind, reason in COMMON.items() if kind != _ONLY_ASKED},
    "strength inverted": "mL in mg for mg in mL",
    "wrong value": "products stand beside each other in several strengths",
    "wrong sign": "added where it is subtracted",
    "wrong row": "the next row of a table is read",
    "one rate for all": "the bands of a rule are not told apart",
    "first rate only": "the bands of a rule are not told apart",
    "rest not taken": "the bands of a rule are not told apart",
    "root forgotten": "the last key of a formula",
    "rounded down": "the habit of rounding",
    "counted backwards": "from which end a time counts",
    "clock as number": "times look like numbers",
    "hundred minutes": "times look like numbers",
    "diluent for final volume": "the diluent stands first on the label",
    "percent misread": "a percentage has no unit to guide",
    "part for rest": "“cut to” reads like “cut by”",
    "change for new value": "the change is what the protocol names",
}
"""Kinds that may be said for certain where nothing else leads to the number, with the reason; others only asked."""

CORE = frozenset(
    {
        "diluent for final volume",
        "percent misread",
        "day for dose",
        "part for rest",
        "change for new value",
        "hundred minutes",
        "rest not taken",
        "conversion left out",
        "conversion inverted",
        "used unconverted",
        "divided the wrong way",
        "strength inverted",
        "wrong row",
    }
)
"""Misconceptions that an item must not reward: no draw is used on which one of them leads to a number near the key."""

ALWAYS_WRONG = frozenset({"diluent for final volume", "part for rest"})
"""Those of them that must not lead to the key itself either; the others may change nothing."""
