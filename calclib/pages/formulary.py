"""The formulary as a page: each drug with its figures, where each comes from, and how many rest on memory."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from calclib.formulary import Citation, Drug, Use
from calclib.formulary.figures import ShownFigure, memory_of, presentation_figures, use_figures
from calclib.formulary.headings import reviewed_by, use_heading
from calclib.pages.templating import page
from calclib.wording import fact, said


def formulary_page(drugs: Sequence[Drug]) -> bytes:
    """Return the page, static and without script.

    Args:
        drugs: The drugs in the order in which they are shown.
    """
    memory = memory_of(*drugs)
    total = said(
        "formulary.total_on_page",
        drugs=fact("formulary.drugs", count=len(drugs)),
        figures=fact("formulary.figures", count=memory.figures),
        from_memory=memory.from_memory,
        percent=memory.percent,
    )
    return page("formulary.html", {"drugs": [_drug(drug) for drug in drugs], "total": total})


def _drug(drug: Drug) -> dict[str, Any]:
    references, memory = _References(), memory_of(drug)
    figures = fact("formulary.figures", count=memory.figures)
    about = said("formulary.of_drug", count=memory.from_memory, figures=figures, reviewed=reviewed_by(drug))
    return {
        "id": drug.name.lower().replace(" ", "-"),
        "name": drug.name,
        "also": drug.also,
        "note": drug.note,
        "percent": memory.percent,
        "about": about,
        "presentations": _figures(
            (figure for one in drug.presentations for figure in presentation_figures(one)), references
        ),
        "uses": [_use(use, references) for use in drug.uses],
        "references": references.texts,
    }


def _use(use: Use, references: _References) -> dict[str, Any]:
    return {
        "heading": use_heading(use),
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
        if not citation.of.is_text:
            return {"words": text, "number": None}
        if text not in self.texts:
            self.texts.append(text)
        return {"words": "", "number": self.texts.index(text) + 1}
