"""Papers marked by the sealed records, and rulings made on them."""

from calclib.judging_papers.key_sources import KeySources, key_sources
from calclib.judging_papers.mark_set import Marked, mark
from calclib.judging_papers.ruling_effects import accepting_by_rulings, ruled

__all__ = [
    "KeySources",
    "Marked",
    "accepting_by_rulings",
    "key_sources",
    "mark",
    "ruled",
]
