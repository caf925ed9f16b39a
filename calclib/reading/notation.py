"""Unsafe notation: the rules of `notation.toml`, each with its source."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from calclib.wording.facts import of_kind
from calclib.wording.sentences import sentence


@dataclass(frozen=True)
class NotationRule:
    """One unsafe way of writing.

    Attributes:
        id: Its name in `notation.toml`.
        source: Who says so, in words.
        source_key: The same source in the catalogue of sources.
        joint_commission: Whether it is on the Joint Commission's list.
    """

    id: str
    source: str
    source_key: str
    joint_commission: bool

    @property
    def says(self) -> str:
        """Why it is unsafe, in one sentence."""
        return sentence(of_kind("notation_why", self.id))

    @property
    def instead(self) -> str:
        """What to write instead."""
        return sentence(of_kind("notation", self.id))


_FILE: dict[str, Any] = tomllib.loads(Path(__file__).with_name("notation.toml").read_text(encoding="utf-8"))
_DATA: dict[str, dict[str, Any]] = _FILE["rule"]
_CITED: dict[str, str] = _FILE["citations"]
_RULES = MappingProxyType(
    {
        key: NotationRule(key, _CITED[row["source"]], row["source"], row["joint_commission"])
        for key, row in _DATA.items()
    }
)
_ANY_CASE = {word: key for key, row in _DATA.items() for word in row.get("words", ()) if word == word.lower()}
_AS_TYPED = {word: key for key, row in _DATA.items() for word in row.get("words", ()) if word != word.lower()} | {
    word: key for key, row in _DATA.items() for word in row.get("words_as_typed", ())
}


def notation_rules() -> Mapping[str, NotationRule]:
    """All rules by id."""
    return _RULES


def rule_of_word(word: str) -> str | None:
    """The id of the rule that a typed word breaks, if any."""
    return _AS_TYPED.get(word) or _ANY_CASE.get(word.lower())
