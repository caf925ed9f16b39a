"""What is told to people: records of kind and fields, and the sentences that they become."""

from calclib.wording.facts import Fact, fact, fact_from_record, of_kind
from calclib.wording.sentences import said, sentence

__all__ = ["Fact", "fact", "fact_from_record", "of_kind", "said", "sentence"]
