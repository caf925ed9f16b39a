"""The files of a class that people write: class list, blueprints, settings; and how files are read and replaced."""

from calclib.class_files.accommodations import Accommodations
from calclib.class_files.blueprint import Blueprint, BlueprintLine, LateRule, blueprint_from_text, read_blueprint
from calclib.class_files.catalogue import Catalogue, whole_catalogue
from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.roster import Roster, Student, read_roster, roster_from_text

__all__ = [
    "Accommodations",
    "Blueprint",
    "BlueprintLine",
    "Catalogue",
    "ClassFolder",
    "LateRule",
    "Roster",
    "Student",
    "blueprint_from_text",
    "class_folder",
    "read_blueprint",
    "read_roster",
    "roster_from_text",
    "whole_catalogue",
]
