"""Re-key the items of a set where rulings say so: once, from what was recorded, before the set is marked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from calclib import __version__
from calclib.errors import BadInput
from calclib.judging_papers.key_sources import KeySources, key_sources, ways_of
from calclib.records.history import EventKind, write_history
from calclib.records.people import pseudonyms
from calclib.records.rulings.ruling import keyed_since, keying_rulings_of
from calclib.records.sealed import SealedItem, SealedPaper, SealedSet, seal_rekeyed, sealed_paper, sealed_set
from calclib.records.tables import ITEM, PAPER, REKEYED
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.items.keys.corrected_item import CorrectedItem


def rekey_set(connection: Connection, set_name: str, *, now: dt.datetime, refuse: bool = False) -> None:
    """Record each item of a set as the rulings in force key it, where that isn't recorded yet.

    What was handed out stays recorded as it was; so does what an earlier ruling made of it.

    Args:
        connection: A connection in a transaction that holds the set.
        set_name: The set.
        now: The time that is recorded.
        refuse: Whether an item that a corrected item model can't key is refused; else its old key stays, which is
            said.

    Raises:
        BadInput: an item can't be keyed, and is refused.
        CalclibError: the record of a policy is lost.
    """
    sealed = sealed_set(connection, set_name)
    since = keyed_since(keying_rulings_of(connection, set_name))
    if sealed is None or not since:
        return
    keyer = _Keyer(connection, sealed, since, refuse)
    items = noted = 0
    for paper in _without(connection, set_name, since):
        rekeyed = [found for item in paper.items if (found := keyer.keyed(item, paper.pseudonym)) is not None]
        seal_rekeyed(connection, paper, rekeyed, library=__version__)
        items += len(rekeyed)
        noted += sum(bool(one.notes) for one in rekeyed)
    if items:
        detail = {"ruling": since, **keyer.by_what(), "items": items, "unfair": noted}
        write_history(connection, at=now, kind=EventKind.REKEYED, set_name=set_name, detail=detail)


def _without(connection: Connection, set_name: str, since: int) -> Iterator[SealedPaper]:
    """The papers, as they were handed out, whose items aren't keyed so yet."""
    where = (REKEYED.c.set_name == set_name, REKEYED.c.ruling == since)
    done = set(map(tuple, connection.execute(select(REKEYED.c.pseudonym, REKEYED.c.attempt).where(*where).distinct())))
    papers = select(PAPER.c.pseudonym, PAPER.c.attempt).where(PAPER.c.set_name == set_name)
    for pseudonym, attempt in connection.execute(papers.order_by(PAPER.c.pseudonym, PAPER.c.attempt)).all():
        if (pseudonym, attempt) not in done:
            paper = sealed_paper(connection, set_name, pseudonym, attempt, as_handed_out=True)
            assert paper is not None, "it was listed a moment ago"
            yield paper


@dataclass
class _Keyer:
    """Keys the items of one set; each item model is read once, so that it is compiled for all students together."""

    connection: Connection
    sealed: SealedSet
    since: int
    refuse: bool

    @cached_property
    def keys(self) -> KeySources:
        drawn = select(ITEM.c.model_hash).where(ITEM.c.set_name == self.sealed.name).distinct()
        return key_sources(self.connection, self.sealed, self.connection.execute(drawn).scalars().all())

    def by_what(self) -> dict[str, object]:
        """The policy and the versions of item models, for the history."""
        rounding, models = self.keys.keying.rounding, self.keys.keying.models
        return {
            "rounding": "" if rounding is None else rounding.value["policy"],
            "models": {
                name: f"v{ruling.value['before']} to v{ruling.value['version']} {ruling.value['hash'][:12]}"
                for name, ruling in models.items()
            },
        }

    def keyed(self, sealed: SealedItem, pseudonym: str) -> SealedItem | None:
        """An item with its new key, None where it is keyed so as it was handed out."""
        corrected = self.keys.keying.models.get(sealed.model_id)
        digest = sealed.model_hash if corrected is None else corrected.value["hash"]
        if self.keys.keying.rounding is None and digest == sealed.model_hash:
            return None
        found = self._rekeyed(sealed._replace(model_hash=digest, handed_out=sealed.model_hash), pseudonym)
        return sealed._replace(
            model_version=found.item.model_version,
            model_hash=found.item.model_hash,
            record=found.item.to_record(),
            keyed_since=self.since,
            notes=found.notes,
        )

    def _rekeyed(self, sealed: SealedItem, pseudonym: str) -> CorrectedItem:
        from calclib.items import item_from_record
        from calclib.items.keys.corrected_item import CorrectedItem, corrected_item
        from calclib.items.part_names import with_own_names, with_part_names

        item, keys = item_from_record(sealed.record), self.keys
        if sealed.model_hash not in keys.models:
            return CorrectedItem(item, (fact("rekeyed.lost"),))
        # Who came later reads the policy of that time.
        printed = keys.rounding if item.policy_name == keys.rounding.name else keys.handed_out
        ways = ways_of(keys.keying, sealed, keys.models, (keys.rounding, printed))
        rulings = keys.keying.of(sealed.model_id)
        as_it_was = (item.model_hash, item.policy_name)
        beside = [(model, policy) for model, policy in ways[1:] if (model.hash, policy.name) != as_it_was]
        try:
            # What took a bad problem's place goes by the name of the place; its model has its own.
            own = with_own_names(item)
            found = corrected_item(own, *ways[0], printed=all(one.value["printed"] for one in rulings), beside=beside)
            return replace(found, item=with_part_names(found.item, [part.name for part in item.parts]))
        except BadInput as error:
            if self.refuse:
                student = self.students[pseudonym]
                what = fact("errors_judging_papers.not_rekeyed", problem=sealed.slot, student=student, what=error.told)
                raise BadInput(what) from None
            return CorrectedItem(item, (fact("rekeyed.refused", reason=error.told),))

    @cached_property
    def students(self) -> dict[str, str]:
        """The id of each student, by pseudonym."""
        return {name: student for student, name in pseudonyms(self.connection).items()}
