"""What is kept of a class in its database: sealed draws, marks, rulings, history."""

from calclib.records.database import one_transaction, reading
from calclib.records.frozen.recorded_policies import marking_in_force, policies_in_words
from calclib.records.history import history_of
from calclib.records.part_marks import PartMark, marks_of
from calclib.records.questioned import Questioned, questioned_hand_ins
from calclib.records.rulings.ruling import Ruling, in_force, on_the_whole, rulings_of
from calclib.records.rulings.ruling_facts import ruled_on, ruling_fact
from calclib.records.sealed import SealedItem, SealedPaper, SealedSet, sealed_paper, sealed_papers, sealed_set
from calclib.records.sealed_slots import Slot
from calclib.records.set_aside import SetAside, SetAsideKind, SetAsideReason, set_aside

__all__ = [
    "PartMark",
    "Questioned",
    "Ruling",
    "SealedItem",
    "SealedPaper",
    "SealedSet",
    "SetAside",
    "SetAsideKind",
    "SetAsideReason",
    "Slot",
    "history_of",
    "in_force",
    "marking_in_force",
    "marks_of",
    "on_the_whole",
    "one_transaction",
    "policies_in_words",
    "questioned_hand_ins",
    "reading",
    "ruled_on",
    "ruling_fact",
    "rulings_of",
    "sealed_paper",
    "sealed_papers",
    "sealed_set",
    "set_aside",
]
