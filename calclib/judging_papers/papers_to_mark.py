"""What was handed out to the students whose notebooks are marked: by the hundred, and only what marking needs."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, select

from calclib.records.rulings.rekeyed_items import rekeyed_rows
from calclib.records.sealed import SealedItem, SealedPaper, record_of
from calclib.records.tables import ITEM, PAPER


def papers_to_mark(
    connection: Connection, set_name: str, pseudonyms: Collection[str]
) -> dict[str, tuple[SealedPaper, ...]]:
    """Return what was handed out to some students, by pseudonym in the order of the attempts.

    The worked solutions and the checksums are left out, and the faults stay text until they are looked at.
    """
    items: dict[tuple[str, int], list[SealedItem]] = {}
    names = ("pseudonym", "attempt", "slot", "model_id", "model_version", "model_hash", "numbers", "record", "faults")
    wanted = select(*(ITEM.c[name] for name in names))
    wanted = wanted.where(ITEM.c.set_name == set_name, ITEM.c.pseudonym.in_(pseudonyms)).order_by(ITEM.c.slot)
    rekeyed = rekeyed_rows(connection, set_name, pseudonyms)
    for handed_out in connection.execute(wanted).all():
        pseudonym, attempt, slot, model, version, digest, numbers, record, faults = handed_out
        row = rekeyed.get((pseudonym, attempt, slot)) if rekeyed else None
        if row is None:
            item = SealedItem(slot, model, version, digest, numbers, record_of(record, faults))
        else:
            found = record_of(row.record, row.faults)
            item = SealedItem(slot, row.model_id, row.model_version, row.model_hash, row.numbers, found)
            item = item._replace(handed_out=digest)
        items.setdefault((pseudonym, attempt), []).append(item)
    found_papers: dict[str, list[SealedPaper]] = {}
    papers = select(PAPER.c.pseudonym, PAPER.c.attempt, PAPER.c.tag, PAPER.c.numbers, PAPER.c.made, PAPER.c.library)
    papers = papers.where(PAPER.c.set_name == set_name, PAPER.c.pseudonym.in_(pseudonyms)).order_by(PAPER.c.attempt)
    for pseudonym, attempt, tag, numbers, made, library in connection.execute(papers).all():
        here = tuple(items.get((pseudonym, attempt), ()))
        paper = SealedPaper(set_name, pseudonym, attempt, tag, numbers, {}, here, made, library)
        found_papers.setdefault(pseudonym, []).append(paper)
    return {pseudonym: tuple(papers) for pseudonym, papers in found_papers.items()}
