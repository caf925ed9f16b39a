"""What an item model file may look like at all: bounded in size, of plain texts and whole numbers, of known fields.

A file may come from a stranger. It is checked here before anything is made of it, so that nothing later is costlier
than the bounds allow.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from calclib.errors.file_bounds import MAX_DIGITS, TOO_DEEP, beyond_bounds, long_text, refuse_long
from calclib.errors.file_lines import FileLines, Place
from calclib.errors.messages import BadInput
from calclib.errors.unseen import is_unseen
from calclib.models.formulary_rows import own_text
from calclib.models.markup import markup_in
from calclib.models.orders import FIELDS as ORDER_FIELDS
from calclib.wording.facts import Fact, fact

MAX_STEM = 4_000
MOST = {
    "given": 40,
    "step": 40,
    "where": 60,
    "part": 20,
    "table": 20,
    "constants": 20,
    "words": 40,
    "ordered": 8,
    "paper": 6,
    "formulary": 400,
}
MAX_ROWS = 400

_AT = re.compile(r"\s*\(at line (\d+), column (\d+)\)|\s*\(at end of document\)")
_PRINTED = ("stem", "asked")
"""Fields in which {names} of givens are filled in; braces anywhere else could be filled in over and over."""
_ON_PAPER = ("title", "lines", "rows")
"""The same on a paper."""

_TEXT, _TEXTS, _WHOLE, _TABLE, _TABLES = "text", "texts", "whole", "table", "tables"
_TEXTS_OR_COLUMN = "texts or column"
_DRAW = "draw"
FORMS: Mapping[str, Fact] = {
    _TEXT: fact("errors_models.a_text"),
    _TEXTS: fact("errors_models.a_list_of_texts"),
    _WHOLE: fact("errors_models.a_whole_number"),
    _TABLE: fact("errors_models.a_table"),
    _TABLES: fact("errors_models.a_list_of_tables"),
    _TEXTS_OR_COLUMN: fact("errors_models.a_list_or_column"),
    _DRAW: fact("errors_models.a_draw"),
}
"""What a field may hold, in words."""

TOP: Mapping[str, str] = {
    "id": _TEXT, "version": _WHOLE, "title": _TEXT, "topic": _TEXT, "level": _TEXT, "skill": _TEXT, "order": _WHOLE,
    "sources": _TEXTS, "stem": _TEXT, "step": _TABLES, "part": _TABLES,
    "caution": _TEXT, "few": _TEXT, "states": _TEXTS, "given": _TABLE, "where": _TABLES, "table": _TABLE,
    "constants": _TABLE, "words": _TABLE, "ordered": _TABLES, "paper": _TABLES,
    "formulary": _TABLE, "reviewed": _TABLES,
}  # fmt: skip
TOP_OPTIONAL = frozenset(
    {
        "level",
        "caution",
        "few",
        "states",
        "given",
        "where",
        "table",
        "constants",
        "words",
        "ordered",
        "formulary",
        "reviewed",
        "paper",
    }
)
GIVEN: Mapping[str, str] = {
    "kind": _TEXT, "draw": _DRAW, "unit": _TEXT, "forms": _TEXTS_OR_COLUMN, "role": _TEXT,
    "mistaken": _TEXTS_OR_COLUMN, "says": _TEXT, "columns": _TABLE, "sources": _TEXTS,
    "drawn_on": _TEXT, "reads": _TEXT,
}  # fmt: skip
GIVEN_OPTIONAL = frozenset(GIVEN) - {"kind", "draw"}
PART: Mapping[str, str] = {
    "name": _TEXT, "asks": _TEXT, "asked": _TEXT, "unit": _TEXT, "rounding": _TEXT, "points": _WHOLE,
    "from_entered": _TEXTS, "kind": _TEXT, "set_on": _TEXT,
}  # fmt: skip
PART_OPTIONAL = frozenset({"unit", "rounding", "points", "from_entered", "kind", "set_on"})
STEP: Mapping[str, str] = {
    "name": _TEXT, "kind": _TEXT, "unit": _TEXT, "says": _TEXT, "quantity": _TEXT, "sources": _TEXTS,
    "constants": _TABLE,
}  # fmt: skip
STEP_OPTIONAL = frozenset(STEP) - {"name", "kind"}
WHERE: Mapping[str, str] = {"that": _TEXT}
PAPER: Mapping[str, str] = {"kind": _TEXT, "title": _TEXT, "lines": _TEXTS, "heads": _TEXTS, "rows": ""}
PAPER_OPTIONAL = frozenset({"title", "lines", "heads", "rows"})
REVIEWED: Mapping[str, str] = {"by": _TEXT, "on": _TEXT}
ORDERED: Mapping[str, str] = {**dict.fromkeys(ORDER_FIELDS, _TEXT), "unless": _TABLE}


@dataclass(frozen=True)
class CheckedFile:
    """The values of a file within bounds, and where they stand.

    Attributes:
        data: What can be read on; None if nothing can.
        lines: Where its values stand.
        mistakes: What is wrong with its shape.
        unread: Names of givens, steps and constants that are left out of `data`, so that nobody calls them unknown.
    """

    data: Mapping[str, Any] | None
    lines: FileLines
    mistakes: tuple[BadInput, ...] = ()
    unread: frozenset[str] = frozenset()


def checked_file(text: str, where: str) -> CheckedFile:
    """Return what a file holds, with all that is wrong with its size and shape.

    Args:
        text: The text of the file, TOML.
        where: The file's name, for messages.

    Raises:
        BadInput: It is too long, or no TOML; the line is named.
    """
    text = text.replace("\r\n", "\n")
    refuse_long(text, where, fact("errors.an_item_model"), own=len(own_text(text)))
    data = _parsed(text, where)
    lines = FileLines(text)
    beyond = [*beyond_bounds(data, _text_bounds), *_too_many(data)]
    inexact = [] if beyond else [*_inexact(data, ())]
    said = {tuple(place) for place, _ in inexact}
    found = beyond or [*inexact, *(one for one in _problems(data) if tuple(one[0]) not in said)]
    mistakes = tuple(BadInput(what, where=where, line=lines.line(place)) for place, what in found)
    if beyond:
        return CheckedFile(None, lines, mistakes)
    rest, unread = _readable(data, [place for place, _ in found])
    return CheckedFile(rest, lines, mistakes, unread)


def _parsed(text: str, where: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        at = _AT.search(str(error))
        line = int(at[1]) if at and at[1] else None
        what = _AT.sub("", str(error))
        if at and at[2]:
            raise BadInput(fact("errors_models.no_toml", column=at[2], what=what), where=where, line=line) from None
        raise BadInput(fact("errors_models.no_toml_at_end", what=what), where=where, line=line) from None
    except RecursionError:
        raise BadInput(TOO_DEEP, where=where) from None
    except ValueError:
        raise BadInput(fact("errors_models.number_too_long", most=MAX_DIGITS), where=where) from None


_IN_PLACE = {"version": 1, "order": 1, "title": "", "topic": "", "skill": "", "sources": (), "part": ()}
"""What stands for a missing field while the rest is read."""
_NAMED = ("given", "step", "where", "part", "ordered", "paper")


def _readable(data: Mapping[str, Any], places: Sequence[Place]) -> tuple[dict[str, Any] | None, frozenset[str]]:
    """What is sound, and the names of what is left out."""
    bad = {tuple(place[:2]) for place in places if len(place) > 1 and place[0] in _NAMED}
    other = any(place[0] in TOP if len(place) == 1 else place[0] not in _NAMED for place in places if place)
    rest = {**_IN_PLACE, **{name: value for name, value in data.items() if name in TOP}}
    if other or not {"id", "stem", "step"} <= set(rest):
        return None, frozenset()
    unread: set[str] = set()
    for name, given in data.get("given", {}).items():
        if ("given", name) in bad:
            columns = given.get("columns") if isinstance(given, dict) else None
            unread |= {name, *(f"{name}.{column}" for column in (columns if isinstance(columns, dict) else ()))}
    rest["given"] = {name: given for name, given in data.get("given", {}).items() if ("given", name) not in bad}
    for kind in ("step", "where", "part", "ordered", "paper"):
        # A step, constraint or part keeps its place, so that its line is found.
        rest[kind] = [None if (kind, n) in bad else one for n, one in enumerate(rest.get(kind, ()))]
        unread |= {str(one.get("name")) for n, one in enumerate(data.get(kind, ())) if (kind, n) in bad}
    return rest, frozenset(unread)


def _too_many(data: Mapping[str, Any]) -> Iterator[tuple[Place, Fact]]:
    for name, most in MOST.items():
        value = data.get(name, ())
        if isinstance(value, list | dict) and len(value) > most:
            yield (name, most), fact("errors_models.too_many", most=most, name=name, number=len(value))
    tables = data.get("table", {})
    rows = tables.values() if isinstance(tables, dict) else ()
    if sum(len(one) for one in rows if isinstance(one, list)) > MAX_ROWS:
        yield ("table",), fact("errors_models.too_many_rows", most=MAX_ROWS)


def _problems(data: Mapping[str, Any]) -> Iterator[tuple[Place, Fact]]:
    yield from _fields(data, TOP, TOP_OPTIONAL, (), fact("errors_models.at_the_top"))
    for name, given in _table(data, "given").items():
        yield from _fields(given, GIVEN, GIVEN_OPTIONAL, ("given", name), fact("errors_models.in_given", name=name))
        yield from _all_texts(_table(given, "columns"), ("given", name, "columns"))
        if isinstance(given, dict) and given.get("kind") == "row" and "columns" not in given:
            yield ("given", name), fact("errors_models.row_without_columns", name=name)
    for name, rows in _table(data, "table").items():
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            yield ("table", name), fact("errors_models.rows_of_table", name=name)
    for kind, fields, optional in (
        ("step", None, STEP_OPTIONAL),
        ("where", WHERE, frozenset[str]()),
        ("part", PART, PART_OPTIONAL),
        ("ordered", ORDERED, frozenset(ORDERED)),
        ("paper", PAPER, PAPER_OPTIONAL),
        ("reviewed", REVIEWED, frozenset[str]()),
    ):
        for number, one in _tables(data, kind):
            which: str | Fact = str(one["name"]) if "name" in one else fact("errors_models.number", number=number + 1)
            known = fields or {**STEP, **{field: "" for field in one if field not in STEP}}
            yield from _fields(
                one, known, optional, (kind, number), fact("errors_models.in_table", table=kind, name=which)
            )
    yield from _all_texts(_table(data, "constants"), ("constants",))
    yield from _all_texts(_table(data, "words"), ("words",))
    yield from _all_texts(_table(data, "formulary"), ("formulary",))
    for number, step in _tables(data, "step"):
        yield from _all_texts(_table(step, "constants"), ("step", number, "constants"))


def _table(holder: object, name: str) -> Mapping[str, Any]:
    """A table of that name, empty if there isn't one."""
    value = holder.get(name) if isinstance(holder, dict) else None
    return value if isinstance(value, dict) else {}


def _tables(data: Mapping[str, Any], name: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """The tables of a list of that name, each with its place."""
    value = data.get(name)
    if isinstance(value, list):
        yield from ((number, one) for number, one in enumerate(value) if isinstance(one, dict))


def _inexact(value: Any, place: Place) -> Iterator[tuple[Place, Fact]]:
    """Whatever is of a kind that no field takes."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _inexact(inner, (*place, key))
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from _inexact(inner, (*place, number))
    elif isinstance(value, float):
        yield place, fact("errors_models.number_not_quoted", number=str(value))
    elif not isinstance(value, str | int):
        yield place, fact("errors_models.date_not_quoted")


def _text_bounds(text: str, place: Place) -> Iterator[tuple[Place, Fact]]:
    if place != ("stem",):
        yield from long_text(text, place)
    elif len(text) > MAX_STEM:
        yield place, fact("errors_models.stem_too_long", most=MAX_STEM, length=len(text))
    if unseen := next((one for one in text if one != "\n" and is_unseen(one)), ""):
        yield place, fact("errors_models.unseen_character", code=f"U+{ord(unseen):04X}")
    # Comparisons are shown to nobody; a citation may give its address.
    cites = place[0] == "sources" or (place[0] in ("given", "step") and place[2:3] == ("sources",))
    if place[0] != "where" and not cites and (markup := markup_in(text)):
        yield place, fact("errors_models.markup", markup=markup)
    printed = place[-1] in _PRINTED or (len(place) > 2 and place[0] == "paper" and place[2] in _ON_PAPER)
    if not printed and ("{" in text or "}" in text):
        yield place, fact("errors_models.braces")


def _fields(
    fields: Any, known: Mapping[str, str], optional: frozenset[str], place: Place, within: Fact
) -> Iterator[tuple[Place, Fact]]:
    if not isinstance(fields, dict):
        yield place, fact("errors_models.must_be_a_table", found=str(fields), within=within)
        return
    meant: set[str] = set()
    for name in fields:
        if name not in known:
            near = get_close_matches(name, known, 1)
            meant.update(near)
            hint = (
                fact("errors.did_you_mean", name=near[0])
                if near
                else fact("errors_models.fields_are", known=tuple(known))
            )
            yield (*place, name), fact("errors_models.no_field", name=name, within=within, hint=hint)
    for name, form in known.items():
        if name not in fields:
            if name not in optional and name not in meant:
                yield place, fact("errors_models.field_missing", name=name, within=within)
        elif form and not _has_form(fields[name], form):
            yield (*place, name), fact("errors_models.form_of_field", name=name, within=within, form=FORMS[form])


def _has_form(value: Any, form: str) -> bool:
    match form:
        case "text":
            return isinstance(value, str)
        case "whole":
            return isinstance(value, int) and not isinstance(value, bool)
        case "texts":
            return isinstance(value, list) and all(isinstance(one, str) for one in value)
        case "table":
            return isinstance(value, dict)
        case "tables":
            return isinstance(value, list) and bool(value) and all(isinstance(one, dict) for one in value)
    if isinstance(value, str):
        return form == _DRAW or value.count(".") == 1
    if isinstance(value, dict):
        return form == _DRAW
    return isinstance(value, list) and bool(value) and all(isinstance(one, str | int) for one in value)


def _all_texts(table: Mapping[str, Any], place: Place) -> Iterator[tuple[Place, Fact]]:
    for name, value in table.items():
        if not isinstance(value, str):
            yield (*place, name), fact("errors_models.text_not_quoted", name=name)
