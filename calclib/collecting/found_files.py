"""A first look at what came in: whose each file is, and which may be a notebook of the set; nothing is read yet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from calclib.class_files.names import plain
from calclib.class_files.roster import Student
from calclib.collecting.file_owner import Owned, Owners, notebook_stem, told_of
from calclib.collecting.incoming_file import Incoming, Stamp, Stray, ZipAround
from calclib.wording import Fact, said

_MOST_STRAYS = 10_000
_MOST_STRAYS_NAMED = 5
NAMED = 5

Key = tuple[tuple[str, ...], int]


@dataclass(frozen=True)
class FoundFile:
    """One notebook file of a student.

    Attributes:
        key: Its path, and how many of the same path came before.
        student: The student.
        at: The part of the path that names the student.
        stamp: When it was handed in: the time of the outermost zip of the student's in which it lies, else its own.
        inner: The file's own time, which orders those in one zip.
        container: Path of that zip, () if it lies in none.
        fits: Whether its name is the set's.
        another: Whether its name is that of another set.
        within: Id of the student whom a further part of the path names, "" for none.
    """

    key: Key
    student: Student
    at: int
    stamp: Stamp
    inner: Stamp
    container: tuple[str, ...]
    fits: bool
    another: bool
    within: str = ""

    @property
    def named(self) -> str:
        """The part of the path that names the student, which the system wrote."""
        return self.key[0][self.at]


@dataclass
class Looked:
    """What a first look found: the files of each student, sentences, and the number of notebooks, anybody's."""

    by_student: dict[str, list[FoundFile]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    notebooks: int = 0


class Numbered:
    """Gives each path a key of its own; a zip may hold one name twice."""

    def __init__(self) -> None:
        self._seen: Counter[tuple[str, ...]] = Counter()

    def key(self, parts: tuple[str, ...]) -> Key:
        """Return the key of the next file of a path."""
        self._seen[parts] += 1
        return parts, self._seen[parts]


def looked_at(found: Iterable[Incoming | Stray | str], owners: Owners, name: str, others: tuple[str, ...]) -> Looked:
    """Return what came in, by student.

    Args:
        found: The files, strays and sentences.
        owners: Finds whose a path is.
        name: The set.
        others: Names of the other sets of the class.
    """
    looked, numbered = Looked(), Numbered()
    strays = _Strays(owners, lambda parts: fits_another(parts, name, others))
    for one in found:
        if isinstance(one, str):
            looked.notes.append(one)
            continue
        if isinstance(one, Stray):
            strays.look(one)
            continue
        looked.notebooks += 1
        key = numbered.key(one.parts)
        owner = Owned(one.owner, 0) if one.owner else owners.owned(one.parts)
        if isinstance(owner, Fact):
            looked.notes.append(said("collecting.nobodys_file", file=one.label, why=owner))
            continue
        zipped = next((each for each in one.zips if each.at >= owner.at), None)
        looked.by_student.setdefault(owner.student.id, []).append(
            FoundFile(
                key=key,
                student=owner.student,
                at=owner.at,
                stamp=zipped.stamp if zipped else one.stamp,
                inner=one.stamp,
                container=_path(one, zipped),
                fits=_fits(one.parts, name),
                another=fits_another(one.parts, name, others),
                within=_within(owners, one.parts[owner.at + 1 :], owner.student),
            )
        )
    looked.notes += strays.notes()
    return looked


def _within(owners: Owners, parts: tuple[str, ...], student: Student) -> str:
    """The id of another student whom the further parts of a path name."""
    other = owners.owner(parts, hint=False) if parts else None
    return other.id if isinstance(other, Student) and other.id != student.id else ""


def _path(one: Incoming, zipped: ZipAround | None) -> tuple[str, ...]:
    return one.parts[: zipped.at + 1] if zipped else ()


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
        if isinstance(owner, Student):
            self._by_student.setdefault(owner.id, (owner, []))[1].append(stray.label)

    def notes(self) -> Iterator[str]:
        for student, labels in self._by_student.values():
            yield from (no_notebook(label) for label in labels[:_MOST_STRAYS_NAMED])
            if (more := len(labels) - _MOST_STRAYS_NAMED) > 0:
                yield said("collecting.more_strays", who=told_of(student), count=more)
        if self._count > _MOST_STRAYS:
            yield said("collecting.too_many_strays", most=f"{_MOST_STRAYS:,}")


def no_notebook(label: str) -> str:
    """Say that a file isn't a notebook."""
    return said("collecting.no_notebook", file=label)


def fits_another(parts: tuple[str, ...], name: str, others: tuple[str, ...]) -> bool:
    """Tell whether a path names another set of the class rather than this one."""
    here = len(name) if _fits(parts, name) else 0
    return any(_fits(parts, other) and len(other) > here for other in others)


def _fits(parts: tuple[str, ...], name: str) -> bool:
    words = plain(name)
    return any(f" {words} " in f" {plain(part)} " for part in (notebook_stem(parts[-1]), *parts[-2:-1]))
