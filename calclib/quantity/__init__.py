"""Exact numbers, clinical units, conversions, rounding and safe writing."""

from calclib.quantity.enclosure import Enclosure, Exact, Undecided
from calclib.quantity.equivalences import Equivalence, equivalences
from calclib.quantity.policies import rounding_policies, rounding_policy
from calclib.quantity.rounding import RoundingPolicy, RoundingRule
from calclib.quantity.units import Unit, parse_unit
from calclib.quantity.writing import write_number, write_quantity

__all__ = [
    "Enclosure",
    "Equivalence",
    "Exact",
    "RoundingPolicy",
    "RoundingRule",
    "Undecided",
    "Unit",
    "equivalences",
    "parse_unit",
    "rounding_policies",
    "rounding_policy",
    "write_number",
    "write_quantity",
]
