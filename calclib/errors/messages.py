"""What is wrong, where, and which exit code it gives: fields for programs, a sentence for people when it is shown."""

from __future__ import annotations

from calclib.wording.facts import Fact, fact
from calclib.wording.sentences import sentence


class CalclibError(Exception):
    """An error that is told in one clear sentence, which is worded only where it is shown.

    Args:
        what: What is wrong and how to mend it.
        where: The file, option or cell that it speaks of.
        line: Line number in `where`, counted from 1.
    """

    exit_code = 1

    def __init__(self, what: Fact, *, where: str | None = None, line: int | None = None) -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.line = line

    @property
    def message(self) -> str:
        """What is wrong in words, without its place."""
        return sentence(self.what)

    @property
    def told(self) -> Fact:
        """What is wrong together with its place."""
        if self.line is None:
            return fact("errors.in_file", where=self.where, what=self.what) if self.where else self.what
        if self.where:
            return fact("errors.in_line_of_file", where=self.where, line=self.line, what=self.what)
        return fact("errors.in_line", line=self.line, what=self.what)

    def __str__(self) -> str:
        return sentence(self.told)


def told_of(error: Exception) -> Fact | str:
    """Return an error that was caught as it is told within something else: one of Python's own is its text.

    Args:
        error: What was caught.
    """
    return error.told if isinstance(error, CalclibError) else str(error)


class BadInput(CalclibError):
    """A file, notebook, option or typed value from outside is wrong; nothing was changed."""

    exit_code = 2
