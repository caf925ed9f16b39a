"""Collect what students hand in: from a folder or zip into the class folder, losing nothing."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from calclib.errors import BadInput
from calclib.nbgrading.exchange_inbound import exchange_notebooks, inbound_folder, keep_forged, keep_secrets
from calclib.nbgrading.incoming import Incoming, incoming, visible_path
from calclib.nbgrading.stored_submission import Store
from calclib.nbgrading.whose import Owners, plain
from calclib.records.class_folder import ClassFolder, class_folder
from calclib.records.database import reading
from calclib.records.names import set_name as checked_set_name
from calclib.records.roster import Student, read_roster
from calclib.records.sealed import sealed_set, tags_by_student

Progress = Callable[[int, int, str], None]

_MOST_OF_ONE_STUDENT = 20


@dataclass(frozen=True)
class Collected:
    """What collecting led to.

    Attributes:
        new: Students of whom a new notebook was taken.
        unchanged: Students whose notebook was collected before.
        missing: Students of whom there is no notebook at all.
        notes: One sentence for each file that was left alone or stands beside another.
    """

    new: tuple[Student, ...]
    unchanged: tuple[Student, ...]
    missing: tuple[Student, ...]
    notes: tuple[str, ...]


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
    with reading(where) as connection:
        if sealed_set(connection, name) is None:
            raise BadInput(f"No set '{name}' was handed out in this class: check the name.")
    roster = read_roster(where.roster)
    owners = Owners(roster, pattern)
    inbound = inbound_folder(source, where.course)

    def found() -> Iterator[Incoming | str]:
        return exchange_notebooks(inbound, name, roster, now=now) if inbound else incoming(source, now=now)

    candidates, notes = _candidates(where, name, found(), owners)
    with reading(where) as connection:
        taking = _Taking(Store(where, name, tags_by_student(connection, name)), notes)
    done = 0
    # The second pass reads; what is read is stored at once, so that memory doesn't grow with the class.
    for one in found():
        if isinstance(one, str) or one.parts not in candidates:
            continue
        taking.take(one, candidates[one.parts])
        done += 1
        if progress:
            progress(min(done, len(candidates)), len(candidates), candidates[one.parts].student.name)
    taking.note_unclear(candidates.values())
    if inbound:
        keep_secrets(where, inbound, name, roster, now=now)
        keep_forged(where, inbound, name, roster, now=now)
    changed = taking.changed
    return Collected(
        new=tuple(student for student in roster.students if changed.get(student.id)),
        unchanged=tuple(student for student in roster.students if changed.get(student.id) is False),
        missing=tuple(s for s in roster.students if not where.submitted(name, s.id).is_file()),
        notes=tuple(notes),
    )


@dataclass(frozen=True)
class _Candidate:
    """A file that may be the student's notebook of the set; `fits` tells whether its name says so, or it is alone."""

    student: Student
    parts: tuple[str, ...]
    fits: bool
    beside: int


class _Taking:
    """Reads candidates and stores those that count; what isn't clear becomes a note."""

    def __init__(self, store: Store, notes: list[str]) -> None:
        self.store, self.notes = store, notes
        self.changed: dict[str, bool] = {}
        self.taken: Counter[str] = Counter()

    def take(self, one: Incoming, candidate: _Candidate) -> None:
        student = candidate.student
        if self.taken[student.id] >= _MOST_OF_ONE_STUDENT:
            return
        who = f"{student.name} ({student.id})"
        data = one.read()
        if isinstance(data, str):
            self.notes.append(f"{one.label} of {who} {data}: it was left alone.")
            return
        if not candidate.fits and not self.store.is_own(student, data):
            return
        self.taken[student.id] += 1
        stored = self.store.store(student, data, one.time)
        if stored.note:
            self.notes.append(stored.note)
        self.changed[student.id] = stored.new or self.changed.get(student.id, False)

    def note_unclear(self, candidates: Iterable[_Candidate]) -> None:
        """Say of whom several notebooks came in, and of whom none could be told."""
        by_student: dict[str, list[_Candidate]] = {}
        for one in candidates:
            by_student.setdefault(one.student.id, []).append(one)
        name = self.store.set_name
        for key, group in by_student.items():
            who = f"{group[0].student.name} ({key})"
            count = len(group) + group[0].beside
            if group[0].beside:
                self.notes.append(f"{who} handed in {count} notebooks: only the latest {len(group)} were looked at.")
            if self.taken[key] > 1:
                self.notes.append(
                    f"{who} handed in {self.taken[key]} notebooks of this set: the latest counts, the others are kept "
                    "beside it."
                )
            elif not self.taken[key] and not any(one.fits for one in group):
                names = ", ".join(visible_path(one.parts[-1:]) for one in group[:4])
                self.notes.append(
                    f"{who} handed in {count} notebooks ({names}), none named {name}.ipynb: rename the right one."
                )


def _candidates(
    where: ClassFolder, name: str, found: Iterable[Incoming | str], owners: Owners
) -> tuple[dict[tuple[str, ...], _Candidate], list[str]]:
    """Return the paths that may be the students' notebooks of this set, and a sentence for each that isn't clear."""
    others = tuple(path.stem for path in where.blueprint(name).parent.glob("*.toml") if path.stem != name)
    notes: list[str] = []
    by_student: dict[str, tuple[Student, list[Incoming]]] = {}
    for one in found:
        if isinstance(one, str):
            notes.append(one)
            continue
        owner = one.owner or owners.owner(one.parts)
        if isinstance(owner, str):
            notes.append(f"{one.label} {owner}; it was left alone.")
        elif not fits_another(one.parts, name, others):
            by_student.setdefault(owner.id, (owner, []))[1].append(one)
    chosen: dict[tuple[str, ...], _Candidate] = {}
    for student, files in by_student.values():
        # A zip of a student's that unpacks to thousands of notebooks fills no disk.
        latest = sorted(files, key=lambda one: (_fits(one.parts, name), one.time))[-_MOST_OF_ONE_STUDENT:]
        beside = len(files) - len(latest)
        for one in latest:
            fits = len(files) == 1 or _fits(one.parts, name)
            chosen[one.parts] = _Candidate(student, one.parts, fits, beside)
    return chosen, notes


def fits_another(parts: tuple[str, ...], name: str, others: tuple[str, ...]) -> bool:
    """Tell whether a path names another set of the class rather than this one."""
    here = len(name) if _fits(parts, name) else 0
    return any(_fits(parts, other) and len(other) > here for other in others)


def _fits(parts: tuple[str, ...], name: str) -> bool:
    words = plain(name)
    return any(f" {words} " in f" {plain(part)} " for part in (parts[-1].removesuffix(".ipynb"), *parts[-2:-1]))
