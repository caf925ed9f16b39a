"""A teacher's own values: names and words as they come, made to fit the model."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from calclib.errors.messages import BadInput
from calclib.items.item import Item
from calclib.items.own_values.drug_measure import distractor_texts, measured_alike
from calclib.items.own_values.own_drug import with_no_other_name, with_own_row
from calclib.models.model import FromRow, GivenModel, ItemModel, TableRow
from calclib.models.ranges import range_form
from calclib.models.stated import MAX_TEXT
from calclib.reading.orders.stated_values import unit_of_order
from calclib.wording.facts import fact

MONTHS = 12
RANGE_NAMES = ("range", "dose")
"""Names under which a range may be given, beside those of its two ends."""

_PRINTED_RANGE = re.compile(r"\{([\w.]+)\} to \{([\w.]+)\}")
SAME_WORDS = {"male": "man", "female": "woman", "m": "man", "f": "woman", "noon": "pm", "midnight": "am"}
_SCORED = "scored tablets"
_TABLETS = re.compile(r"(?i)\b((?:un|not |non-?)?scored|[a-z-]*coated|[a-z]+-release)\b")
_PERIOD = r"(?:(\d{1,2}) ?)?(days?|h|hrs?|hours?)"


def with_own_values(model: ItemModel, given: Mapping[str, str]) -> tuple[ItemModel, dict[str, str]]:
    """Return a model, its drug measured as the values are, and the values by the givens' full names.

    Args:
        model: The item model.
        given: Texts by names; the name of a table's row may carry one of the row's words, such as patient = "woman",
            and either end of a range the whole range.

    Raises:
        BadInput: A name is unknown, a word is in no row, or a range is given where there is none or beside an end.
    """
    fixed: dict[str, str] = {}
    for name, text in _with_both_ends(model, given).items():
        known = model.given_named(name)
        if isinstance(known.draw, TableRow):
            fixed.update(_words_of_row(model, known, known.draw, text))
        else:
            fixed[known.name] = _word_of_column(model, known, _without_tail(model, known, text))
            for column, words in _said_of_tablets(model, known, text).items():
                fixed.setdefault(column, words)
    fixed = with_own_row(model, fixed)
    measured = measured_alike(model, fixed)
    if measured is model:
        return model, with_no_other_name(model, fixed)
    return measured, {**fixed, **distractor_texts(model, fixed)}


def printed_range(model: ItemModel) -> tuple[str, str] | None:
    """Return the two givens that a stem prints as a range, “{low} to {high}”; None if it prints none."""
    for found in _PRINTED_RANGE.finditer(model.stem):
        if model.givens[found[1]].unit is not None:  # not from one time of day to another
            return found[1], found[2]
    return None


def _with_both_ends(model: ItemModel, given: Mapping[str, str]) -> dict[str, str]:
    """The texts, each range among them as its two ends."""
    ends = printed_range(model)
    result: dict[str, str] = {}
    for name, text in given.items():
        both = _both_ends(model, name, text, ends)
        for own, value in both.items() if both else ((name, text),):
            if own in result or (both and own != name and own in given):
                raise BadInput(fact("errors_items.given_twice", name=own, by=name, text=text))
            result[own] = value
    return result


def _both_ends(model: ItemModel, name: str, text: str, ends: tuple[str, str] | None) -> dict[str, str]:
    """A range by the names of its ends; {} for a single value."""
    alias = name in RANGE_NAMES and name not in model.givens
    if ends is not None and (alias or name in ends):
        if len(text) <= MAX_TEXT and (found := range_form(text)):
            return dict(zip(ends, found, strict=True))
        if alias:
            raise BadInput(fact("errors_items.no_range", name=name, text=text[:MAX_TEXT]))
    elif alias and name == "range":
        raise BadInput(fact("errors_items.states_no_range", model=model.id))
    return {}


def noted(item: Item, use: Mapping[str, Any]) -> Item:
    """Return an item that says which conversions a teacher fixed though no step uses them."""
    unused = [fact("draw.no_part", name=name) for name in use if name not in item.equivalences]
    return item._replace(why=(*item.why, *unused)) if unused else item


def _words_of_row(model: ItemModel, given: GivenModel, draw: TableRow, text: str) -> dict[str, str]:
    columns = [c for c in model.columns[given.name] if f"{given.name}.{c}" in model.givens]
    texts = [c for c in columns if model.givens[f"{given.name}.{c}"].kind == "text"]
    for row in model.rows[draw.table]:
        if _alike(text) in {_alike(row[c]) for c in texts}:
            return {f"{given.name}.{c}": str(row[c]) for c in texts}
    known = tuple(dict.fromkeys(str(row[c]) for row in model.rows[draw.table] for c in texts[:1]))
    raise BadInput(fact("errors_items.none_of_its_rows", name=given.name, text=text, known=known))


def _word_of_column(model: ItemModel, given: GivenModel, text: str) -> str:
    """A word of a row as the table writes it: “woman” for “Female”."""
    if given.kind != "text" or not isinstance(given.draw, FromRow):
        return text
    row = model.givens[given.draw.row]
    assert isinstance(row.draw, TableRow)
    cells = [cell for one in model.rows[row.draw.table] for cell in _cells(one[given.draw.column])]
    for step in model.steps:
        if step.kind == "lookup" and step.fields["key"] == given.name:
            cells += [str(one["equals"]) for one in model.rows[step.fields["table"]] if "equals" in one]
    return next((cell for cell in cells if _alike(cell) == _alike(text)), text)


def _said_of_tablets(model: ItemModel, given: GivenModel, text: str) -> dict[str, str]:
    """Whether tablets may be halved, where a strength says it: “300 mg unscored tablets”.

    Raises:
        BadInput: The model's tablets are all scored.
    """
    said = _TABLETS.search(text) if given.kind == "drug_per_tab" else None
    if said is None:
        return {}
    words = f"{said[1].lower()} tablets"
    for name, column in model.givens.items():
        if column.kind == "text" and isinstance(column.draw, FromRow):
            row = model.givens[column.draw.row]
            assert isinstance(row.draw, TableRow)
            if any(_SCORED in _cells(one[column.draw.column]) for one in model.rows[row.draw.table]):
                return {name: words}
    if words != _SCORED and _SCORED in model.stem:
        raise BadInput(fact("errors_items.scored_tablets", model=model.id, text=text[:MAX_TEXT]))
    return {}


def _cells(cell: Any) -> list[str]:
    return [str(one) for one in cell] if isinstance(cell, list) else [str(cell)]


def _alike(word: Any) -> str:
    small = " ".join(str(word).lower().replace(".", "").split())
    return SAME_WORDS.get(small, small)


def _without_tail(model: ItemModel, given: GivenModel, text: str) -> str:
    """A value without what the stem prints behind it: 255 for “255 mg/dL”, 4 g for “4 g/day”."""
    after = model.stem.partition(f"{{{given.name}}}")[2]
    if given.kind in ("drug_amount", "volume"):
        often = (
            r"(?i)(?<=[a-z]) (?:once )?(?:daily|every (?:day|morning|evening|night))$"
            if given.name == "order"
            else r"$^"
        )
        return re.sub(often, "", _without_period(after, text))
    if given.kind != "number" or not (found := re.fullmatch(r"([\d.,/ ]+?)[ -]?([A-Za-z%].*)", text.strip())):
        return text
    printed = re.match(r" ([A-Za-z%/]+)", after)
    if (printed and unit_of_order(printed[1]) == unit_of_order(found[2])) or after.startswith(f" {found[2]}"):
        return found[1]
    if after.startswith(" months") and found[1].isdigit() and re.match(r"y(?:ears?|rs?)?\b", found[2]):
        return str(MONTHS * int(found[1]))
    return text


def _without_period(after: str, text: str) -> str:
    """A limit without the time for which the stem names it: “4 g/day” before “in 24 h”."""
    said = re.fullmatch(rf"(.*[A-Za-z]) ?(?:/|in|per|every|a) ?(?:an? )?{_PERIOD}", text.strip())
    printed = re.match(rf"(?: to {{\w+}})? in (?:an? )?{_PERIOD}\b", after)
    return said[1] if said and printed and _hours(said[2], said[3]) == _hours(printed[1], printed[2]) else text


def _hours(count: str | None, word: str) -> int:
    return int(count or 1) * (24 if word.startswith("d") else 1)
