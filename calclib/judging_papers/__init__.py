"""Papers marked by the sealed records, and rulings made on them."""

from calclib.judging_papers.key_sources import KeysInForce, keys_in_force
from calclib.judging_papers.mark_set import Marked, mark
from calclib.judging_papers.ruling_effects import amended, ruled

__all__ = [
    "KeysInForce",
    "Marked",
    "amended",
    "keys_in_force",
    "mark",
    "ruled",
]
