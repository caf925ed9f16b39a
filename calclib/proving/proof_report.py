"""The table that the proof of several models prints."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from calclib.proving.proof_row import ProofRow
from calclib.quantity.writing import write_number
from calclib.wording.facts import fact
from calclib.wording.sentences import said

HEADS = ("items", "draws each", "different", "plausible", "fair", "diagnosable", "mistakes", "ms each")


def legend() -> str:
    """Return what the heads of the table mean, a line each."""
    return said("proof.legend")


def proof_table(rows: Sequence[ProofRow]) -> Iterator[str]:
    """Yield the lines of the table: a row for each model, below it where the model falls short.

    Args:
        rows: The rows, in the order in which they are printed.
    """
    width = max([len(row.model or row.where) for row in rows], default=0)
    yield f"{'':{width}}  {'  '.join(HEADS)}"
    for row in rows:
        cells = [f"{text:>{len(head)}}" for head, text in zip(HEADS, _cells(row), strict=True)]
        short = row.verdict()
        line = f"{row.model or row.where:{width}}  {'  '.join(cells)}"
        yield (f"{line}  {said('proof.falls_short')}" if short else line).rstrip()
        for one in short:
            yield f"    {one}"
        for what, count in sorted(row.unsourced.items()):
            yield f"    {said('proof.no_sourced_limit', what=what, count=count, of=f'{row.accepted:,}')}"
        if row.few:
            yield f"    {said('proof.few', why=row.few)}"


def proof_totals(rows: Iterable[ProofRow]) -> str:
    """Return one sentence on all rows."""
    rows = list(rows)
    short = sum(bool(row.verdict()) for row in rows)
    items, looked = sum(row.accepted for row in rows), sum(row.sampled for row in rows)
    found = fact("proof.short", count=short) if short else fact("proof.none_short")
    return said("proof.totals", count=len(rows), items=write_number(items), looked=write_number(looked), found=found)


def _cells(row: ProofRow) -> tuple[str, ...]:
    if not row.accepted:
        return ("0", *[""] * (len(HEADS) - 1))
    return (
        write_number(row.accepted),
        write_number(row.draws_per_item, 1),
        write_number(len(row.different)),
        _percent(row.plausible),
        _percent(row.fair),
        _percent(row.diagnosable),
        write_number(Fraction(row.mistakes, max(1, row.sampled)), 1),
        write_number(row.milliseconds, 1),
    )


def _percent(share: Fraction) -> str:
    return f"{write_number(share * 100, 0)}%"
