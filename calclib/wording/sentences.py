"""The sentence of a fact, in the language that is spoken."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from importlib import import_module
from string import Formatter
from typing import NamedTuple, Protocol

from calclib.wording.facts import ERASED_NAME, ERASED_TEXT, Fact, Field, fact

LANGUAGE = "english"
"""The folder whose sentences are spoken."""

_Piece = tuple[str, str | None, str]
_NUMBER = re.compile(r"[0-9][0-9,.]*")


class Template(NamedTuple):
    """One sentence with gaps.

    Args:
        pieces: Text, the field that follows it (None for none), and the form in which the field stands there.
        many: The same for several, None where the sentence needs no such form.
        of: The field that decides which of the two is said.
    """

    pieces: tuple[_Piece, ...]
    many: tuple[_Piece, ...] | None = None
    of: str = ""

    @property
    def fields(self) -> frozenset[str]:
        """The names of all fields that the sentence needs."""
        named = {name for _, name, _ in (*self.pieces, *(self.many or ())) if name}
        return frozenset({*named, self.of} if self.of else named)


class Grammar(Protocol):
    """What a language does to a field, see `english/grammar.py`."""

    LISTS: Mapping[str, str]

    def form(self, text: str, form: str) -> str:
        """Return a text in the form that a sentence asks for."""

    def joined(self, texts: tuple[str, ...], form: str = "") -> str:
        """Return several texts as one."""

    def is_many(self, text: str) -> bool:
        """Tell whether a text takes the sentence for several."""


def sentence(what: Fact) -> str:
    """Return a fact in words.

    Args:
        what: The fact; a fact among its fields is put in words too.

    Raises:
        KeyError: The language has no sentence of that kind, or the fact lacks one of its fields.
    """
    template, fields = templates(LANGUAGE)[what.kind], dict(what.fields)
    several = template.many is not None and _is_many(fields[template.of])
    pieces = template.many if several and template.many is not None else template.pieces
    return "".join(text if name is None else f"{text}{_shown(fields[name], form)}" for text, name, form in pieces)


def said(kind: str, **fields: Field) -> str:
    """Return the sentence of a kind with its fields, for what is told at once and kept nowhere.

    Args:
        kind: File and name of the sentence.
        fields: What it names.

    Raises:
        KeyError: There is no such sentence, or a field is missing.
    """
    return sentence(fact(kind, **fields))


@cache
def templates(language: str) -> Mapping[str, Template]:
    """Return all sentences of a language by kind, `file.name`.

    Args:
        language: The name of its folder.
    """
    # Imported here: most errors are caught and never told, and `calclib --help` tells nothing.
    import tomllib
    from importlib import resources

    folder = resources.files(__package__).joinpath(language)
    files = sorted((one for one in folder.iterdir() if one.name.endswith(".toml")), key=lambda one: one.name)
    return {
        f"{file.name.removesuffix('.toml')}.{name}": _template(said)
        for file in files
        for name, said in tomllib.loads(file.read_text("utf-8")).items()
    }


def _template(said: str | Mapping[str, str]) -> Template:
    if isinstance(said, str):
        return Template(_pieces(said))
    return Template(_pieces(said["one"]), _pieces(said["many"]), said["of"])


def _pieces(text: str) -> tuple[_Piece, ...]:
    return tuple((before, name, form or "") for before, name, form, _ in Formatter().parse(text))


@cache
def _grammar(language: str) -> Grammar:
    return import_module(f"{__package__}.{language}.grammar")


def _shown(value: Field, form: str) -> str:
    grammar = _grammar(LANGUAGE)
    if isinstance(value, tuple) and not isinstance(value, Fact):
        each = "" if form in grammar.LISTS else form
        return grammar.joined(tuple(_shown(one, each) for one in value), form)
    text = sentence(value) if isinstance(value, Fact) else str(value)
    if ERASED_NAME in text or ERASED_TEXT in text:
        text = text.replace(ERASED_NAME, said("report.former_student")).replace(ERASED_TEXT, said("report.erased_text"))
    return grammar.form(text, form) if form else text


def _is_many(value: Field) -> bool:
    if isinstance(value, tuple) and not isinstance(value, Fact):
        return len(value) > 1 or (bool(value) and _grammar(LANGUAGE).is_many(_shown(value[0], "")))
    if isinstance(value, str) and _NUMBER.fullmatch(value):
        return value != "1"
    return value != 1 if isinstance(value, int) else _grammar(LANGUAGE).is_many(_shown(value, ""))
