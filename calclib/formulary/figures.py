"""The figures of a drug one by one, for a list or a page, and how many of them rest on memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calclib.formulary.records import WORDED, Citation, Drug, Kind, Limit, Presentation, Use
from calclib.wording.facts import fact, of_kind
from calclib.wording.sentences import said, sentence


@dataclass(frozen=True)
class ShownFigure:
    """A figure as it is shown: what it says of, its value in words, and where it comes from."""

    of: str
    value: str
    citation: Citation


@dataclass(frozen=True)
class Memory:
    """How many figures there are, and how many of them rest on memory."""

    figures: int
    from_memory: int

    @property
    def percent(self) -> int:
        """The share from memory in whole percent, rounded up: 0 only where nothing rests on memory."""
        return -(-100 * self.from_memory // self.figures) if self.figures else 0


def use_figures(use: Use) -> Iterator[ShownFigure]:
    """Yield the figures of a use."""
    for limit in use.limits:
        yield ShownFigure(sentence(of_kind("figure", limit.kind)), _value(limit), limit.citation)


def _value(limit: Limit) -> str:
    if limit.kind in WORDED:
        never = said("figure.never", names=limit.never) if limit.never else ""
        return "; ".join(part for part in (", ".join(limit.words), never) if part)
    high = (*map(str, limit.high), *limit.words)
    shown = ", ".join(high) if limit.kind is Kind.INTERVAL else said("figure.several", figures=high)
    if limit.low is not None and limit.low != limit.high[0]:
        shown = said("figure.range", low=str(limit.low), high=shown)
    return shown if limit.line is None else said("figure.of_line", figure=shown, line=str(limit.line))


def presentation_figures(presentation: Presentation) -> Iterator[ShownFigure]:
    """Yield a presentation with its sizes, whether it may be divided, and the ways to make it up."""
    volumes = tuple(map(str, presentation.volumes))
    strength = said(
        "figure.presentation",
        strength=str(presentation.strength),
        states=fact("figure.states", text=presentation.states) if presentation.states else "",
        sizes=fact("figure.sizes", sizes=volumes) if volumes else "",
    )
    yield ShownFigure(presentation.form, strength, presentation.citation)
    if presentation.scoring is not None and presentation.scoring_citation is not None:
        yield ShownFigure("", presentation.scoring, presentation.scoring_citation)
    for mixing in presentation.mixing:
        volume, taken = mixing.volume, mixing.displacement
        made_up = said(
            "figure.made_up",
            add=str(mixing.add),
            using=fact("figure.using", diluent=mixing.using) if mixing.using else "",
            makes=str(mixing.makes),
            in_all=fact("figure.in_all", volume=str(volume)) if volume is not None else "",
            taken_up=fact("figure.taken_up", volume=str(taken)) if taken is not None else "",
        )
        yield ShownFigure("", made_up, mixing.citation)


def drug_figures(drug: Drug) -> Iterator[ShownFigure]:
    """Yield all figures of a drug: its presentations, then its uses."""
    for presentation in drug.presentations:
        yield from presentation_figures(presentation)
    for use in drug.uses:
        yield from use_figures(use)


def memory_of(*drugs: Drug) -> Memory:
    """Return how many figures of drugs rest on memory."""
    citations = [figure.citation for drug in drugs for figure in drug_figures(drug)]
    return Memory(len(citations), sum(citation.from_memory for citation in citations))
