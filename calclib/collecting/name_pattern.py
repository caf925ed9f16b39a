"""How a system names files, as faculty write it: "{name}_{id}_{file}"; no name takes long to compare."""

from __future__ import annotations

import re
from collections.abc import Iterator

from calclib.class_files.names import visible
from calclib.errors import BadInput
from calclib.wording.facts import fact

_OF_STUDENT = ("id", "name", "hub_user", "lms_name")
_FIELD = re.compile(r"\{([A-Za-z_]+)\}")
_SIDE_BY_SIDE = re.compile(r"\}\{")
_MOST_FIELDS = 4


class NamePattern:
    """A pattern that was checked.

    A field holds no "/", so a pattern with one "/" speaks of the last two parts of a path, and each part is compared by
    itself: a text between two fields is taken where it comes first, and the last must end the part. Nothing is ever
    tried twice, so no name can be made that takes long.

    Args:
        pattern: The pattern; see `Owners`.

    Raises:
        BadInput: it names no student, or its fields can't be told apart.
    """

    def __init__(self, pattern: str) -> None:
        fields = _FIELD.findall(pattern)
        if not any(field in _OF_STUDENT for field in fields):
            raise BadInput(fact("errors_collecting.names_no_student", pattern=visible(pattern)))
        if len(fields) > _MOST_FIELDS or _SIDE_BY_SIDE.search(pattern):
            raise BadInput(fact("errors_collecting.not_told_apart", pattern=visible(pattern), most=_MOST_FIELDS))
        if "{" in _FIELD.sub("", pattern) or "}" in _FIELD.sub("", pattern):
            raise BadInput(fact("errors_collecting.brace_not_closed", pattern=visible(pattern)))
        self._parts = tuple(_Part(part) for part in pattern.removesuffix(".ipynb").split("/"))

    def students_in(self, parts: tuple[str, ...]) -> list[str] | None:
        """Return the texts that stand where the pattern has a student's name; None if the path doesn't fit.

        Args:
            parts: Folders and file name, outermost first, without the endings of zips and notebooks.
        """
        if len(parts) < len(self._parts):
            return None
        found: list[str] = []
        for part, text in zip(self._parts, parts[-len(self._parts) :], strict=True):
            here = part.students_in(text)
            if here is None:
                return None
            found += here
        return found


class _Part:
    """One part of a pattern: fields with a text before, between and behind them."""

    def __init__(self, text: str) -> None:
        pieces = _FIELD.split(text)
        self._texts = [_small(piece) for piece in pieces[::2]]
        self._of_student = [field in _OF_STUDENT for field in pieces[1::2]]

    def students_in(self, text: str) -> list[str] | None:
        small = _small(text)
        if not self._of_student:
            return [] if small == self._texts[0] else None
        if not small.startswith(self._texts[0]):
            return None
        spans = list(self._spans(small))
        if len(spans) < len(self._of_student):
            return None
        return [text[start:end] for (start, end), named in zip(spans, self._of_student, strict=True) if named]

    def _spans(self, small: str) -> Iterator[tuple[int, int]]:
        """Where each field begins and ends; fewer than there are if the text doesn't fit."""
        start = len(self._texts[0])
        last = len(self._of_student) - 1
        for number, named in enumerate(self._of_student):
            behind = self._texts[number + 1]
            least = start + named
            if number == last:
                end = len(small) - len(behind)
                if end < least or not small.endswith(behind):
                    return
            else:
                end = small.find(behind, least)
                if end < 0:
                    return
            yield start, end
            start = end + len(behind)


def _small(text: str) -> str:
    """Small letters, each in its place."""
    return "".join(small if len(small := sign.lower()) == 1 else sign for sign in text)
