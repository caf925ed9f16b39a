"""Which files of a student are taken: the student's own sealed papers first, before anything is cut."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from calclib.collecting.budget import Budget
from calclib.collecting.file_owner import notebook_stem, told_of
from calclib.collecting.found_files import NAMED, FoundFile, Key, Numbered
from calclib.collecting.incoming_file import Incoming, Stray, visible_path
from calclib.collecting.plain_file import Damaged
from calclib.collecting.stored_submission import Store
from calclib.collecting.submitted_notebook import is_untouched
from calclib.records.questioned import Question, QuestionKind, not_listed
from calclib.wording import Fact, fact, said

_MOST_OF_ONE_STUDENT = 20
# So much of what lies beside a student's own notebook is kept in memory.
_MOST_REMEMBERED = 2
_LARGEST_REMEMBERED = 200_000


@dataclass
class Chosen:
    """The files that are taken, in the order in which they are stored, and a sentence for whatever isn't.

    Attributes:
        order: The files of each student, the one that counts last.
        notes: The sentences.
    """

    order: dict[str, list[FoundFile]] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)


def chosen_files(
    by_student: Mapping[str, Sequence[FoundFile]], found: Iterable[Incoming | Stray | str], store: Store
) -> Chosen:
    """Return which files are taken.

    A file that is its student's only one is taken whatever its name; of several, all are read, and those that are the
    student's own sealed papers come before any other, whatever they are called. Else those of the set's name are taken.

    Args:
        by_student: The files of each student.
        found: All files once more, to be read.
        store: Tells which notebooks are whose.
    """
    plain = {key for key, files in by_student.items() if len(files) == 1 and not files[0].another}
    read = _Read(store)
    read.look(found, {one.key: one for key, files in by_student.items() if key not in plain for one in files})
    chosen = Chosen(notes=read.notes)
    for key, files in by_student.items():
        if key in plain:
            chosen.order[key] = list(files)
        else:
            chosen.order[key] = list(read.choice(files, chosen.notes))
    return chosen


class _Read:
    """What is known of files that were read; of each only that, so that memory doesn't grow with the class."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.own: set[Key] = set()
        self.other_sets: set[Key] = set()
        self.beyond: set[Key] = set()
        self.others: set[Key] = set()
        self.untouched: set[Key] = set()
        self.nobodys: dict[Key, tuple[str, bytes]] = {}
        self.notes: list[str] = []
        self._budgets: dict[tuple[str, tuple[str, ...]], Budget] = {}

    def look(self, found: Iterable[Incoming | Stray | str], wanted: Mapping[Key, FoundFile]) -> None:
        if not wanted:
            return
        numbered = Numbered()
        for one in found:
            if not isinstance(one, Incoming):
                continue
            key = numbered.key(one.parts)
            file = wanted.get(key)
            if file is None:
                continue
            budget = self._budgets.setdefault((file.student.id, file.container), Budget())
            data = one.read() if budget.one_more() else None
            if data is None or (not isinstance(data, Damaged) and not budget.take(len(data))):
                self.beyond.add(key)
            elif self.store.is_own(file.student, data):
                self.own.add(key)
                self._note_untouched(key, data)
            elif not isinstance(data, Damaged) and self.store.sealed_for(data) == file.within and file.within:
                self._question(file, data)
            elif file.another or (not file.fits and self.store.is_of_another_set(data)):
                self.other_sets.add(key)
            elif not isinstance(data, Damaged) and len(data) <= _LARGEST_REMEMBERED:
                self._remember(file, data)

    def _note_untouched(self, key: Key, data: bytes | Damaged) -> None:
        if not isinstance(data, Damaged) and is_untouched(data):
            self.untouched.add(key)

    def _remember(self, file: FoundFile, data: bytes) -> None:
        """Keep a small notebook that says of nobody that it is theirs, in case the student's own is blank."""
        mine = [key for key, (student, _) in self.nobodys.items() if student == file.student.id]
        if not file.fits and len(mine) < _MOST_REMEMBERED and self.store.may_be_own(file.student, data):
            self.nobodys[file.key] = file.student.id, data

    def _question(self, file: FoundFile, data: bytes) -> None:
        """Keep another student's own paper, under that student's name, for a person to decide on."""
        self.others.add(file.key)
        who = told_of(file.student)
        why = Question(QuestionKind.WITHIN_ANOTHERS, file.student.id)
        if self.store.keep_questioned(file.within, data, why, file.stamp.time):
            note = said("collecting.within_another", file=visible_path(file.key[0]), who=who, owner=file.within)
        else:
            rest = not_listed(file.within)
            name = visible_path(file.key[0])
            note = said("collecting.within_another_not_kept", file=name, who=who, owner=file.within, rest=rest)
        self.notes.append(note)

    def choice(self, files: Sequence[FoundFile], notes: list[str]) -> Iterator[FoundFile]:
        """Yield the files that are taken, the latest last."""
        who = told_of(files[0].student)
        name = self.store.set_name
        own = [one for one in files if one.key in self.own]
        passed = self.own | self.other_sets | self.beyond | self.others
        others = [one for one in files if one.key not in passed and not one.another]
        fitting = [one for one in others if one.fits]
        if not own and len(others) == 1:
            fitting = others
        taken = _latest(fitting) + _latest(own)
        if not taken and others:
            listed = tuple(visible_path(one.key[0][-1:]) for one in others[:NAMED])
            notes.append(said("collecting.none_named", who=who, count=len(others), files=listed, name=name))
        beyond = [one for one in files if one.key in self.beyond]
        if beyond:
            notes.append(said("collecting.beyond", who=who, files=_listed(beyond)))
        here = {one.key for one in taken}
        older = [one for one in (*own, *fitting) if one.key not in here]
        if older:
            count, most = len(own) + len(others), _MOST_OF_ONE_STUDENT
            notes.append(said("collecting.only_latest", who=who, count=count, most=most, files=_listed(older)))
        odd = [one for one in others if taken and not one.fits and one.key not in here]
        if taken and taken[-1].key in self.untouched:
            # Whoever hands in a blank notebook and another beside it may have answered in that one.
            beside = [one for one in odd if one.key in self.nobodys and self._asked(one)]
            odd = [one for one in odd if one not in beside]
            if beside:
                notes.append(said("collecting.beside_blank", who=who, files=_listed(beside)))
        if odd:
            notes.append(said("collecting.oddly_named", who=who, name=name, files=_listed(odd)))
        yield from taken

    def _asked(self, file: FoundFile) -> bool:
        data = self.nobodys[file.key][1]
        return self.store.keep_questioned(file.student.id, data, Question(QuestionKind.NOT_OWN), file.stamp.time)


def _latest(files: Sequence[FoundFile]) -> list[FoundFile]:
    return sorted(files, key=lambda one: (one.stamp.time, one.inner.time, _natural(one)))[-_MOST_OF_ONE_STUDENT:]


def _natural(one: FoundFile) -> list[tuple[int, str]]:
    """A name so that week-3 (10) comes behind week-3 (9), and that behind week-3."""
    pieces = re.findall(r"\d{1,18}|\D+|\d+", notebook_stem(one.key[0][-1]))
    return [(int(piece), "") if piece.isdecimal() and len(piece) <= 18 else (-1, piece) for piece in pieces]


def _listed(files: Sequence[FoundFile]) -> Fact:
    listed = tuple(visible_path(one.key[0]) for one in files[:NAMED])
    if len(files) <= NAMED:
        return fact("collecting.files", files=listed)
    return fact("collecting.files_more", files=listed, count=f"{len(files) - NAMED:,}")
