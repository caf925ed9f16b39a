"""Where each page of the desk lies."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

PLACE = "calclib/desk"
"""Below the base address of the Jupyter server."""


@dataclass(frozen=True)
class Addresses:
    """The addresses of the pages of one class.

    Args:
        base: Base address of the Jupyter server, from "/" to "/".
    """

    base: str

    @property
    def sets(self) -> str:
        """The list of sets."""
        return f"{self.base}{PLACE}"

    @property
    def standing(self) -> str:
        """Where the students of the class stand."""
        return f"{self.sets}/standing"

    def of_set(self, name: str, page: str = "") -> str:
        """A set, or one of its pages: report, whole, remediation, again, parallel, preview, rule, pages."""
        return _below(self.sets, "sets", name, page)

    def problem(self, name: str, slot: int) -> str:
        """A problem of a set, for everyone."""
        return _below(self.of_set(name), "problems", str(slot))

    def student(self, name: str, student: str, page: str = "") -> str:
        """A student in a set, or one of the student's pages: explanation, feedback, plan, talks."""
        return _below(self.of_set(name), "students", student, page)

    def answer(self, name: str, student: str, slot: int, part: str) -> str:
        """One answer of a student."""
        return _below(self.student(name, student), "answers", str(slot), part)

    def hand_in(self, name: str, student: str, sign: str) -> str:
        """A hand-in in a student's name that is questioned."""
        return _below(self.student(name, student), "hand-ins", sign)


def _below(place: str, *names: str) -> str:
    return "/".join((place, *(quote(name, safe="") for name in names if name)))
