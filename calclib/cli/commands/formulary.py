"""`calclib formulary`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from calclib.cli.say import say
from calclib.errors.printed_command import printed_command
from calclib.formulary.catalogue import drug_named
from calclib.formulary.catalogue import formulary as all_drugs
from calclib.formulary.figures import ShownFigure, memory_of, presentation_figures, use_figures
from calclib.formulary.records import Citation, Drug, Use
from calclib.quantity.counting import counted


@click.command()
@click.argument("drugs", nargs=-1, metavar="[DRUG]...")
@click.option("--page", metavar="FILE.html", help="Write it as a page, with the source of each figure.")
def formulary(drugs: tuple[str, ...], page: str | None) -> None:
    """Show what is known of a drug, each figure with its source.

    \b
    Strengths on the market, usual and greatest doses by route, age group and
    use, intervals, rates, concentrations, diluents, times of infusion. Name
    one drug or several by generic name, as in: calclib formulary morphine
    Without a name: the list of drugs, with the share of figures that nobody
    has yet compared with a published source.

    A figure marked “from memory” only narrows the numbers of a problem. It never makes an answer right or wrong. For
    learning only: at the bedside the order, the label, the pharmacist and local policy decide.
    """
    chosen = [drug_named(name) for name in drugs] or list(all_drugs().values())
    if page is not None:
        _write_page(chosen, Path(page))
    elif drugs:
        say("\n\n".join("\n".join(_of(drug)) for drug in chosen))
    else:
        say("\n".join(_list(chosen)))


def _write_page(drugs: list[Drug], path: Path) -> None:
    from calclib.pages.formulary import formulary_page

    path.write_bytes(formulary_page(drugs))
    say(f"Wrote {path}: {counted(len(drugs), 'drug')}. Open it in a browser.")


def _list(drugs: list[Drug]) -> Iterator[str]:
    for drug in drugs:
        memory = memory_of(drug)
        shown = f"{memory.figures:4} figures, {memory.percent:3}% from memory"
        yield f"  {drug.name:44} {counted(len(drug.uses), 'use'):8} {shown}{'' if drug.reviews else ', not reviewed'}"
    total = memory_of(*drugs)
    reviewed = sum(bool(drug.reviews) for drug in drugs)
    yield (
        f"\n{counted(len(drugs), 'drug')}, {reviewed} of them reviewed; {counted(total.figures, 'figure')}, "
        f"{total.from_memory} of them ({total.percent}%) from memory. See one: "
        f"{printed_command('formulary', drugs[0].name)}"
    )


class _Sources:
    """The sources that are cited, numbered as they come."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, citation: Citation) -> str:
        """Return how a source stands behind its figure."""
        text = str(citation)
        if text in ("from memory", "common practice"):
            return text
        return f"[{self._numbers.setdefault(text, len(self._numbers) + 1)}]"

    def lines(self) -> Iterator[str]:
        """Yield the numbered sources."""
        for text, number in self._numbers.items():
            yield f"  [{number}] {text}"


def _of(drug: Drug) -> Iterator[str]:
    sources = _Sources()
    yield drug.name + (f" (also {', '.join(drug.also)})" if drug.also else "")
    if drug.note:
        yield f"  Note: {drug.note}"
    yield "\n  On the market"
    for presentation in drug.presentations:
        for figure in presentation_figures(presentation):
            yield _line(figure, sources)
    for use in drug.uses:
        yield f"\n  {_heading(use)}"
        for figure in use_figures(use):
            yield _line(figure, sources)
        if use.note:
            yield f"    Note: {use.note}"
    yield "\n  Sources"
    yield from sources.lines()
    memory = memory_of(drug)
    yield f"  {memory.from_memory} of {counted(memory.figures, 'figure')} from memory. {_reviewed(drug)}"


def _line(figure: ShownFigure, sources: _Sources) -> str:
    return f"    {figure.of:28} {figure.value}  {sources.mark(figure.citation)}"


def _heading(use: Use) -> str:
    manner = f", {use.manner}" if use.manner is not None else ""
    as_what = f", dosed as {use.dosed_as}" if use.dosed_as else ""
    condition = f", only with {use.condition}" if use.condition else ""
    return f"{' or '.join(use.routes)}{manner}, {use.group}: {use.indication}{condition}{as_what}"


def _reviewed(drug: Drug) -> str:
    if not drug.reviews:
        return "Nobody has reviewed this drug yet."
    return "Reviewed by " + "; ".join(f"{review.by} ({review.on})" for review in drug.reviews) + "."
