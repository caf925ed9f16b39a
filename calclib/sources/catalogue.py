"""The sources that numbers and rules in this library name."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, TypeAlias, cast

from calclib.errors.messages import CalclibError
from calclib.wording.facts import fact
from calclib.wording.sentences import said

Seen: TypeAlias = Literal["read", "memory", "practice"]
SEEN = ("read", "memory", "practice")
FIELDS = ("author", "title", "year", "place", "url", "seen")


@dataclass(frozen=True)
class Source:
    """A published text, or the plain statement that there is none.

    Args:
        key: Short name that data files use.
        author: Author or body, "" where there is none.
        title: Title of the text.
        year: Year or edition, "" if not known.
        place: Section, page or volume, "" for the whole.
        seen: `read`, `memory` or `practice`.
        url: Address, "" if none.
    """

    key: str
    author: str
    title: str
    year: str
    place: str
    seen: Seen
    url: str = ""

    def cite(self, place: str | None = None) -> str:
        """The source in one line: "OpenStax, Pharmacology for Nurses, 2024, sec. 2.4".

        Args:
            place: Section or page to name in place of the usual one.
        """
        parts = [self.author, self.title, self.year, self.place if place is None else place]
        text = ", ".join(part for part in parts if part)
        if not text:
            return said("source.practice") if self.seen == "practice" else said("source.memory")
        return said("source.text_from_memory", text=text) if self.seen == "memory" else text

    @property
    def is_text(self) -> bool:
        """Whether there is a text to cite, and not only custom or memory."""
        return bool(self.author or self.title or self.year or self.place)


@cache
def sources() -> Mapping[str, Source]:
    """All sources by key.

    Raises:
        CalclibError: if an entry lacks `seen` or has a word that is not known.
    """
    data = tomllib.loads(files("calclib.sources").joinpath("sources.toml").read_text(encoding="utf-8"))
    return {key: _source(key, fields) for key, fields in data.items()}


def source(key: str) -> Source:
    """One source by its key.

    Raises:
        CalclibError: if no source has this key.
    """
    try:
        return sources()[key]
    except KeyError:
        raise CalclibError(fact("errors_sources.no_source", key=key), where="sources.toml") from None


def _source(key: str, fields: Mapping[str, str]) -> Source:
    unknown = sorted(set(fields) - set(FIELDS))
    if unknown:
        raise CalclibError(fact("errors_sources.unknown_words", key=key, unknown=tuple(unknown)), where="sources.toml")
    seen = fields.get("seen")
    if seen not in SEEN:
        raise CalclibError(fact("errors_sources.seen_missing", key=key, known=tuple(SEEN)), where="sources.toml")
    author, title, year, place, url = (fields.get(name, "") for name in FIELDS[:-1])
    return Source(key, author, title, year, place, cast(Seen, seen), url)
