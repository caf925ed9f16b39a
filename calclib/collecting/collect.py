"""Collect what students hand in: from a folder or zip into the class folder, losing nothing."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import set_name as checked_set_name
from calclib.class_files.roster import Student, read_roster
from calclib.collecting.chosen_files import chosen_files
from calclib.collecting.exchange_inbound import exchange_notebooks, inbound_folder, keep_forged, keep_secrets
from calclib.collecting.file_owner import Owners, told_of
from calclib.collecting.files_in_folder import incoming
from calclib.collecting.found_files import FoundFile, Key, Looked, Numbered, looked_at, no_notebook
from calclib.collecting.hand_in_times import HandInTime, Told, hand_in_times
from calclib.collecting.incoming_file import Doubt, Incoming, Stamp, Stray, is_zip_name
from calclib.collecting.plain_file import Damaged
from calclib.collecting.questioned_hand_in import finish_taking
from calclib.collecting.receipts import Receipt
from calclib.collecting.stored_submission import Store
from calclib.collecting.submitted_notebook import read_notebook
from calclib.errors import BadInput
from calclib.records.database import reading
from calclib.records.handed_out import tags_by_student
from calclib.records.lateness import attempt_dues, due_times
from calclib.records.people import pseudonyms
from calclib.records.questioned import settled_hand_ins, taken_notebooks
from calclib.records.rulings.ruling import in_force, rulings_of
from calclib.records.sealed import SealedSet, sealed_set
from calclib.wording import fact, said

Progress = Callable[[int, int, str], None]


@dataclass(frozen=True)
class Collected:
    """What collecting led to.

    Attributes:
        new: Students of whom a new notebook was taken.
        unchanged: Students whose notebook was collected before.
        missing: Students of whom there is no notebook at all.
        notes: One sentence for each file that was left alone or stands beside another.
        empty: Whether the folder or zip held no notebook at all, anybody's; an exchange may be empty.
    """

    new: tuple[Student, ...]
    unchanged: tuple[Student, ...]
    missing: tuple[Student, ...]
    notes: tuple[str, ...]
    empty: bool = False


def collect(
    folder: Path,
    set_name: str,
    source: Path,
    *,
    now: dt.datetime,
    pattern: str | None = None,
    progress: Progress | None = None,
) -> Collected:
    """Take the notebooks of one set from a folder or zip; an earlier submission is kept, by its time.

    Args:
        folder: The class folder.
        set_name: The set.
        source: Folder or zip, in which students are known by the names of folders or files; or nbgrader's exchange, in
            which they are known by the account that owns the hand-in.
        now: The time; a file is never taken as later than that.
        pattern: See `Owners`.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: the class, the roster or the source can't be read.
    """
    where = class_folder(folder)
    name = checked_set_name(set_name)
    finish_taking(where, name)
    with reading(where) as connection:
        sealed = sealed_set(connection, name)
        tags = tags_by_student(connection, name)
        dues = attempt_dues(connection, name)
        rulings, names = in_force(rulings_of(connection, name)), pseudonyms(connection)
    settled, taken = settled_hand_ins(rulings, names), taken_notebooks(rulings, names)
    if sealed is None:
        raise BadInput(fact("errors_records.no_set", name=name))
    roster = read_roster(where.roster)
    due = due_times(sealed, roster.students, dues)
    passed = any(time < now for time in due)
    owners = Owners(roster, pattern)
    inbound = inbound_folder(source, where.course)
    since = dt.datetime.fromisoformat(sealed.handed_out)
    of_student = is_zip_name(source.name) and owners.is_name(source.name[:-4])

    def found() -> Iterator[Incoming | Stray | str]:
        if inbound:
            return exchange_notebooks(inbound, name, roster, now=now)
        return incoming(source, now=now, since=since, of_student=of_student)

    looked = looked_at(found(), owners, name, _other_sets(where, name))
    times = {} if inbound else _times(looked, now, sealed, due=bool(due))
    store = Store(where, name, tags, settled, taken)
    chosen = chosen_files(_with_times(looked.by_student, times), found(), store)
    # Before anything is due, nothing hangs on when it was handed in.
    notes = [*looked.notes, *chosen.notes, *(_of_one_time(times.values()) if passed else ())]
    taking = _Taking(store, notes, times, now, due=passed)
    taking.take_all(found(), chosen.order, progress)
    if inbound:
        keep_secrets(where, inbound, name, roster, now=now)
        notes += keep_forged(store, inbound, roster, now=now)
    changed = taking.changed
    return Collected(
        new=tuple(student for student in roster.students if changed.get(student.id)),
        unchanged=tuple(student for student in roster.students if changed.get(student.id) is False),
        missing=tuple(s for s in roster.students if not where.submitted(name, s.id).is_file()),
        notes=tuple(notes),
        empty=not inbound and not looked.notebooks,
    )


def _other_sets(where: ClassFolder, name: str) -> tuple[str, ...]:
    return tuple(path.stem for path in where.blueprint(name).parent.glob("*.toml") if path.stem != name)


def _times(looked: Looked, now: dt.datetime, sealed: SealedSet, *, due: bool) -> dict[Key, HandInTime]:
    """When each file was handed in, as far as it can be believed."""
    files = [one for files in looked.by_student.values() for one in files]
    told = [Told(one.student.id, one.stamp, one.named) for one in files]
    since = dt.datetime.fromisoformat(sealed.handed_out)
    found = hand_in_times(told, now=now, since=since, due=due)
    return {one.key: time for one, time in zip(files, found, strict=True)}


def _with_times(
    by_student: Mapping[str, list[FoundFile]], times: Mapping[Key, HandInTime]
) -> dict[str, list[FoundFile]]:
    if not times:
        return dict(by_student)
    return {
        student: [replace(one, stamp=Stamp(times[one.key].time, times[one.key].doubt)) for one in files]
        for student, files in by_student.items()
    }


def _of_one_time(times: Iterable[HandInTime]) -> Iterator[str]:
    if any(one.doubt is Doubt.ONE_TIME for one in times):
        yield (said("collecting.one_time"))


class _Taking:
    """Reads the files that were chosen and stores them; what isn't clear becomes a note."""

    def __init__(
        self, store: Store, notes: list[str], times: Mapping[Key, HandInTime], now: dt.datetime, *, due: bool
    ) -> None:
        # Where nothing is due, only a time that no clock can have set is worth a word.
        self.said = {Doubt.IMPOSSIBLE, Doubt.AHEAD} if due else {Doubt.IMPOSSIBLE}
        self.store, self.notes, self.times, self.now = store, notes, times, now
        self.changed: dict[str, bool] = {}

    def take_all(
        self,
        found: Iterable[Incoming | Stray | str],
        order: Mapping[str, list[FoundFile]],
        progress: Progress | None,
    ) -> None:
        """Store what was chosen, of each student in its order; what is read is stored as soon as it can be, so that
        memory doesn't grow with the class."""
        wanted = {one.key: one for files in order.values() for one in files}
        held: dict[str, dict[Key, tuple[Incoming, bytes | Damaged]]] = {}
        done, numbered = 0, Numbered()
        for one in found:
            if not isinstance(one, Incoming):
                continue
            key = numbered.key(one.parts)
            file = wanted.get(key)
            if file is None:
                continue
            mine = held.setdefault(file.student.id, {})
            mine[key] = one, one.read()
            files = order[file.student.id]
            if len(mine) == len(files):
                self._take(files, held.pop(file.student.id))
                done += 1
                if progress:
                    progress(done, len(order), file.student.name)
        for student, some in held.items():
            # A file that went away since it was found doesn't take the others with it.
            self._take([file for file in order[student] if file.key in some], some)

    def _take(self, files: list[FoundFile], read: Mapping[Key, tuple[Incoming, bytes | Damaged]]) -> None:
        taken = 0
        for file in files:
            taken += self._take_one(file, *read[file.key])
        if taken > 1:
            self.notes.append(said("collecting.several_taken", who=told_of(files[0].student), count=taken))

    def _take_one(self, file: FoundFile, one: Incoming, data: bytes | Damaged) -> bool:
        student, who = file.student, told_of(file.student)
        if isinstance(data, Damaged):
            self.notes.append(said("collecting.left_alone", file=one.label, who=who, why=data.told))
            return False
        if not one.parts[-1].lower().endswith(".ipynb") and isinstance(read_notebook(data), Damaged):
            self.notes.append(no_notebook(one.label))
            return False
        time = self.times.get(file.key) or HandInTime(file.stamp.time)
        stored = self.store.store(student, data, Receipt(time.time, self.now, time.doubt.value, time.marked_late))
        if stored.new and time.doubt not in self.said and file.inner.doubt is Doubt.IMPOSSIBLE:
            self.notes.append(said("collecting.impossible_zip_counts", file=one.label, who=who))
        if stored.new and time.doubt in self.said:
            self.notes.append(said("collecting.impossible", file=one.label, who=who))
        if stored.note:
            self.notes.append(stored.note)
        self.changed[student.id] = stored.new or self.changed.get(student.id, False)
        return True
