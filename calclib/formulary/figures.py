"""The figures of a drug one by one, for a list or a page, and how many of them rest on memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calclib.formulary.records import WORDED, Citation, Drug, Kind, Limit, Presentation, Use

_NAMES = {
    Kind.DOSE: "one dose, usual",
    Kind.DOSE_MOST: "one dose, at most",
    Kind.SITE_MOST: "in one place, at most",
    Kind.DAY: "a day, usual",
    Kind.DAY_MOST: "a day, at most",
    Kind.WEEK: "a week, usual",
    Kind.WEEK_MOST: "a week, at most",
    Kind.TOTAL_MOST: "in all, at most",
    Kind.RATE: "continuous dose, usual",
    Kind.RATE_MOST: "continuous dose, at most",
    Kind.SPEED_MOST: "speed of one dose, at most",
    Kind.INTERVAL: "every",
    Kind.CONCENTRATION: "concentration, at most",
    Kind.CONCENTRATION_STATED: "concentration, as mixed",
    Kind.INFUSION_TIME: "time of one dose, at least",
    Kind.LINE: "line",
    Kind.DILUENTS: "goes with",
    Kind.HIGH_ALERT: "high-alert",
}


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
        yield ShownFigure(_NAMES[limit.kind], _value(limit), limit.citation)


def _value(limit: Limit) -> str:
    if limit.kind in WORDED:
        never = f"not with {', '.join(limit.never)}" if limit.never else ""
        return "; ".join(part for part in (", ".join(limit.words), never) if part)
    high = [*(str(one) for one in limit.high), *limit.words]
    joined = ", ".join(high) if limit.kind is Kind.INTERVAL else " and ".join(high)
    ranged = limit.low is not None and limit.low != limit.high[0]
    line = f" ({limit.line} line)" if limit.line is not None else ""
    return f"{limit.low} to {joined}{line}" if ranged else f"{joined}{line}"


def presentation_figures(presentation: Presentation) -> Iterator[ShownFigure]:
    """Yield a presentation with its sizes, whether it may be divided, and the ways to make it up."""
    sizes = f"; {', '.join(map(str, presentation.volumes))}" if presentation.volumes else ""
    states = f" ({presentation.states})" if presentation.states else ""
    yield ShownFigure(presentation.form, f"{presentation.strength}{states}{sizes}", presentation.citation)
    if presentation.scoring is not None and presentation.scoring_citation is not None:
        yield ShownFigure("", presentation.scoring, presentation.scoring_citation)
    for mixing in presentation.mixing:
        using = f" of {mixing.using}" if mixing.using else ""
        volume = f", {mixing.volume} in all" if mixing.volume is not None else ""
        taken = f" (the powder takes up {mixing.displacement})" if mixing.displacement is not None else ""
        yield ShownFigure("", f"add {mixing.add}{using}: {mixing.makes}{volume}{taken}", mixing.citation)


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
