"""What is kept of a class: roster, blueprints, sealed draws, marks."""

from calclib.records.blueprint import Blueprint, BlueprintLine, LateRule, blueprint_from_text, read_blueprint
from calclib.records.catalogue import Catalogue, whole_catalogue
from calclib.records.class_folder import ClassFolder, class_folder
from calclib.records.database import one_transaction, reading
from calclib.records.marks import PartMark, SetAside, marks_of, set_aside
from calclib.records.roster import Accommodations, Roster, Student, read_roster, roster_from_text
from calclib.records.sealed import SealedItem, SealedPaper, SealedSet, Slot, sealed_paper, sealed_papers, sealed_set

__all__ = [
    "Accommodations",
    "Blueprint",
    "BlueprintLine",
    "Catalogue",
    "ClassFolder",
    "LateRule",
    "PartMark",
    "Roster",
    "SealedItem",
    "SealedPaper",
    "SealedSet",
    "SetAside",
    "Slot",
    "Student",
    "blueprint_from_text",
    "class_folder",
    "marks_of",
    "one_transaction",
    "read_blueprint",
    "read_roster",
    "reading",
    "roster_from_text",
    "sealed_paper",
    "sealed_papers",
    "sealed_set",
    "set_aside",
    "whole_catalogue",
]
