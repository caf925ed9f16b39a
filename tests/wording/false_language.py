"""English in other letters: every sentence of `wording` with its gaps kept, so that nobody can read it."""

from __future__ import annotations

import codecs
import re
from collections.abc import Mapping

import pytest

from calclib.wording import sentences
from calclib.wording.english import grammar
from calclib.wording.sentences import LANGUAGE, Template, templates


def speak_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every sentence be said in the false language until the end of the test."""
    false = {kind: _in_other_letters(template) for kind, template in templates(LANGUAGE).items()}
    monkeypatch.setattr(sentences, "templates", lambda _: false)
    monkeypatch.setattr(sentences, "_grammar", lambda _: _FalseGrammar)
    for name, names in _CALENDAR.items():
        monkeypatch.setattr(grammar, name, tuple(codecs.encode(one, "rot13") for one in names))


_CALENDAR: Mapping[str, tuple[str, ...]] = {"MONTHS": grammar.MONTHS, "WEEKDAYS": grammar.WEEKDAYS}


def false_words() -> set[str]:
    """Every word of the false language."""
    pieces = (one for template in templates(LANGUAGE).values() for one in (*template.pieces, *(template.many or ())))
    named = (one for names in _CALENDAR.values() for one in names)
    text = " ".join(codecs.encode(text, "rot13") for text in (*(piece for piece, _, _ in pieces), *named))
    return {"gur", "naq", *re.findall(r"[a-z]{3,}", text.casefold())}


def _in_other_letters(template: Template) -> Template:
    many = None if template.many is None else _turned(template.many)
    return Template(_turned(template.pieces), many, template.of)


def _turned(pieces: tuple[tuple[str, str | None, str], ...]) -> tuple[tuple[str, str | None, str], ...]:
    return tuple((codecs.encode(text, "rot13"), name, form) for text, name, form in pieces)


class _FalseGrammar:
    """The grammar of English without its words: an article is `gur`, and two things are joined by `naq`."""

    LISTS: Mapping[str, str] = grammar.LISTS

    @staticmethod
    def form(text: str, form: str) -> str:
        return f"gur {text}" if form == "the" else grammar.form(text, form)

    @staticmethod
    def joined(texts: tuple[str, ...], form: str = "") -> str:
        return grammar.joined(texts, form) if form else " naq ".join(texts)

    @staticmethod
    def is_many(text: str) -> bool:
        return grammar.is_many(text)
