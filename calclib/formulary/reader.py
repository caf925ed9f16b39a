"""A drug's file read strictly: every mistake is one sentence with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from enum import StrEnum
from fractions import Fraction
from typing import Any, NoReturn, TypeVar

from calclib.errors.file_lines import FileLines, Place
from calclib.errors.messages import BadInput, CalclibError
from calclib.errors.nearest import nearest_or_all
from calclib.formulary.amount import KG, Amount, Shape, age_in_days, amount, shape_of
from calclib.formulary.records import (
    RANGES,
    WORDED,
    AgeGroup,
    Citation,
    Drug,
    Form,
    Kind,
    Limit,
    Line,
    Manner,
    Mixing,
    Presentation,
    Review,
    Route,
    Scoring,
    Span,
    Use,
)
from calclib.sources.catalogue import source
from calclib.wording.facts import Fact, fact

_Word = TypeVar("_Word", bound=StrEnum)
_Row = Mapping[str, Any]

LONGEST_FILE = 200_000
WITHOUT_TEXT = {"memory": "from_memory", "practice": "common_practice"}
"""What `by` may say beside the name of one of the file's references."""

_FILE = ("name", "also", "reviewed", "note", "references", "presentation", "use")
_REFERENCE = ("source", "place")
_PRESENTATION = ("form", "strength", "volumes", "labeled", "states", "scoring", "manner", "by", "mixing")
_MIXING = ("add", "using", "makes", "volume", "by")
_USE = ("routes", "manner", "group", "indication", "ages", "weights", "condition", "dosed_as", "note", *Kind)
_TIME = (("time", 1),)
_SHAPES: dict[Kind, Callable[[Shape], bool]] = {
    Kind.DOSE: lambda s: not s.time and not s.in_volume,
    Kind.DOSE_MOST: lambda s: not s.time and not s.in_volume,
    Kind.SITE_MOST: lambda s: not s.time and not s.in_volume,
    Kind.TOTAL_MOST: lambda s: not s.time and not s.in_volume,
    Kind.DAY: lambda s: s.time == "day" and not s.in_volume,
    Kind.DAY_MOST: lambda s: s.time == "day" and not s.in_volume,
    Kind.WEEK: lambda s: s.time == "wk" and not s.in_volume,
    Kind.WEEK_MOST: lambda s: s.time == "wk" and not s.in_volume,
    Kind.RATE: lambda s: s.time in ("h", "min") and not s.in_volume,
    Kind.RATE_MOST: lambda s: s.time in ("h", "min") and not s.in_volume,
    Kind.SPEED_MOST: lambda s: s.time in ("h", "min") and not s.in_volume,
    Kind.CONCENTRATION: lambda s: s.in_volume and not s.time,
    Kind.CONCENTRATION_STATED: lambda s: s.in_volume and not s.time,
}
_EXAMPLES = {
    Kind.DOSE: "5 mg/kg",
    Kind.DOSE_MOST: "1,000 mg",
    Kind.SITE_MOST: "500 mcg",
    Kind.TOTAL_MOST: "300 mg",
    Kind.DAY: "40 mg/kg/day",
    Kind.DAY_MOST: "4,000 mg/day",
    Kind.WEEK: "10 mg/wk",
    Kind.WEEK_MOST: "20 mg/wk",
    Kind.RATE: "5 mcg/kg/min",
    Kind.RATE_MOST: "15 mg/h",
    Kind.SPEED_MOST: "50 mg/min",
    Kind.CONCENTRATION: "5 mg/mL",
    Kind.CONCENTRATION_STATED: "0.2 mg/mL",
    Kind.INTERVAL: "8 h",
    Kind.INFUSION_TIME: "30 min",
}


def read_drug(text: str, where: str) -> Drug:
    """Return the drug that a file describes.

    Args:
        text: The text of the TOML file.
        where: The file's name, for messages.

    Raises:
        BadInput: Something in it is unknown, missing, or doesn't fit; says the line and what.
    """
    if len(text) > LONGEST_FILE:
        raise BadInput(fact("errors_formulary.file_too_long", most=LONGEST_FILE), where=where)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"line (\d+)", str(error))
        raise BadInput(
            fact("errors.no_toml", error=str(error)), where=where, line=int(found[1]) if found else None
        ) from None
    return _Reader(data, FileLines(text), where).drug()


class _Reader:
    """One file, its lines, and the references that its figures name."""

    def __init__(self, data: _Row, lines: FileLines, where: str) -> None:
        self._data, self._lines, self._where = data, lines, where
        self._cited: dict[str, Citation] = {name: Citation(key) for name, key in WITHOUT_TEXT.items()}

    def drug(self) -> Drug:
        self._known(self._data, _FILE, ())
        for name, row in self._table(self._data.get("references", {}), ("references",)).items():
            self._cited[name] = self._reference(row, ("references", name))
        return Drug(
            name=self._text(self._data, "name", ()),
            also=self._texts(self._data.get("also", []), ("also",)),
            presentations=tuple(self._presentation(row, at) for row, at in self._rows("presentation")),
            uses=tuple(self._use(row, at) for row, at in self._rows("use")),
            reviews=tuple(self._review(row, ("reviewed",)) for row in self._list(self._data.get("reviewed", []))),
            note=self._text(self._data, "note", (), ""),
        )

    def _reference(self, row: Any, at: Place) -> Citation:
        self._known(self._table(row, at), _REFERENCE, at)
        key = self._text(row, "source", at)
        try:
            source(key)
        except CalclibError:
            self._wrong(fact("errors_formulary.no_source", key=key), (*at, "source"))
        return Citation(key, self._text(row, "place", at, ""))

    def _review(self, row: Any, at: Place) -> Review:
        self._known(self._table(row, at), ("by", "on"), at)
        return Review(self._text(row, "by", at), self._text(row, "on", at))

    def _presentation(self, row: _Row, at: Place) -> Presentation:
        self._known(row, _PRESENTATION, at)
        scoring, manner = row.get("scoring"), row.get("manner")
        if scoring is not None:
            self._known(self._table(scoring, (*at, "scoring")), ("is", "by"), (*at, "scoring"))
        return Presentation(
            form=self._word(Form, self._text(row, "form", at), (*at, "form")),
            strength=self._strength(self._text(row, "strength", at), (*at, "strength")),
            citation=self._by(row, at),
            volumes=tuple(self._volume(one, (*at, "volumes")) for one in self._list(row.get("volumes", []))),
            labeled=self._text(row, "labeled", at, ""),
            states=self._text(row, "states", at, ""),
            scoring=None if scoring is None else self._word(Scoring, scoring.get("is", ""), (*at, "scoring")),
            scoring_citation=None if scoring is None else self._by(scoring, (*at, "scoring")),
            manner=None if manner is None else self._word(Manner, manner, (*at, "manner")),
            mixing=tuple(self._mixing(one, (*at, "mixing")) for one in self._list(row.get("mixing", []))),
        )

    def _mixing(self, row: Any, at: Place) -> Mixing:
        self._known(self._table(row, at), _MIXING, at)
        volume = row.get("volume")
        return Mixing(
            add=self._volume(self._text(row, "add", at), at),
            makes=self._amount(self._text(row, "makes", at), at, _SHAPES[Kind.CONCENTRATION], "250 mg/mL"),
            citation=self._by(row, at),
            volume=None if volume is None else self._volume(volume, at),
            using=self._text(row, "using", at, ""),
        )

    def _use(self, row: _Row, at: Place) -> Use:
        self._known(row, _USE, at)
        routes = self._texts(row.get("routes", []), (*at, "routes"))
        if not routes:
            self._wrong(fact("errors_formulary.no_routes"), (*at, "routes"))
        manner = row.get("manner")
        return Use(
            routes=tuple(self._word(Route, one, (*at, "routes")) for one in routes),
            group=self._word(AgeGroup, self._text(row, "group", at), (*at, "group")),
            indication=self._text(row, "indication", at),
            limits=tuple(self._limit(kind, row[kind], (*at, kind)) for kind in Kind if kind in row),
            manner=None if manner is None else self._word(Manner, manner, (*at, "manner")),
            ages=self._span(row.get("ages", {}), age_in_days, "6 mo", (*at, "ages")),
            weights=self._span(row.get("weights", {}), _kilograms, "40 kg", (*at, "weights")),
            condition=self._text(row, "condition", at, ""),
            dosed_as=self._text(row, "dosed_as", at, ""),
            note=self._text(row, "note", at, ""),
        )

    def _limit(self, kind: Kind, row: Any, at: Place) -> Limit:
        self._table(row, at)
        citation = self._by(row, at)
        if kind in RANGES:
            self._known(row, ("from", "to", "by"), at)
            if "to" not in row:
                self._wrong(fact("errors_formulary.no_upper_end", limit=kind, example=_EXAMPLES[kind]), at)
            low = self._figure(kind, row["from"], at) if "from" in row else None
            high = self._figure(kind, row["to"], at)
            share = low.over(high) if low is not None else None
            if low is not None and (share is None or share > 1):
                self._wrong(fact("errors_formulary.ends_exchanged", limit=kind, low=str(low), high=str(high)), at)
            return Limit(kind, citation, low, (high,))
        if kind in WORDED:
            self._known(row, ("is", "never", "by"), at)
            words, never = self._texts(row.get("is", []), at), self._texts(row.get("never", []), at)
            if not words and not never:
                self._wrong(fact("errors_formulary.says_nothing", limit=kind), at)
            return Limit(kind, citation, words=words, never=never)
        return self._most(kind, row, at, citation)

    def _most(self, kind: Kind, row: _Row, at: Place, citation: Citation) -> Limit:
        concentration = kind in (Kind.CONCENTRATION, Kind.CONCENTRATION_STATED)
        self._known(row, ("is", "line", "by") if concentration else ("is", "by"), at)
        texts = self._texts(row.get("is", []), at)
        if not texts:
            self._wrong(fact("errors_formulary.no_figure", limit=kind, example=_EXAMPLES[kind]), at)
        words = tuple(one for one in texts if one == "once" and kind is Kind.INTERVAL)
        return Limit(
            kind,
            citation,
            high=tuple(self._figure(kind, one, at) for one in texts if one not in words),
            line=self._word(Line, row["line"], at) if "line" in row else None,
            words=words,
        )

    def _figure(self, kind: Kind, text: Any, at: Place) -> Amount:
        if kind in (Kind.INTERVAL, Kind.INFUSION_TIME):
            found = self._read(text, at)
            if found.unit.dimension != _TIME or found.value <= 0:
                self._wrong(fact("errors_formulary.no_time", text=text, example=_EXAMPLES[kind]), at)
            return found
        return self._amount(text, at, _SHAPES[kind], _EXAMPLES[kind])

    def _amount(self, text: Any, at: Place, fits: Callable[[Shape], bool], example: str) -> Amount:
        found = self._read(text, at)
        shape = shape_of(found.unit)
        if shape is None or not fits(shape) or found.value <= 0:
            self._wrong(fact("errors_formulary.does_not_fit", text=text, example=example), at)
        return found

    def _strength(self, text: str, at: Place) -> Amount:
        return self._amount(text, at, lambda s: not s.time and not s.per, "250 mg/mL")

    def _volume(self, text: Any, at: Place) -> Amount:
        return self._amount(text, at, lambda s: s == Shape("volume"), "10 mL")

    def _read(self, text: Any, at: Place) -> Amount:
        if not isinstance(text, str):
            self._wrong(fact("errors_formulary.not_quoted", text=repr(text)), at)
        try:
            return amount(text)
        except BadInput as error:
            self._wrong(error.what, at)

    def _span(self, row: Any, number: Callable[[Amount], Fraction | None], example: str, at: Place) -> Span:
        self._known(self._table(row, at), ("from", "to", "below"), at)
        ends = []
        for name in ("from", "to", "below"):
            found = number(self._read(row[name], at)) if name in row else None
            if name in row and found is None:
                self._wrong(fact("errors_formulary.does_not_fit", text=row[name], example=example), at)
            ends.append(found)
        return Span(*ends)

    def _by(self, row: _Row, at: Place) -> Citation:
        name = self._text(row, "by", at)
        if name not in self._cited:
            self._wrong(
                fact("errors_formulary.no_reference", name=name, hint=nearest_or_all(name, self._cited)), (*at, "by")
            )
        return self._cited[name]

    def _word(self, kind: type[_Word], text: Any, at: Place) -> _Word:
        try:
            return kind(text)
        except ValueError:
            self._wrong(
                fact(
                    "errors_formulary.not_known", text=text, hint=nearest_or_all(str(text), [str(one) for one in kind])
                ),
                at,
            )

    def _known(self, row: _Row, names: Sequence[str], at: Place) -> None:
        for name in row:
            if name not in names:
                self._wrong(
                    fact("errors_formulary.not_known", text=name, hint=nearest_or_all(name, names)), (*at, name)
                )

    def _rows(self, name: str) -> Iterator[tuple[_Row, Place]]:
        for number, row in enumerate(self._list(self._data.get(name, []))):
            yield self._table(row, (name, number)), (name, number)

    def _text(self, row: _Row, name: str, at: Place, default: str | None = None) -> str:
        if name not in row and default is not None:
            return default
        text = row.get(name)
        if not isinstance(text, str) or not (text.strip() or default == ""):
            self._wrong(fact("errors_formulary.no_text", name=name), (*at, name))
        return text

    def _texts(self, value: Any, at: Place) -> tuple[str, ...]:
        if not isinstance(value, list) or not all(isinstance(one, str) and one for one in value):
            self._wrong(fact("errors_formulary.no_texts"), at)
        return tuple(value)

    def _list(self, value: Any) -> list[Any]:
        if not isinstance(value, list):
            self._wrong(fact("errors_formulary.no_list"), ())
        return value

    def _table(self, value: Any, at: Place) -> _Row:
        if not isinstance(value, Mapping):
            self._wrong(fact("errors_formulary.no_table"), at)
        return value

    def _wrong(self, what: Fact, at: Place) -> NoReturn:
        raise BadInput(what, where=self._where, line=self._lines.line(at))


def _kilograms(weight: Amount) -> Fraction | None:
    found = weight.in_unit(KG)
    return None if found is None else found.value
