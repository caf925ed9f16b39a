"""Finding item models by words: those that a model has, and those that nurses use for the same things."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

from calclib.models.model import ItemModel

SHORTEST_BEGINNING = 3
"""Signs of a word that is found by its beginning."""

_NO_WORD = re.compile(r"[^a-z0-9%]+")


def search_words(model: ItemModel) -> tuple[str, ...]:
    """Return the words by which a model is found, in lower case and in order.

    Args:
        model: The model.
    """
    own = _plain(_texts(model))
    also = [
        phrase for written, phrases in _trade_words() if any(_has(own, one) for one in written) for phrase in phrases
    ]
    return tuple(sorted({*own.split(), *_plain(also).split()}))


def is_found_by(words: Iterable[str], wanted: str) -> bool:
    """Return whether each word that is looked for begins one of the words of a model; short ones and numbers are one.

    Args:
        words: The words of the model, see `search_words`.
        wanted: What is looked for, as it was typed.
    """
    text = f" {' '.join(words)} "
    return all(_beginning(word) in text for word in _plain([wanted]).split())


def trade_phrases() -> tuple[str, ...]:
    """Return all that models are also found by."""
    return tuple(phrase for _, phrases in _trade_words() for phrase in phrases)


def _texts(model: ItemModel) -> list[str]:
    rows = [
        str(cell) for table in model.rows.values() for row in table for name, cell in row.items() if name != "sources"
    ]
    asked = [text for part in model.parts for text in (part.asked, str(part.unit))]
    return [model.id, model.topic, model.level or "", model.title, model.skill, model.stem, *asked, *rows]


def _plain(texts: Iterable[str]) -> str:
    return _NO_WORD.sub(" ", " | ".join(texts).lower()).strip()


def _has(text: str, beginning: str) -> bool:
    """Whether words in a row stand in a text, the last one at least by its beginning."""
    return _beginning(beginning) in f" {text} "


def _beginning(word: str) -> str:
    """A word with the blank before it, and the one after it where it must be whole: “sc” is no beginning of “scale”."""
    whole = len(word) < SHORTEST_BEGINNING or word.isdigit()
    return f" {word} " if whole else f" {word}"


@cache
def _trade_words() -> tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]:
    table = tomllib.loads(files("calclib.items").joinpath("trade_words.toml").read_text("utf-8"))
    return tuple((tuple(one["written"]), tuple(one["also"])) for one in table["word"])
