"""Papers: the order, the record, the labels and the reference tables of a problem, as a nurse meets them."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from calclib.errors.messages import BadInput
from calclib.wording.facts import fact, of_kind
from calclib.wording.sentences import said, sentence

KINDS = ("order", "record", "label", "reference", "syringe")
"""A sheet with an order, a record with a grid, a label, a printed reference, and a syringe with its label."""

BLANK = "no label"
"""What a syringe says on which nothing is written."""

MOST_LINES, MOST_COLUMNS = 16, 6
HOLE = re.compile(r"\{([^{}]*)\}")


@dataclass(frozen=True)
class Paper:
    """What is printed on a paper; in a model with {names} of givens, in an item with their texts.

    Args:
        kind: One of `KINDS`.
        title: What stands above it.
        lines: Its lines.
        heads: The heads of its columns, where it has a grid.
        rows: The rows of the grid.
        line: The line of the file that describes it.
    """

    kind: str
    title: str
    lines: tuple[str, ...]
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    line: int | None = None

    @property
    def texts(self) -> tuple[str, ...]:
        """All that is printed on it, in the order in which it is read."""
        return (self.title, *self.lines, *self.heads, *(cell for row in self.rows for cell in row))

    def filled(self, fill: Callable[[str], str]) -> Paper:
        """Return the paper with what `fill` makes of each text."""
        lines, rows = tuple(map(fill, self.lines)), tuple(tuple(map(fill, row)) for row in self.rows)
        return replace(self, title=fill(self.title), lines=lines, rows=rows, line=None)

    @property
    def alt(self) -> str:
        """The paper in words: all that is printed, and no more."""
        if self.kind == "syringe":
            if self.lines == (BLANK,):
                return said("paper.drawn_syringe_without_label")
            return said("paper.drawn_syringe", lines=self.lines)
        printed = [f"{self.title}."] if self.title else []
        printed += [f"{line}." if line[-1:].isalnum() or line.endswith(("%", ")")) else line for line in self.lines]
        for row in self.rows:
            cells = [f"{head}: {cell}" if head else cell for head, cell in zip(self.heads, row, strict=True)]
            printed.append(f"{'; '.join(cells)}.")
        return sentence(of_kind("paper", f"drawn {self.kind}", text=" ".join(printed)))

    def to_record(self) -> dict[str, Any]:
        """Return the paper as values that JSON can hold; it is drawn again from them alone."""
        return {
            "kind": self.kind,
            "title": self.title,
            "lines": list(self.lines),
            "heads": list(self.heads),
            "rows": [list(row) for row in self.rows],
        }


def paper_of(record: Mapping[str, Any]) -> Paper:
    """Return the paper that `Paper.to_record` recorded."""
    rows = tuple(tuple(row) for row in record["rows"])
    return Paper(record["kind"], record["title"], tuple(record["lines"]), tuple(record["heads"]), rows)


def read_paper(fields: Mapping[str, Any], line: int | None) -> Paper:
    """Return the paper that the fields of a [[paper]] describe.

    Raises:
        BadInput: The kind is unknown, nothing is printed on it, or a row does not have a cell for each head.
    """
    kind, rows = fields["kind"], tuple(tuple(row) for row in fields.get("rows", ()))
    lines, heads = tuple(fields.get("lines", ())), tuple(fields.get("heads", ()))
    found = Paper(kind, fields.get("title", ""), lines, heads, rows, line)
    if kind not in KINDS:
        raise BadInput(fact("errors_models.kind_of_paper", known=tuple(KINDS), found=kind), line=line)
    if not all(isinstance(text, str) for text in found.texts):
        raise BadInput(fact("errors_models.paper_not_texts"), line=line)
    if any(len(row) != len(found.heads) for row in rows) or (found.heads and not rows):
        raise BadInput(fact("errors_models.paper_cells"), line=line)
    if not found.lines + rows or len(found.lines + rows) > MOST_LINES or len(found.heads) > MOST_COLUMNS:
        what = fact("errors_models.paper_size", most=MOST_LINES, columns=MOST_COLUMNS)
        raise BadInput(what, line=line)
    return found
