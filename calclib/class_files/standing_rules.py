"""What a school asks after a failed exam, `standing.toml` in the class folder; without the file nothing is asked.

key               needed    what it holds
preset            optional  a published rule to begin from (calclib standing CLASS --presets lists them)
required          optional  the sets that the dosage requirement asks for, ["exam-1"]; every set if left out
remediation       optional  true: remediation must be recorded before a retest counts as prepared
remediation_days  optional  days after a failed attempt was marked by which remediation is due, 1 to 365
after             optional  what follows when no attempt is left, in words
keep_years        optional  years for which records must be kept after a set was handed out, 0 to 100

How many attempts there are and what passes stands in each set's blueprint, since that was printed for students.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, NoReturn

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.text_files import read_text_file
from calclib.class_files.toml_lines import line_of, read_toml
from calclib.errors import BadInput
from calclib.wording.facts import Fact, fact

FILE = "standing.toml"
_KEYS = ("preset", "required", "remediation", "remediation_days", "after", "keep_years")
_MOST = {"remediation_days": 365, "keep_years": 100}
_LONGEST = 200


@dataclass(frozen=True)
class Preset:
    """A published rule.

    Attributes:
        name: Its name.
        says: What it asks, in a sentence.
        of: The year that it is printed for, "" where it prints none.
        source: Key of its source.
        cut_score: Per cent that pass, None where it isn't known.
        attempts: Attempts in all, None where it isn't known.
        remediation: Whether remediation stands between attempts.
        after: What follows when no attempt is left, "" where it isn't known.
    """

    name: str
    says: str
    of: str
    source: str
    cut_score: int | None
    attempts: int | None
    remediation: bool
    after: str


@dataclass(frozen=True)
class StandingRules:
    """What a school asks.

    Attributes:
        preset: The published rule from which it begins, None for none.
        required: The sets that the dosage requirement asks for; None for every set.
        remediation: Whether remediation must be recorded before a retest.
        remediation_days: Days after a failed attempt was marked by which remediation is due; None for no such time.
        after: What follows when no attempt is left, "" if that isn't said.
        keep_years: Years for which records must be kept; None if that isn't said.
    """

    preset: Preset | None = None
    required: tuple[str, ...] | None = None
    remediation: bool = False
    remediation_days: int | None = None
    after: str = ""
    keep_years: int | None = None


@cache
def presets() -> Mapping[str, Preset]:
    """Return the published rules by name."""
    text = resources.files("calclib.class_files").joinpath("retest_presets.toml").read_text("utf-8")
    return {name: _preset(name, row) for name, row in tomllib.loads(text).items()}


def _preset(name: str, row: Mapping[str, Any]) -> Preset:
    known = (row["says"], row["of"], row["source"], row.get("cut_score"), row.get("attempts"))
    return Preset(name, *known, row["remediation"], row["after"])


def standing_rules(folder: ClassFolder) -> StandingRules:
    """Return what the school asks, by the class folder's `standing.toml` if there is one.

    Raises:
        BadInput: a key is unknown or of the wrong kind; with the line.
    """
    path = folder.path / FILE
    return standing_rules_from_text(read_text_file(path)) if path.is_file() else StandingRules()


def standing_rules_from_text(text: str) -> StandingRules:
    """Return the rules that `text` writes; see `standing_rules`."""
    top = read_toml(text, where=FILE)
    for key in top:
        if key not in _KEYS:
            _refuse(text, key, fact("errors_class_files.unknown_key_of_standing", key=visible(key), known=_KEYS))
    name = top.get("preset", "")
    preset = presets().get(name) if isinstance(name, str) else None
    if name and preset is None:
        _refuse(text, "preset", fact("errors_class_files.no_preset", name=visible(str(name)), known=tuple(presets())))
    for key, most in _MOST.items():
        value = top.get(key, 1)
        if type(value) is not int or not 0 <= value <= most:
            _refuse(text, key, fact("errors_class_files.whole_number_up_to", key=key, most=most))
    required = top.get("required")
    is_list = isinstance(required, list) and all(isinstance(one, str) for one in required)
    if required is not None and not is_list:
        _refuse(text, "required", fact("errors_class_files.required_sets"))
    after = top.get("after", preset.after if preset else "")
    if not isinstance(after, str) or not after.isprintable() or len(after) > _LONGEST:
        _refuse(text, "after", fact("errors_class_files.after_in_words", most=_LONGEST))
    remediation = top.get("remediation", preset.remediation if preset else False)
    if type(remediation) is not bool:
        _refuse(text, "remediation", fact("errors_class_files.true_or_false", key="remediation"))
    sets = tuple(required) if required is not None else None
    days, years = top.get("remediation_days"), top.get("keep_years")
    return StandingRules(preset, sets, remediation, days, after.strip(), years)


def _refuse(text: str, key: str, what: Fact) -> NoReturn:
    raise BadInput(what, where=FILE, line=line_of(text, key) or 1)
