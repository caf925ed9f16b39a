"""Collect what students hand in: from a folder or zip into the class folder, losing nothing."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from calclib.errors import BadInput
from calclib.nbgrading.incoming import Incoming, incoming, visible_path
from calclib.nbgrading.whose import Owners, plain
from calclib.records.class_folder import ClassFolder, class_folder
from calclib.records.names import set_name as checked_set_name
from calclib.records.roster import Student, read_roster
from calclib.records.text_files import replace_file

Progress = Callable[[int, int, str], None]


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
        source: Folder or zip; students are known by the names of folders or files.
        now: The time; a file is never taken as later than that.
        pattern: See `Owners`.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: the class, the roster or the source can't be read.
    """
    where = class_folder(folder)
    name = checked_set_name(set_name)
    if not where.blueprint(name).is_file():
        raise BadInput(f"No set '{name}' was handed out in this class: check the name.")
    roster = read_roster(where.roster)
    owners = Owners(roster, pattern)
    chosen, notes = _choose(where, name, incoming(source, now=now), owners)
    handed_in = {student.id: student for student in chosen.values()}
    changed: dict[str, bool] = {}
    done = 0
    # The second pass reads; what is read is stored at once, so that memory doesn't grow with the class.
    for one in incoming(source, now=now):
        if isinstance(one, str) or one.parts not in chosen:
            continue
        student = chosen[one.parts]
        data = one.read()
        if isinstance(data, str):
            notes.append(f"{one.label} of {student.name} ({student.id}) {data}: it was left alone.")
        else:
            changed[student.id] = _store(where, name, student, data, one.time) or changed.get(student.id, False)
        done += 1
        if progress:
            progress(done, len(chosen), student.name)
    return Collected(
        new=tuple(student for key, student in handed_in.items() if changed.get(key)),
        unchanged=tuple(student for key, student in handed_in.items() if changed.get(key) is False),
        missing=tuple(s for s in roster.students if not where.submitted(name, s.id).is_file()),
        notes=tuple(notes),
    )


def _choose(
    where: ClassFolder, name: str, found: Iterable[Incoming | str], owners: Owners
) -> tuple[dict[tuple[str, ...], Student], list[str]]:
    """Return the paths that are the students' notebooks of this set, and a sentence for each that isn't clear."""
    others = tuple(path.stem for path in where.blueprint(name).parent.glob("*.toml") if path.stem != name)
    notes: list[str] = []
    by_student: dict[str, tuple[Student, list[tuple[str, ...]]]] = {}
    for one in found:
        if isinstance(one, str):
            notes.append(one)
            continue
        owner = owners.owner(one.parts)
        if isinstance(owner, str):
            notes.append(f"{one.label} {owner}; it was left alone.")
        elif not fits_another(one.parts, name, others):
            by_student.setdefault(owner.id, (owner, []))[1].append(one.parts)
    chosen: dict[tuple[str, ...], Student] = {}
    for student, paths in by_student.values():
        fitting = [parts for parts in paths if _fits(parts, name)] or paths
        who = f"{student.name} ({student.id})"
        if len(fitting) > 1 and not _fits(fitting[0], name):
            names = ", ".join(visible_path(parts[-1:]) for parts in fitting[:4])
            notes.append(
                f"{who} handed in {len(fitting)} notebooks ({names}), none named {name}.ipynb: rename the right one."
            )
            continue
        if len(fitting) > 1:
            notes.append(f"{who} handed in {len(fitting)} notebooks: the latest counts, the others are kept beside it.")
        chosen |= dict.fromkeys(fitting, student)
    return chosen, notes


def fits_another(parts: tuple[str, ...], name: str, others: tuple[str, ...]) -> bool:
    """Tell whether a path names another set of the class rather than this one."""
    here = len(name) if _fits(parts, name) else 0
    return any(_fits(parts, other) and len(other) > here for other in others)


def _fits(parts: tuple[str, ...], name: str) -> bool:
    words = plain(name)
    return any(f" {words} " in f" {plain(part)} " for part in (parts[-1].removesuffix(".ipynb"), *parts[-2:-1]))


def _store(where: ClassFolder, name: str, student: Student, data: bytes, time: dt.datetime) -> bool:
    """Keep one notebook: the latest where marking looks, any other by its time. Return whether it is new."""
    path = where.submitted(name, student.id)
    stamp = path.with_name("timestamp.txt")
    if path.is_file() and not path.is_symlink():
        current = path.read_bytes()
        if current == data:
            return False
        before = _read_stamp(stamp, path)
        if time < before:
            return replace_file(_kept(where, name, student, data, time), data)
        replace_file(_kept(where, name, student, current, before), current)
    replace_file(path, data)
    replace_file(stamp, f"{time.astimezone(dt.UTC):%Y-%m-%d %H:%M:%S.%f UTC}\n".encode())
    return True


def _kept(where: ClassFolder, name: str, student: Student, data: bytes, time: dt.datetime) -> Path:
    digest = hashlib.sha256(data).hexdigest()[:8]
    return where.earlier(name, student.id) / f"{time.astimezone(dt.UTC):%Y%m%dT%H%M%SZ}-{digest}.ipynb"


def _read_stamp(stamp: Path, notebook: Path) -> dt.datetime:
    return submission_time(stamp) or dt.datetime.fromtimestamp(notebook.stat().st_mtime, dt.UTC)


def submission_time(stamp: Path) -> dt.datetime | None:
    """Return the time in a `timestamp.txt`, as the exchange and collecting write it."""
    try:
        words = stamp.read_bytes()[:100].decode("ascii").split()
        time = dt.datetime.fromisoformat(" ".join(words[:2]))
    except (OSError, ValueError):
        return None
    return time.replace(tzinfo=dt.UTC) if time.tzinfo is None else time.astimezone(dt.UTC)
