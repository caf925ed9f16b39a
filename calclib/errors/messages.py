"""One sentence for people, fields for programs."""

from __future__ import annotations


class CalclibError(Exception):
    """An error with one clear sentence.

    Args:
        message: What is wrong and how to mend it, without a full traceback.
        where: The file, option or cell that the sentence speaks of.
        line: Line number in `where`, counted from 1.
    """

    exit_code = 1

    def __init__(self, message: str, *, where: str | None = None, line: int | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.line = line

    def __str__(self) -> str:
        place = self.where or ""
        if self.line is not None:
            place = f"{place}, line {self.line}" if place else f"line {self.line}"
        return f"{place}: {self.message}" if place else self.message


class BadInput(CalclibError):
    """A file, notebook, option or typed value from outside is wrong; nothing was changed."""

    exit_code = 2
