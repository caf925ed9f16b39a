"""What makes a problem set or an exam, `blueprint.toml`.

key             needed    what it holds
set             required  name of the set and of its notebook: letters, digits, _ -
title           required  title that students read
rounding        required  name of the rounding policy
marking         required  name of the marking policy, or a file of your own beside the blueprint, "marking.toml"
cut_score       optional  percent of the points that pass, 0 to 100 (default 90)
attempts        optional  how many attempts each student has (default 1)
keep            optional  which of them counts: "best" (default), "last" or "first"
due             optional  date and time with offset, such as 2026-12-01T23:59:00-05:00
late            optional  "accept" (default), "zero", or "10 percent a day" (any whole number)
minutes         optional  working time in minutes; none is printed if left out
reviewed        optional  true: only item models that somebody has reviewed, with their drugs (`reviews.toml`)
review          optional  "required": a colleague signs the preview first (calclib sign-off); default "optional"
[appeal]        optional  how a student appeals, on each student's page
  to            required  to whom
  by            required  until when: a time with offset, or words such as "within 7 days of getting this page"
  how           optional  what to do, in a sentence
[[items]]       required  one table for each line of the blueprint, in the order of the set
  item          one       id of an item model, such as "drop-rate", or a file of your own beside it, "mine.toml"
  skill         of        a skill: item models that exercise it are taken in turn
  topic         these     a topic, such as "gravity_infusions", or as `calclib items` heads it: likewise
  count         optional  how many problems (default 1)
  points        optional  points of each problem, shared among its parts (default: as the item model says)
  replacement   optional  item model that takes its place in later attempts if it goes wrong, or a file of your own
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from pathlib import Path
from typing import Any, NoReturn

from calclib.class_files.catalogue import Catalogue
from calclib.class_files.names import meant, set_name, visible
from calclib.class_files.set_rules import SetRules, set_rules
from calclib.class_files.text_files import read_text_file
from calclib.class_files.toml_lines import line_of, read_toml
from calclib.errors import BadInput
from calclib.wording.facts import Fact, fact

MOST_PROBLEMS = 200
TOP_KEYS = (
    "set",
    "title",
    "rounding",
    "marking",
    "cut_score",
    "attempts",
    "keep",
    "due",
    "late",
    "reviewed",
    "minutes",
    "review",
    "appeal",
    "items",
)
ITEM_KEYS = ("item", "skill", "topic", "count", "points", "replacement")
_BY = ("item", "skill", "topic")
_KEEP = ("best", "last", "first")
_LISTED = 12
_A_SLIP = 0.85
_PERCENT = re.compile(r"(\d{1,3}) percent a day")
# Common practice: programs in the United States print 85 to 95 percent.
DEFAULT_CUT = Fraction(90)
_NO_RULES = SetRules()


@dataclass(frozen=True)
class BlueprintLine:
    """One `[[items]]` table: `count` problems by an item id, a skill or a topic, and what may take their place."""

    by: str
    name: str
    count: int
    points: Fraction | None
    line: int | None
    replacement: str = ""

    @property
    def own_file(self) -> bool:
        """Whether it names a file with an item model of faculty's own, by its path from the blueprint's folder."""
        return self.by == "item" and self.name.endswith(".toml")

    @property
    def own_files(self) -> tuple[str, ...]:
        """The files of faculty's own that it names: the item model, and what may take its place."""
        return (self.name,) * self.own_file + (self.replacement,) * self.replacement.endswith(".toml")


@dataclass(frozen=True)
class LateRule:
    """What a late submission costs: `percent_a_day` of its score for each day begun; 100 takes all of it."""

    percent_a_day: int = 0


@dataclass(frozen=True)
class Blueprint:
    """A problem set as faculty ordered it."""

    set: str
    title: str
    rounding: str
    marking: str
    cut_score: Fraction
    attempts: int
    due: dt.datetime | None
    late: LateRule
    lines: tuple[BlueprintLine, ...]
    text: str
    keep: str = "best"
    rules: SetRules = _NO_RULES
    zone: dt.tzinfo = dt.UTC
    reviewed: bool = False

    @property
    def problems(self) -> int:
        """Number of problems of the set."""
        return sum(line.count for line in self.lines)


def read_blueprint(path: Path, catalogue: Catalogue) -> Blueprint:
    """Read and check a blueprint.

    Args:
        path: The TOML file.
        catalogue: Which items, skills, topics and policies there are.

    Raises:
        BadInput: a key is missing, unknown or of the wrong kind, or names something that doesn't exist; with the line.
    """
    return blueprint_from_text(read_text_file(path), catalogue, where=path.name)


def blueprint_from_text(text: str, catalogue: Catalogue, *, where: str = "blueprint.toml") -> Blueprint:
    """Return the blueprint that `text` writes; see `read_blueprint`."""
    return _Reader(text, where, catalogue).read()


class _Reader:
    def __init__(self, text: str, where: str, catalogue: Catalogue) -> None:
        self.text, self.where, self.catalogue = text, where, catalogue

    def refuse(self, what: Fact, key: str, table: str = "", number: int = 0) -> NoReturn:
        line = line_of(self.text, key, table=table, number=number) or line_of(self.text, "", table=key)
        raise BadInput(what, where=self.where, line=line)

    def read(self) -> Blueprint:
        top = read_toml(self.text, where=self.where)
        self.known(top, TOP_KEYS, "", 0)
        tables = top.get("items")
        if not isinstance(tables, list) or not tables or not all(isinstance(t, dict) for t in tables):
            self.refuse(fact("errors_class_files.no_problem"), "items")
        if len(tables) > MOST_PROBLEMS:
            self.refuse(fact("errors_class_files.too_many_tables", count=len(tables), most=MOST_PROBLEMS), "", "items")
        name = self.words(top, "set")
        set_name(name, where=self.where, line=line_of(self.text, "set"))
        blueprint = Blueprint(
            set=name,
            title=self.words(top, "title"),
            rounding=self.one_of(
                top, "rounding", self.catalogue.rounding, fact("errors_class_files.no_rounding_policy")
            ),
            marking=self.marking(top),
            cut_score=self.number(top, "cut_score", DEFAULT_CUT, least=0, most=100),
            attempts=self.whole((top, "", 0), "attempts", most=20),
            due=self.due(top),
            late=self.late(top),
            lines=tuple(self.line(table, number) for number, table in enumerate(tables)),
            text=self.text,
            keep=self.keep(top),
            rules=set_rules(top, self.refuse),
            zone=self.zone(top),
            reviewed=self.reviewed(top),
        )
        if blueprint.problems > MOST_PROBLEMS:
            self.refuse(
                fact("errors_class_files.too_many_problems", count=blueprint.problems, most=MOST_PROBLEMS), "", "items"
            )
        return blueprint

    def known(self, table: Mapping[str, Any], keys: tuple[str, ...], name: str, number: int) -> None:
        for key in table:
            if key not in keys:
                advice = meant(key, keys) or fact("errors_class_files.known_keys", known=keys)
                self.refuse(fact("errors_class_files.unknown_key", key=visible(key), advice=advice), key, name, number)

    def words(self, table: Mapping[str, Any], key: str) -> str:
        value = table.get(key)
        if value is None:
            self.refuse(fact("errors_class_files.key_missing", key=key), "")
        if not isinstance(value, str):
            self.refuse(fact("errors_class_files.words_in_quotes", key=key), key)
        if not value.strip() or not value.isprintable() or len(value) > 200:
            self.refuse(fact("errors_class_files.words_on_one_line", key=key), key)
        return value.strip()

    def one_of(self, table: Mapping[str, Any], key: str, names: frozenset[str], what: Fact) -> str:
        value = self.words(table, key)
        if value not in names:
            self.refuse(_unknown(what, value, names), key)
        return value

    def marking(self, top: Mapping[str, Any]) -> str:
        """The name of a policy, or the path of a file of faculty's own from the blueprint's folder."""
        value = self.words(top, "marking")
        return (
            value
            if value.endswith(".toml")
            else self.one_of(top, "marking", self.catalogue.marking, fact("errors_class_files.no_marking_policy"))
        )

    def number(self, table: Mapping[str, Any], key: str, default: Fraction, *, least: int, most: int) -> Fraction:
        value = table.get(key, default)
        exact = _exact(value)
        if exact is None or not least <= exact <= most:
            self.refuse(
                fact("errors_class_files.number_between", key=key, least=least, most=most, found=_shown(value)), key
            )
        return exact

    def whole(self, place: tuple[Mapping[str, Any], str, int], key: str, *, most: int) -> int:
        table, name, number = place
        value = table.get(key, 1)
        if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= most:
            what = fact("errors_class_files.whole_number", key=key, most=most, found=_shown(value))
            self.refuse(what, key, name, number)
        return value

    def keep(self, top: Mapping[str, Any]) -> str:
        value = top.get("keep", "best")
        if value not in _KEEP:
            self.refuse(fact("errors_class_files.keep", found=_shown(value)), "keep")
        return str(value)

    def reviewed(self, top: Mapping[str, Any]) -> bool:
        value = top.get("reviewed", False)
        if not isinstance(value, bool):
            self.refuse(fact("errors_class_files.reviewed", found=_shown(value)), "reviewed")
        return value

    def due(self, top: Mapping[str, Any]) -> dt.datetime | None:
        value = top.get("due")
        if value is None:
            return None
        if not isinstance(value, dt.datetime) or value.tzinfo is None:
            self.refuse(fact("errors_class_files.due"), "due")
        return value.astimezone(dt.UTC)

    def zone(self, top: Mapping[str, Any]) -> dt.tzinfo:
        """The offset in which times of the set are told: that of its due time."""
        value = top.get("due")
        return (value.tzinfo if isinstance(value, dt.datetime) else None) or dt.UTC

    def late(self, top: Mapping[str, Any]) -> LateRule:
        value = top.get("late", "accept")
        percent = _PERCENT.fullmatch(value) if isinstance(value, str) else None
        if value in ("accept", "zero"):
            rule = LateRule(100 if value == "zero" else 0)
        elif percent and 1 <= int(percent.group(1)) <= 100:
            rule = LateRule(int(percent.group(1)))
        else:
            self.refuse(fact("errors_class_files.late"), "late")
        if rule.percent_a_day and "due" not in top:
            self.refuse(fact("errors_class_files.late_without_due"), "late")
        return rule

    def line(self, table: Mapping[str, Any], number: int) -> BlueprintLine:
        self.known(table, ITEM_KEYS, "items", number)
        given = [key for key in _BY if key in table]
        if len(given) != 1:
            extra = given[1] if given else ""
            self.refuse(fact("errors_class_files.item_skill_or_topic"), extra, "items", number)
        by, name = given[0], table[given[0]]
        names = self.catalogue.names(by)
        if not isinstance(name, str):
            self.refuse(fact("errors_class_files.words_in_quotes", key=by), by, "items", number)
        name = _as_known(name, names)
        if name not in names and not (by == "item" and _own_file(name)):
            self.refuse(_unknown(_WHAT[by], name, names), by, "items", number)
        count = self.whole((table, "items", number), "count", most=MOST_PROBLEMS)
        points = _exact(table["points"]) if "points" in table else None
        if "points" in table and (points is None or not 0 < points <= 100):
            what = fact("errors_class_files.points", found=_shown(table["points"]))
            self.refuse(what, "points", "items", number)
        line = line_of(self.text, by, table="items", number=number)
        return BlueprintLine(by, name, count, points, line, self.replacement(table, number))

    def replacement(self, table: Mapping[str, Any], number: int) -> str:
        """The item model that takes a problem's place if it goes wrong, "" if none is named."""
        value = table.get("replacement", "")
        if "replacement" in table and (not isinstance(value, str) or not value.strip()):
            self.refuse(fact("errors_class_files.replacement"), "replacement", "items", number)
        names = self.catalogue.names("item")
        name = _as_known(value.strip(), names) if value else ""
        if name and name not in names and not _own_file(name):
            self.refuse(_unknown(_WHAT["item"], name, names), "replacement", "items", number)
        return name


def _own_file(name: str) -> bool:
    return name.endswith(".toml") and name.isprintable() and len(name) <= 200


def _exact(value: object) -> Fraction | None:
    if isinstance(value, bool) or not isinstance(value, int | Decimal | Fraction):
        return None
    if isinstance(value, Decimal) and (not value.is_finite() or abs(value.adjusted()) > 9):
        return None
    return Fraction(value)


def _shown(value: object) -> str:
    return f"'{visible(value)}'" if isinstance(value, str) else visible(str(value))


def _plain(name: str) -> str:
    return " ".join(name.replace("_", " ").casefold().split())


def _as_known(name: str, names: frozenset[str]) -> str:
    """The known name that is the same but for case, spaces and underscores; the name itself if there isn't one."""
    if name in names:
        return name
    same = [one for one in names if _plain(one) == _plain(name)]
    return same[0] if len(same) == 1 else name


_WHAT = {
    "item": fact("errors_class_files.no_item_model"),
    "skill": fact("errors_class_files.no_skill"),
    "topic": fact("errors_class_files.no_topic"),
}


def _unknown(what: Fact, name: str, names: frozenset[str]) -> Fact:
    command = "calclib items" if what in _WHAT.values() else "calclib policies"
    advice = _advice(command, name, sorted(names))
    return fact("errors_class_files.unknown", what=what, name=visible(name), advice=advice)


def _advice(command: str, name: str, names: list[str]) -> Fact:
    """The name that is spelled almost so; else those that hold its words; else the nearest; else the first of all."""
    of_plain = {_plain(one): one for one in names}
    slip = get_close_matches(_plain(name), of_plain, n=1, cutoff=_A_SLIP)
    words = _plain(name).split()
    holding = [one for plain, one in of_plain.items() if words and all(word in plain for word in words)]
    near = slip or get_close_matches(_plain(name), of_plain, n=1, cutoff=0.5)
    if slip or len(holding) == 1 or (near and not holding):
        likely = of_plain[near[0]] if slip or not holding else holding[0]
        return fact("errors_class_files.did_you_mean", name=likely)
    found = holding or names
    listed = fact(
        "errors_class_files.with_these_words" if holding else "errors_class_files.known",
        names=tuple(found[:_LISTED]),
    )
    if len(found) <= _LISTED:
        return fact("errors_class_files.all_listed", listed=listed)
    return fact("errors_class_files.some_listed", listed=listed, more=len(found) - _LISTED, command=command)
