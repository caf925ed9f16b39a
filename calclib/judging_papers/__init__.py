"""Papers marked by the sealed records, and rulings made on them."""

from calclib.judging_papers.key_sources import KeySources, key_sources
from calclib.judging_papers.make_ruling import RulingOutcome, make_ruling
from calclib.judging_papers.mark_set import Marked, mark
from calclib.judging_papers.recorded_item import recorded_item
from calclib.judging_papers.ruling_effects import accepting_by_rulings, ruled, rulings_noted
from calclib.judging_papers.ruling_request import RulingRequest

__all__ = [
    "KeySources",
    "Marked",
    "RulingOutcome",
    "RulingRequest",
    "accepting_by_rulings",
    "key_sources",
    "make_ruling",
    "mark",
    "recorded_item",
    "ruled",
    "rulings_noted",
]
