"""`calclib formulary`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from calclib.class_files.kept_files import refuse_kept
from calclib.cli.say import say
from calclib.errors.printed_command import printed_command
from calclib.formulary.catalogue import drug_named
from calclib.formulary.catalogue import formulary as all_drugs
from calclib.formulary.figures import ShownFigure, memory_of, presentation_figures, use_figures
from calclib.formulary.headings import reviewed_by, use_heading
from calclib.formulary.records import Citation, Drug
from calclib.wording.facts import fact
from calclib.wording.sentences import said


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

    refuse_kept(path)
    path.write_bytes(formulary_page(drugs))
    say(said("formulary.page", file=str(path), count=len(drugs)))


def _list(drugs: list[Drug]) -> Iterator[str]:
    for drug in drugs:
        memory, uses = memory_of(drug), said("formulary.uses", count=len(drug.uses))
        share = said("formulary.share", figures=f"{memory.figures:4}", percent=f"{memory.percent:3}")
        name, uses = f"{drug.name:44}", f"{uses:8}"
        if drug.reviews:
            yield said("formulary.drug", name=name, uses=uses, share=share)
        else:
            yield said("formulary.drug_not_reviewed", name=name, uses=uses, share=share)
    total = memory_of(*drugs)
    yield "\n" + said(
        "formulary.total",
        drugs=fact("formulary.drugs", count=len(drugs)),
        reviewed=sum(bool(drug.reviews) for drug in drugs),
        figures=fact("formulary.figures", count=total.figures),
        from_memory=total.from_memory,
        percent=total.percent,
        command=printed_command("formulary", drugs[0].name),
    )


class _Sources:
    """The sources that are cited, numbered as they come."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, citation: Citation) -> str:
        """Return how a source stands behind its figure."""
        text = str(citation)
        if not citation.of.is_text:
            return text
        return f"[{self._numbers.setdefault(text, len(self._numbers) + 1)}]"

    def lines(self) -> Iterator[str]:
        """Yield the numbered sources."""
        for text, number in self._numbers.items():
            yield f"  [{number}] {text}"


def _of(drug: Drug) -> Iterator[str]:
    sources = _Sources()
    yield said("formulary.named_also", name=drug.name, names=drug.also) if drug.also else drug.name
    if drug.note:
        yield f"  {said('formulary.note', text=drug.note)}"
    yield f"\n  {said('formulary.on_the_market')}"
    for presentation in drug.presentations:
        for figure in presentation_figures(presentation):
            yield _line(figure, sources)
    for use in drug.uses:
        yield f"\n  {use_heading(use)}"
        for figure in use_figures(use):
            yield _line(figure, sources)
        if use.note:
            yield f"    {said('formulary.note', text=use.note)}"
    yield f"\n  {said('formulary.source_list')}"
    yield from sources.lines()
    memory = memory_of(drug)
    figures = fact("formulary.figures", count=memory.figures)
    yield "  " + said("formulary.of_drug", count=memory.from_memory, figures=figures, reviewed=reviewed_by(drug))


def _line(figure: ShownFigure, sources: _Sources) -> str:
    return f"    {figure.of:28} {figure.value}  {sources.mark(figure.citation)}"
