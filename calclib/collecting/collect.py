"""Collect what students hand in: from a folder or zip into the class folder, losing nothing."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import plain
from calclib.class_files.names import set_name as checked_set_name
from calclib.class_files.roster import Student, read_roster
from calclib.collecting.exchange_inbound import exchange_notebooks, inbound_folder, keep_forged, keep_secrets
from calclib.collecting.file_owner import Owners, notebook_stem
from calclib.collecting.incoming import Incoming, Stray, incoming, visible_path
from calclib.collecting.plain_file import Damaged
from calclib.collecting.stored_submission import Store
from calclib.collecting.submitted_notebook import read_notebook
from calclib.errors import BadInput
from calclib.records.database import reading
from calclib.records.sealed import sealed_set, tags_by_student

Progress = Callable[[int, int, str], None]

_MOST_OF_ONE_STUDENT = 20
_MOST_STRAYS = 10_000
_MOST_STRAYS_NAMED = 5


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
    with reading(where) as connection:
        if sealed_set(connection, name) is None:
            raise BadInput(f"No set '{name}' was handed out in this class: check the name.")
    roster = read_roster(where.roster)
    owners = Owners(roster, pattern)
    inbound = inbound_folder(source, where.course)

    with reading(where) as connection:
        sealed = sealed_set(connection, name)
        tags = tags_by_student(connection, name)
    if sealed is None:
        raise BadInput(f"No set '{name}' was handed out in this class: check the name.")
    since = dt.datetime.fromisoformat(sealed.handed_out)

    def found() -> Iterator[Incoming | Stray | str]:
        return exchange_notebooks(inbound, name, roster, now=now) if inbound else incoming(source, now=now, since=since)

    looked = _candidates(where, name, found(), owners)
    candidates, notes = looked.chosen, looked.notes
    taking = _Taking(Store(where, name, tags), notes)
    done = 0
    # The second pass reads; what is read is stored at once, so that memory doesn't grow with the class.
    for one in found():
        if not isinstance(one, Incoming) or one.parts not in candidates:
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
        empty=not inbound and not looked.notebooks,
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
        if isinstance(data, Damaged):
            self.notes.append(f"{one.label} of {who} {data.words}: it was left alone.")
            return
        if not one.parts[-1].lower().endswith(".ipynb") and isinstance(read_notebook(data), Damaged):
            self.notes.append(_no_notebook(one.label))
            return
        if not candidate.fits and not self.store.is_own(student, data):
            return
        self.taken[student.id] += 1
        stored = self.store.store(student, data, one.time, certain=one.certain)
        if stored.new and not one.certain:
            self.notes.append(
                f"{one.label} of {who} has an impossible time, such as one before the set was handed out: the time of "
                "collecting counts (extra_minutes in the roster excuses lateness)."
            )
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


@dataclass(frozen=True)
class _Looked:
    """What a first look found: the paths that may be the students' notebooks of this set, a sentence for each that
    isn't clear, and the number of notebooks, anybody's."""

    chosen: dict[tuple[str, ...], _Candidate]
    notes: list[str]
    notebooks: int


def _candidates(where: ClassFolder, name: str, found: Iterable[Incoming | Stray | str], owners: Owners) -> _Looked:
    others = tuple(path.stem for path in where.blueprint(name).parent.glob("*.toml") if path.stem != name)
    notes: list[str] = []
    by_student: dict[str, tuple[Student, list[Incoming]]] = {}
    strays = _Strays(owners, lambda parts: fits_another(parts, name, others))
    notebooks = 0
    for one in found:
        if isinstance(one, str):
            notes.append(one)
            continue
        if isinstance(one, Stray):
            strays.look(one)
            continue
        notebooks += 1
        owner = one.owner or owners.owner(one.parts)
        if isinstance(owner, str):
            notes.append(
                f"{one.label} {owner}; it was left alone. "
                "Rename the folder or the file to the student's id, and collect again."
            )
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
    return _Looked(chosen, [*notes, *strays.notes()], notebooks)


class _Strays:
    """Files under a student's name that aren't notebooks: named, so that no hand-in vanishes without a word."""

    def __init__(self, owners: Owners, passed_over: Callable[[tuple[str, ...]], bool]) -> None:
        self._owners, self._passed_over = owners, passed_over
        self._by_student: dict[str, tuple[Student, list[str]]] = {}
        self._count = 0

    def look(self, stray: Stray) -> None:
        self._count += 1
        if self._count > _MOST_STRAYS or self._passed_over(stray.parts):
            return
        owner = self._owners.owner((*stray.parts[:-1], PurePosixPath(stray.parts[-1]).stem), hint=False)
        if not isinstance(owner, str):
            self._by_student.setdefault(owner.id, (owner, []))[1].append(stray.label)

    def notes(self) -> Iterator[str]:
        for student, labels in self._by_student.values():
            yield from (_no_notebook(label) for label in labels[:_MOST_STRAYS_NAMED])
            if (more := len(labels) - _MOST_STRAYS_NAMED) > 0:
                yield f"{student.name} ({student.id}) handed in more files that aren't notebooks: {more}."
        if self._count > _MOST_STRAYS:
            yield f"There are more than {_MOST_STRAYS:,} files that aren't notebooks: the rest were not looked at."


def _no_notebook(label: str) -> str:
    return f"{label} isn't a notebook: ask for the .ipynb file."


def fits_another(parts: tuple[str, ...], name: str, others: tuple[str, ...]) -> bool:
    """Tell whether a path names another set of the class rather than this one."""
    here = len(name) if _fits(parts, name) else 0
    return any(_fits(parts, other) and len(other) > here for other in others)


def _fits(parts: tuple[str, ...], name: str) -> bool:
    words = plain(name)
    return any(f" {words} " in f" {plain(part)} " for part in (notebook_stem(parts[-1]), *parts[-2:-1]))
