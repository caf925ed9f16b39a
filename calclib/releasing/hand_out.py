"""Hand out a set: draw each student's items, seal them in the gradebook's database, write the notebooks."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection

from calclib import __version__
from calclib.class_files.blueprint import Blueprint, read_blueprint
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.reviews import FILE as REVIEWS
from calclib.class_files.roster import Student, read_roster
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.seeds import draw_seed, paper_tag
from calclib.class_files.set_rules import recorded_rules
from calclib.class_files.text_files import replace_file
from calclib.errors import CalclibError
from calclib.gradebook.notebook import (
    Problem,
    checksums,
    holds_tag,
    notebook_bytes,
    problem_of,
    render_notebook,
    taken_out,
)
from calclib.gradebook.opening import gradebook_transaction
from calclib.quantity.writing import write_number
from calclib.records.database import reading
from calclib.records.frozen.recorded_policies import marking_in_force, recorded_rounding
from calclib.records.handed_out import latest_attempts, numbers_in_use, whole_sets_in_use
from calclib.records.history import EventKind, write_history
from calclib.records.lateness import DueKind, attempt_dues, due_of, made_times
from calclib.records.people import pseudonyms, remember_person
from calclib.records.rulings.ruled_set import as_ruled, with_rounding_in_force
from calclib.records.rulings.ruling import Ruling, in_force, rulings_of
from calclib.records.sealed import (
    SealedItem,
    SealedPaper,
    SealedSet,
    numbers_hash,
    seal_paper,
    sealed_paper,
    sealed_set,
)
from calclib.records.sealed_slots import Slot
from calclib.records.set_times import time_in_words, zone_of
from calclib.releasing.distinct_draws import NumbersInUse, distinct_items, numbers_of
from calclib.releasing.further_attempts.measured import NOTHING_MEASURED, Measured
from calclib.releasing.further_attempts.parallel import earlier_of
from calclib.releasing.further_attempts.replaced_problems import AS_HANDED_OUT, Replaced, fitted, taken_out_by
from calclib.releasing.ordered_set import ordered_set
from calclib.releasing.own_marking import changed_marking
from calclib.releasing.printed_rules import Rules, costs_in_short, rule_lines, rules_of_set
from calclib.releasing.proved_model import changed_files
from calclib.releasing.seal import ModelsToDraw, example, sealed_or_found
from calclib.releasing.slots import Ordered
from calclib.releasing.start import enroll
from calclib.wording import Fact, fact, of_kind, said

if TYPE_CHECKING:
    from calclib.items import Item

Progress = Callable[[int, int, str], None]

_NONE = fact("handing_out.none")
NO_APPEAL = fact("handing_out.no_appeal")
"""What faculty is told of a set without a way to appeal."""


@dataclass(frozen=True)
class HandedOut:
    """What handing out led to.

    Attributes:
        set_name: Name of the set.
        new: Number of students whose notebook was drawn now.
        kept: Number of students whose notebook was there before.
        folder: Where the notebooks are.
        shared: By number of the problem, how many more students than different numbers there are, where there are any.
        notes: Sentences on files of faculty's own that have changed since.
        changed: What another blueprint changes in a set that was handed out before, in words.
        late_joiners: Students whose notebook was drawn now, after the set's due time, and without one of their own.
        without_appeal: Whether the set goes out for the first time, and its blueprint doesn't say how to appeal.
        passed: What had passed when it went out for the first time: its due time, the time to appeal.
    """

    set_name: str
    new: int
    kept: int
    folder: Path
    shared: Mapping[int, int]
    notes: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    late_joiners: tuple[Student, ...] = ()
    without_appeal: bool = False
    passed: tuple[Fact, ...] = ()


def hand_out(folder: Path, blueprint: Path | str, *, now: dt.datetime, progress: Progress | None = None) -> HandedOut:
    """Draw, seal and write the notebook of each student of the class.

    A second run draws nothing again: it leaves the notebooks that are there, writes those that are missing, and adds
    those of students who came later.

    Args:
        folder: The class folder.
        blueprint: The blueprint's file, or the name of a set that was handed out before.
        now: The time that is recorded.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: the blueprint is wrong, or another one was handed out under its name.
        CalclibError: the set has too few different numbers for the class.
    """
    where = class_folder(folder)
    file = where.blueprint(blueprint) if isinstance(blueprint, str) else blueprint
    ordered = _ordered(where, file)
    order = ordered.blueprint
    roster = read_roster(where.roster)
    secret = read_secret(where.secret)
    new = 0
    joiners: list[Student] = []
    with gradebook_transaction(where) as connection:
        enroll(connection, roster, secret)
        before = sealed_set(connection, order.set)
        sealed = sealed_or_found(connection, where, ordered, secret, now)
        changed = () if before is None else tuple(_changes(before, sealed))
        rules = PrintedRules(connection, sealed, rulings_of(connection, sealed.name))
        # Who comes later reads the rule by which the set is keyed by now, and is drawn by a corrected model.
        sealed = with_rounding_in_force(sealed, in_force(rules.rulings))
        uses = NumbersInUse(numbers_in_use(connection, sealed.name), whole_sets_in_use(connection, sealed.name))
        latest = latest_attempts(connection, sealed.name)
        names, times = pseudonyms(connection), made_times(connection, sealed.name)
        dues = attempt_dues(connection, sealed.name)
        models = ModelsToDraw(connection, sealed.name)
        for done, student in enumerate(roster.students, start=1):
            attempt = latest.get(student.id, 1)
            of = names.get(student.id, ""), attempt
            made = times.get(of)
            due = due_of(sealed, student, attempt, made or now, dues.get(of, sealed.due))
            by = (connection, sealed, models, student.id, secret, uses, now, rules.by(made), due.time)
            gone = Replaced({}, taken_out_by(sealed, rules.made_by(made))) if attempt > 1 and made else AS_HANDED_OUT
            drawn = Drawing(*by, attempt, gone).paper()
            new += drawn.new
            if drawn.new and due.kind is DueKind.MADE_LATER:
                joiners.append(student)
            path = where.rendered(sealed.name, student.id)
            # What was handed out stays as it is, even if a newer library would lay it out otherwise; but not a notebook
            # of an attempt that was interrupted before it was recorded.
            if drawn.new or not holds_tag(path, (drawn.tag,)):
                replace_file(path, drawn.notebook)
            if progress:
                progress(done, len(roster.students), student.name)
        notes = (*changed_files(order, file, sealed, models), *changed_marking(connection, order, file, sealed))
        if new:
            write_history(connection, at=now, kind=EventKind.HANDED_OUT, set_name=sealed.name, detail={"new": new})
    replace_file(where.blueprint(sealed.name), order.text.encode())
    if order.reviewed and (file.parent / REVIEWS).is_file():
        # What takes a bad problem's place later must be reviewed too.
        replace_file(where.path / REVIEWS, (file.parent / REVIEWS).read_bytes())
    kept, silent = len(roster.students) - new, before is None and order.rules.appeal is None
    shared, place = uses.shared(), where.path / "release"
    passed = tuple(_passed(order, now)) if before is None else ()
    return HandedOut(sealed.name, new, kept, place, shared, notes, changed, tuple(joiners), silent, passed)


def _passed(order: Blueprint, now: dt.datetime) -> Iterator[Fact]:
    """What of a blueprint lies behind already."""
    by = order.rules.appeal.by if order.rules.appeal else None
    passed = fact("handing_out.due_passed"), fact("handing_out.appeal_passed")
    for told, time in zip(passed, (order.due, by), strict=True):
        if isinstance(time, dt.datetime) and time <= now:
            yield told


@dataclass(frozen=True)
class PrintedRules:
    """The rules that a notebook prints: as faculty had ruled when it was made, whatever was ruled since.

    Attributes:
        connection: A connection in a transaction that holds the set.
        sealed: The set as it was handed out.
        rulings: All its rulings.
        known: Those that were asked for, by the numbers of the rulings made by then.
    """

    connection: Connection
    sealed: SealedSet
    rulings: Sequence[Ruling]
    known: dict[tuple[int, ...], Rules] = field(default_factory=dict)

    def made_by(self, time: dt.datetime) -> tuple[Ruling, ...]:
        """Return the rulings that held when a further attempt was given."""
        return in_force(one for one in self.rulings if dt.datetime.fromisoformat(one.at) <= time)

    def by(self, made: dt.datetime | None = None) -> Rules:
        """Return the rules of a notebook that was made at a time; None for now."""
        # Times are kept in seconds; what was handed out and ruled on within one was handed out before.
        made_by_then = [one for one in self.rulings if made is None or dt.datetime.fromisoformat(one.at) < made]
        key = tuple(one.number for one in made_by_then)
        if key not in self.known:
            ruled = as_ruled(self.sealed, in_force(made_by_then))
            rounding = recorded_rounding(self.connection, ruled.rounding_hash)
            self.known[key] = rules_of_set(self.sealed, rounding, marking_in_force(self.connection, ruled))
        return self.known[key]


def _ordered(where: ClassFolder, file: Path) -> Ordered:
    """The set as a blueprint orders it; files of faculty's own are read if it is handed out for the first time."""
    catalogue = whole_catalogue()
    order = read_blueprint(file, catalogue)
    if order.reviewed or any(line.own_files for line in order.lines) or order.marking.endswith(".toml"):
        with reading(where) as connection:
            before = sealed_set(connection, order.set)
        if before is None:
            return ordered_set(order, catalogue, file)
    return Ordered(order, catalogue, {})


def _changes(before: SealedSet, after: SealedSet) -> Iterator[str]:
    """What another blueprint changes in a set that was handed out, in words."""
    zone = zone_of(after)
    if before.cut_score != after.cut_score:
        now, was = write_number(after.cut_score, 4), write_number(before.cut_score, 4)
        yield said("handing_out.cut_score", now=now, before=was)
    if before.due != after.due:
        yield said("handing_out.due", now=_due(after.due, zone), before=_due(before.due, zone))
    if before.late_percent != after.late_percent:
        yield said("handing_out.late_percent", now=after.late_percent, before=before.late_percent)
    if before.attempts != after.attempts:
        yield said("handing_out.attempts", now=after.attempts, before=before.attempts)
    if before.keep != after.keep:
        yield said("handing_out.keep", now=of_kind("keep", after.keep), before=of_kind("keep", before.keep))
    rules_before, rules = recorded_rules(before.blueprint), recorded_rules(after.blueprint)
    if rules_before.minutes != rules.minutes:
        yield said("handing_out.minutes", now=rules.minutes or _NONE, before=rules_before.minutes or _NONE)
    if rules_before.appeal != rules.appeal:
        yield said("handing_out.appeal")


def _due(time: dt.datetime | None, zone: dt.tzinfo) -> str | Fact:
    return _NONE if time is None else time_in_words(time, zone)


@dataclass(frozen=True)
class Drawn:
    """A notebook with its tag, and whether its numbers were drawn now."""

    new: bool
    notebook: bytes
    tag: str


@dataclass(frozen=True)
class Drawing:
    """Draws one student's paper of one attempt, or finds it as it was drawn.

    Attributes:
        connection: A connection in a transaction that holds the set.
        sealed: The set.
        models: The item models from which it is drawn.
        student: The student's id.
        secret: The course secret.
        uses: Which numbers are given away.
        now: The time that is recorded.
        rules: The rules that the notebook prints.
        due: By when it is due, as the notebook prints it.
        attempt: Number of the attempt.
        replaced: What stands in the place of problems that went wrong.
        known: How hard problems proved to be for the class.
    """

    connection: Connection
    sealed: SealedSet
    models: ModelsToDraw
    student: str
    secret: bytes
    uses: NumbersInUse
    now: dt.datetime
    rules: Rules
    due: dt.datetime | None
    attempt: int = 1
    replaced: Replaced = AS_HANDED_OUT
    known: Measured = NOTHING_MEASURED

    def paper(self) -> Drawn:
        """Seal the student's items if they aren't yet, and return the notebook."""
        from calclib.items import item_from_record

        name = remember_person(self.connection, self.secret, self.student)
        before = sealed_paper(self.connection, self.sealed.name, name, self.attempt, as_handed_out=True)
        if before is not None:
            items = [item_from_record(item.record) for item in before.items]
            return Drawn(False, notebook_bytes(self._render(items, name, before.tag)), before.tag)
        fits = None
        if self.attempt > 1:
            fits = earlier_of(self.connection, self.sealed.name, name, self.attempt, self.known).fit
        items = distinct_items(self.sealed, self._draw, self.uses, fits)
        self._refuse_changed_models(items)
        records = [item.to_record() for item in items]
        tag = self._tag(records)
        notebook = self._render(items, name, tag)
        places = zip(self.sealed.slots, items, records, strict=True)
        sealed_items = tuple(_sealed_item(slot.number, item, record) for slot, item, record in places)
        paper = SealedPaper(
            set_name=self.sealed.name,
            pseudonym=name,
            attempt=self.attempt,
            tag=tag,
            numbers=numbers_hash(item.numbers for item in sealed_items),
            checksums=checksums(notebook),
            items=sealed_items,
            made=self.now.isoformat(timespec="seconds"),
            library=__version__,
        )
        seal_paper(self.connection, paper)
        return Drawn(True, notebook_bytes(notebook), tag)

    def _draw(self, slot: Slot, turn: int) -> Item:
        model = self.replaced.models.get(slot.number, slot.model)
        about = {"set_name": self.sealed.name, "student": self.student, "item": f"{slot.number}:{model}"}
        seed = draw_seed(self.secret, **about, attempt=self.attempt, turn=turn)
        return fitted(example(self.models[model], self.sealed.rounding, seed), slot)

    def _tag(self, records: list[dict[str, Any]]) -> str:
        content = "\n".join(json.dumps(record, sort_keys=True) for record in records)
        about = {"set_name": self.sealed.name, "student": self.student}
        return paper_tag(self.secret, **about, attempt=self.attempt, content=content)

    def _render(self, items: list[Item], name: str, tag: str) -> dict[str, object]:
        problems = tuple(
            self._as_asked(problem_of(item, number=slot.number, title=slot.title, points=slot.points))
            for slot, item in zip(self.sealed.slots, items, strict=True)
        )
        title = self.sealed.title if self.attempt == 1 else f"{self.sealed.title}, attempt {self.attempt}"
        zone = zone_of(self.sealed)
        return render_notebook(
            set_name=self.sealed.name,
            title=title,
            problems=problems,
            made_for=name,
            tag=tag,
            rules=rule_lines(self.rules, self.due, zone),
            costs=costs_in_short(self.rules),
        )

    def _as_asked(self, problem: Problem) -> Problem:
        return taken_out(problem) if problem.number in self.replaced.taken_out else problem

    def _refuse_changed_models(self, items: list[Item]) -> None:
        for slot, item in zip(self.sealed.slots, items, strict=True):
            if [part.name for part in item.parts] != list(slot.points):
                raise CalclibError(
                    fact("errors_releasing.parts_have_changed", model=slot.model, set_name=self.sealed.name)
                )


def _sealed_item(slot: int, item: Item, record: dict[str, Any]) -> SealedItem:
    return SealedItem(
        slot=slot,
        model_id=item.model_id,
        model_version=item.model_version,
        model_hash=item.model_hash,
        numbers=numbers_of(item),
        record=record,
    )
