"""A marking policy of faculty's own, a TOML file, checked line by line.

key             needed    what it holds
name            required  its name: letters, digits, -; not that of a policy that ships
title           required  a few words
says            required  the policy in a sentence or two, for students
like            optional  a policy that ships, which holds where this file says nothing (default "homework")
source          optional  key of a source (default "course_policy")
[worth]         optional  the share of an answer's points that each verdict earns, 0 to 1 (VERDICTS.md lists them)
[notices]       optional  what notation costs: joint_commission, other; and another_path
[critical]      optional  factor: so many times too large or small is dangerous; fails: "nothing", "part" or "exam"

Shares are numbers or numbers in quotes: 0.5, "0.5", "1/3".
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from calclib.class_files.names import meant, visible
from calclib.class_files.text_files import read_text_file
from calclib.class_files.toml_lines import line_of, read_toml
from calclib.errors import BadInput
from calclib.quantity.writing import read_number
from calclib.wording.facts import Fact, fact

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy

WORDS = ("name", "title", "says", "like", "source")
_REQUIRED = ("name", "title", "says")
NOTICES = ("joint_commission", "other", "another_path")
CRITICAL = ("factor", "fails")
_NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,59}")
_LONGEST = 400
_LARGEST_FACTOR = 1000
# These say nothing of what was calculated, so they can't earn points.
_WORTH_NOTHING = ("wrong", "wrong_with_cause", "unread", "not_judged", "blank", "repeats_the_order")


def own_marking_policy(path: Path) -> MarkingPolicy:
    """Read and check a marking policy of faculty's own.

    Raises:
        BadInput: a key is missing, unknown, or of the wrong kind or size; with the line.
    """
    return own_marking_policy_from_text(read_text_file(path), where=path.name)


def own_marking_policy_from_text(text: str, *, where: str) -> MarkingPolicy:
    """Return the policy that `text` writes; see `own_marking_policy`."""
    return _Reader(text, where).policy()


class _Reader:
    def __init__(self, text: str, where: str) -> None:
        self.text, self.where = text, where

    def refuse(self, what: Fact, key: str, table: str = "") -> NoReturn:
        line = line_of(self.text, key, table=table) or line_of(self.text, "", table=key)
        raise BadInput(what, where=self.where, line=line or 1)

    def policy(self) -> MarkingPolicy:
        from calclib.answers import VERDICTS, MarkingPolicy, marking_policies

        top = read_toml(self.text, where=self.where)
        self.known(top, (*WORDS, "worth", "notices", "critical"), "")
        for key in _REQUIRED:
            if key not in top:
                self.refuse(fact("errors_class_files.key_of_policy_missing", key=key), "")
        words = {key: self.words(top, key) for key in WORDS if key in top}
        ships = marking_policies()
        self.name(words["name"], ships)
        like = ships.get(words.get("like", "homework"))
        if like is None:
            self.refuse(
                fact("errors_class_files.no_policy_that_ships", name=visible(words["like"]), known=tuple(ships)), "like"
            )
        worth = {**like.worth, **self.shares(top, "worth", tuple(VERDICTS))}
        for verdict in _WORTH_NOTHING:
            if worth[verdict]:
                self.refuse(fact("errors_class_files.verdict_without_points", verdict=verdict), verdict, "worth")
        notices = self.shares(top, "notices", NOTICES)
        critical = self.table(top, "critical", CRITICAL)
        return MarkingPolicy(
            name=words["name"],
            title=words["title"],
            says=words["says"],
            source=self.source(words.get("source", "course_policy")),
            worth=worth,
            joint_commission_costs=notices.get("joint_commission", like.joint_commission_costs),
            other_notice_costs=notices.get("other", like.other_notice_costs),
            critical_factor=self.factor(critical, like.critical_factor),
            critical_fails=self.fails(critical, like.critical_fails),
            another_path_costs=notices.get("another_path", like.another_path_costs),
        )

    def known(self, table: Mapping[str, Any], keys: tuple[str, ...], name: str) -> None:
        for key in table:
            if key not in keys:
                advice = meant(key, keys) or fact("errors_class_files.known_names", known=keys)
                self.refuse(fact("errors_class_files.unknown_key_here", key=visible(key), advice=advice), key, name)

    def table(self, top: Mapping[str, Any], name: str, keys: tuple[str, ...]) -> Mapping[str, Any]:
        found = top.get(name, {})
        if not isinstance(found, dict):
            self.refuse(fact("errors_class_files.key_is_a_table", name=name), name)
        self.known(found, keys, name)
        return found

    def shares(self, top: Mapping[str, Any], name: str, keys: tuple[str, ...]) -> dict[str, Fraction]:
        found = {}
        for key, value in self.table(top, name, keys).items():
            share = _number(value)
            if share is None or not 0 <= share <= 1:
                self.refuse(fact("errors_class_files.share", key=key), key, name)
            found[key] = share
        return found

    def words(self, top: Mapping[str, Any], key: str) -> str:
        value = top[key]
        if not isinstance(value, str) or not value.strip() or len(value) > _LONGEST:
            self.refuse(fact("errors_class_files.characters_in_quotes", key=key, most=_LONGEST), key)
        plain = " ".join(value.split())
        if not plain.isprintable():
            self.refuse(fact("errors_class_files.hidden_character_in_key", key=key), key)
        return plain

    def name(self, name: str, ships: Mapping[str, MarkingPolicy]) -> None:
        if not _NAME.fullmatch(name):
            self.refuse(fact("errors_class_files.name_of_policy"), "name")
        if name in ships:
            self.refuse(fact("errors_class_files.name_of_policy_that_ships", name=name), "name")

    def source(self, key: str) -> str:
        from calclib.errors import CalclibError
        from calclib.sources import source

        try:
            source(key)
        except (CalclibError, KeyError):
            self.refuse(fact("errors_class_files.no_source", key=visible(key)), "source")
        return key

    def factor(self, critical: Mapping[str, Any], default: Fraction) -> Fraction:
        if "factor" not in critical:
            return default
        factor = _number(critical["factor"])
        if factor is None or not 1 < factor <= _LARGEST_FACTOR:
            self.refuse(fact("errors_class_files.factor", most=_LARGEST_FACTOR), "factor", "critical")
        return factor

    def fails(self, critical: Mapping[str, Any], default: str) -> str:
        fails = critical.get("fails", default)
        if fails not in ("nothing", "part", "exam"):
            self.refuse(fact("errors_class_files.fails"), "fails", "critical")
        return str(fails)


def _number(value: object) -> Fraction | None:
    if isinstance(value, bool) or not isinstance(value, int | Decimal | str):
        return None
    try:
        return read_number(str(value))
    except BadInput:
        return None
