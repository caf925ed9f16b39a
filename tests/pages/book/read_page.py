"""A page of the book as a reader meets it: what is in sight, what is folded, where its links lead."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

VOID = {"meta", "img", "br", "hr", "input", "link"}
IN_THE_LINE = {"span", "s", "strong", "em", "code", "a", "b"}


@dataclass
class ReadPage(HTMLParser):
    """One page, read from its file."""

    path: Path
    open_text: str = ""
    folded_text: str = ""
    tags: list[tuple[str, dict[str, str | None]]] = field(default_factory=list)
    _stack: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self.feed(self.path.read_text("utf-8"))
        self.close()
        assert self._stack == [], f"{self.path.name} leaves {self._stack} open"
        self.open_text = " ".join(self.open_text.split())
        self.folded_text = " ".join(self.folded_text.split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Keep a tag, and that it is open."""
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self._stack.append(tag)
        self._add("" if tag in IN_THE_LINE else " ")

    def handle_endtag(self, tag: str) -> None:
        """Close the tag that was opened last."""
        assert self._stack and self._stack.pop() == tag, f"{self.path.name} closes {tag} in the wrong place"
        self._add("" if tag in IN_THE_LINE else " ")

    def handle_data(self, data: str) -> None:
        """Keep what is shown."""
        if not {"style", "title", "script"} & set(self._stack):
            self._add(data)

    def _add(self, text: str) -> None:
        if "details" in self._stack and "summary" not in self._stack:
            self.folded_text += text
        else:
            self.open_text += text

    def ids(self) -> list[str]:
        """The places that can be led to."""
        return [place for _, attrs in self.tags if (place := attrs.get("id"))]

    def links(self) -> list[str]:
        """Where its links lead."""
        return [str(attrs["href"]) for tag, attrs in self.tags if tag == "a"]
