"""Ids of students and names of sets: they become folder names, so they are held to a safe alphabet."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches

from calclib.errors import BadInput
from calclib.errors.unseen import unseen_shown
from calclib.wording.facts import Fact, fact

_STUDENT = re.compile(r"[A-Za-z0-9][A-Za-z0-9._@-]{0,63}")
_SET = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,39}")
# Device names of Windows: a folder of that name can't be made there.
_RESERVED = {"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10)}
# Browsers put .txt or .json behind the name of a notebook that they save.
NOTEBOOK_ENDING = re.compile(r"\.ipynb(?:\.txt|\.json)?\Z", re.IGNORECASE)
ZIP_ENDING = re.compile(r"\.zip\Z", re.IGNORECASE)
# Accents of Latin, Greek and Cyrillic letters; marks of other scripts tell names apart.
_ACCENT = re.compile("[\u0300-\u036f]")
# Folders of the class folder itself and of nbgrader's layout.
_TAKEN = {"solutions", "exercises", "submissions", "autograded", "feedback", "release", "reports", "earlier"}


def visible(text: str) -> str:
    """Return `text` cut to 40 characters with every character that doesn't print made visible."""
    cut = text if len(text) <= 40 else text[:39] + "…"
    return unseen_shown(cut, one_line=True)


def meant(name: str, known: Iterable[str]) -> Fact | None:
    """Return which known name is like a name that isn't known; None if none is."""
    near = get_close_matches(name, tuple(known), n=1)
    return fact("errors_class_files.did_you_mean", name=near[0]) if near else None


def is_student_id(text: str) -> bool:
    """Tell whether `text` has the form of a student's id."""
    return _STUDENT.fullmatch(text) is not None and not text.endswith(".")


def student_id(text: str, *, where: str | None = None, line: int | None = None) -> str:
    """Return `text` if it can serve as a student's id and as the name of a folder.

    Raises:
        BadInput: it is empty, too long, or holds something that a folder name must not hold.
    """
    if not is_student_id(text):
        raise BadInput(
            fact("errors_class_files.id_names_no_folder", text=visible(text)),
            where=where,
            line=line,
        )
    _refuse_reserved(text, fact("errors_class_files.student_id"), where, line)
    return text


def set_name(text: str, *, where: str | None = None, line: int | None = None) -> str:
    """Return `text` if it can serve as the name of a set, of its folder and of its notebook.

    Raises:
        BadInput: it is empty, too long, or holds something that a folder name must not hold.
    """
    if not _SET.fullmatch(text):
        raise BadInput(
            fact("errors_class_files.set_names_no_folder", text=visible(text)),
            where=where,
            line=line,
        )
    _refuse_reserved(text, fact("errors_class_files.set_name"), where, line)
    return text


def _refuse_reserved(text: str, what: Fact, where: str | None, line: int | None) -> None:
    stem = text.split(".", maxsplit=1)[0].casefold()
    if stem in _RESERVED or text.casefold() in _TAKEN:
        raise BadInput(fact("errors_class_files.reserved", what=what, text=text), where=where, line=line)


def plain(text: str) -> str:
    """Return the words of a name in small letters without accents: what names are compared by."""
    if text.isascii():
        return " ".join(_words(text.casefold()))
    bare = _ACCENT.sub("", unicodedata.normalize("NFKD", text.casefold()))
    return " ".join(_words(unicodedata.normalize("NFKC", bare).casefold()))


def name_key(text: str) -> str:
    """Return what a student's name, and a part of a path, is compared by: two with one key can't be told apart.

    Capitals, wide letters, accents, signs and spaces between words don't count, nor does the ending of a zip or a
    notebook; see `plain`.
    """
    return plain(ZIP_ENDING.sub("", NOTEBOOK_ENDING.sub("", text))) or text.casefold()


def _words(letters: str) -> list[str]:
    """Runs of letters and digits; a mark that belongs to a letter doesn't end its word."""
    inside = (sign if sign.isalnum() or unicodedata.category(sign)[0] == "M" else " " for sign in letters)
    return "".join(inside).split()
