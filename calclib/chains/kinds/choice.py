"""Choice: what the kinds of step have in common whose result is a label, not a number."""

from __future__ import annotations

from abc import abstractmethod
from dataclasses import dataclass

from calclib.chains.step import Step


@dataclass(frozen=True)
class Choice(Step):
    """A step that picks one of several labels."""

    @property
    @abstractmethod
    def labels(self) -> tuple[str, ...]:
        """All labels, each once, as they are offered."""

    @property
    def proceed(self) -> str | None:
        """The label that goes ahead with an order, where there is one."""
        return None

    def missed(self, label: str) -> str:
        """Return a sentence on what it would mean to choose another label where this one is right, "" if none."""
        return ""
