"""The formulary as a page: each drug with its figures, where each comes from, and how many rest on memory."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from calclib.formulary import Citation, Drug, Use
from calclib.formulary.figures import ShownFigure, memory_of, presentation_figures, use_figures
from calclib.pages.templating import page


def formulary_page(drugs: Sequence[Drug]) -> bytes:
    """Return the page, static and without script.

    Args:
        drugs: The drugs in the order in which they are shown.
    """
    return page(
        "formulary.html", {"drugs": [_drug(drug) for drug in drugs], "total": memory_of(*drugs), "count": len(drugs)}
    )


def _drug(drug: Drug) -> dict[str, Any]:
    references = _References()
    return {
        "id": drug.name.lower().replace(" ", "-"),
        "name": drug.name,
        "also": drug.also,
        "note": drug.note,
        "memory": memory_of(drug),
        "reviews": drug.reviews,
        "presentations": _figures(
            (figure for one in drug.presentations for figure in presentation_figures(one)), references
        ),
        "uses": [_use(use, references) for use in drug.uses],
        "references": references.texts,
    }


def _use(use: Use, references: _References) -> dict[str, Any]:
    return {
        "routes": " or ".join(use.routes),
        "manner": use.manner,
        "group": use.group,
        "indication": use.indication,
        "condition": use.condition,
        "dosed_as": use.dosed_as,
        "note": use.note,
        "figures": _figures(use_figures(use), references),
    }


def _figures(figures: Iterable[ShownFigure], references: _References) -> list[dict[str, Any]]:
    return [{"of": one.of, "value": one.value, "mark": references.mark(one.citation)} for one in figures]


class _References:
    """The sources of one drug, numbered as they are first cited; memory and custom are said in words."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def mark(self, citation: Citation) -> dict[str, Any]:
        """Return how a source is shown beside its figure."""
        text = str(citation)
        if text in ("from memory", "common practice"):
            return {"words": text, "number": None}
        if text not in self.texts:
            self.texts.append(text)
        return {"words": "", "number": self.texts.index(text) + 1}
