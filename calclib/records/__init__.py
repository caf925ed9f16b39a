"""What is kept of a class: roster, blueprints, sealed draws, marks."""

from calclib.records.blueprint import Blueprint, BlueprintLine, LateRule, blueprint_from_text, read_blueprint
from calclib.records.catalogue import Catalogue, whole_catalogue
from calclib.records.class_folder import ClassFolder, class_folder
from calclib.records.database import one_transaction, reading
from calclib.records.history import history_of
from calclib.records.keys_in_force import KeysInForce, keys_in_force
from calclib.records.marks import PartMark, SetAside, marks_of, set_aside
from calclib.records.policy_words import marking_in_force, policies_in_words
from calclib.records.questioned import Questioned, questioned_hand_ins
from calclib.records.results import PartResult, SetResults, StudentResult, attempt_in_words, set_results
from calclib.records.roster import Accommodations, Roster, Student, read_roster, roster_from_text
from calclib.records.ruled import amended, ruled
from calclib.records.rulings import (
    Ruling,
    day_in_words,
    in_force,
    on_the_whole,
    ruling_in_words,
    rulings_of,
    where_in_words,
)
from calclib.records.sealed import SealedItem, SealedPaper, SealedSet, Slot, sealed_paper, sealed_papers, sealed_set

__all__ = [
    "Accommodations",
    "Blueprint",
    "BlueprintLine",
    "Catalogue",
    "ClassFolder",
    "KeysInForce",
    "LateRule",
    "PartMark",
    "PartResult",
    "Questioned",
    "Roster",
    "Ruling",
    "SealedItem",
    "SealedPaper",
    "SealedSet",
    "SetAside",
    "SetResults",
    "Slot",
    "Student",
    "StudentResult",
    "amended",
    "attempt_in_words",
    "blueprint_from_text",
    "class_folder",
    "day_in_words",
    "history_of",
    "in_force",
    "keys_in_force",
    "marking_in_force",
    "marks_of",
    "on_the_whole",
    "one_transaction",
    "policies_in_words",
    "questioned_hand_ins",
    "read_blueprint",
    "read_roster",
    "reading",
    "roster_from_text",
    "ruled",
    "ruling_in_words",
    "rulings_of",
    "sealed_paper",
    "sealed_papers",
    "sealed_set",
    "set_aside",
    "set_results",
    "where_in_words",
    "whole_catalogue",
]
