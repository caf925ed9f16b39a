"""What students handed in through nbgrader's exchange, each hand-in with the account that really made it.

nbgrader names a hand-in ACCOUNT+SET+TIME+RANDOM and lets any account choose that name; so it is the owner of the files
that tells whose it is.
"""

from __future__ import annotations

import datetime as dt
import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.roster import Roster, Student, account_of
from calclib.collecting.file_owner import told_of
from calclib.collecting.incoming_file import Incoming, Stamp
from calclib.collecting.plain_file import read_plain_file
from calclib.collecting.receipts import copy_secret
from calclib.collecting.stored_submission import Store, submission_time
from calclib.records.questioned import Question, QuestionKind, keep_questioned, not_listed
from calclib.wording import said

# A clock may be a little off; more than that between the name and the file system is worth a look.
_ODD = dt.timedelta(hours=1)


@dataclass(frozen=True)
class HandIn:
    """One hand-in: its folder in the exchange, the student whose account made it, and when."""

    path: Path
    student: Student
    time: dt.datetime


@dataclass(frozen=True)
class Forged:
    """A hand-in, or a notebook in one, in the name of a student that another account made."""

    path: Path
    student: Student
    owner: str
    time: dt.datetime

    def note(self, *, kept: bool) -> str:
        """What is said of it when it is collected, and is kept for review or isn't."""
        who, owner = told_of(self.student), visible(self.owner)
        if kept:
            return said("collecting.other_account", who=who, owner=owner, name=self.student.name)
        file, time, rest = visible(self.path.name), _minute(self.time), not_listed(who)
        return said("collecting.other_account_not_kept", who=who, owner=owner, file=file, time=time, rest=rest)


def inbound_folder(source: Path, course: str) -> Path | None:
    """Return the folder of hand-ins, if `source` is an exchange that holds the course."""
    folder = source / course / "inbound"
    return folder if folder.is_dir() else None


def hand_ins(inbound: Path, set_name: str, roster: Roster, *, now: dt.datetime) -> Iterator[HandIn | Forged | str]:
    """Yield the hand-ins of a set, oldest first, each that is another's, and a sentence for whatever else is amiss.

    Args:
        inbound: The folder of hand-ins.
        set_name: The set.
        roster: The class.
        now: The time; no hand-in is taken as later than that.
    """
    accounts: dict[str, list[Student]] = {}
    for student in roster.students:
        accounts.setdefault(account_of(student), []).append(student)
    found: list[HandIn] = []
    for path in sorted(inbound.iterdir()):
        # An account's name may hold a plus sign; a set's name and what follows it hold none.
        words = path.name.rsplit("+", 3) if path.name.count("+") > 2 else path.name.rsplit("+", 2)
        if len(words) < 3 or words[1] != set_name:
            continue
        one = _hand_in(path, words, accounts, now)
        if not isinstance(one, HandIn):
            yield one
        else:
            found.append(one)
            state = path.lstat()
            there = dt.datetime.fromtimestamp(state.st_ctime, dt.UTC)
            if there - one.time > _ODD:
                who = told_of(one.student)
                yield said("collecting.odd_time", who=who, said=_minute(one.time), there=_minute(there))
    yield from sorted(found, key=lambda one: one.time)


def _hand_in(
    path: Path, words: list[str], accounts: dict[str, list[Student]], now: dt.datetime
) -> HandIn | Forged | str:
    state = path.lstat()
    file = visible(path.name)
    if not stat.S_ISDIR(state.st_mode):
        return said("collecting.hand_in_no_folder", file=file)
    students = accounts.get(words[0], [])
    if not students:
        return said("collecting.hand_in_strangers", file=file)
    if len(students) > 1:
        return said("collecting.hand_in_could_be", file=file, students=tuple(map(told_of, students)))
    student = students[0]
    owner = _owner(state)
    there = dt.datetime.fromtimestamp(state.st_ctime, dt.UTC)
    if owner != words[0]:
        return Forged(path, student, owner, min(there, now))
    return HandIn(path, student, min(_time(words[2]) or there, now))


def exchange_notebooks(inbound: Path, set_name: str, roster: Roster, *, now: dt.datetime) -> Iterator[Incoming | str]:
    """Yield the notebooks of the hand-ins of a set, and a sentence for what is amiss; not what others made."""
    for one in _notebooks(inbound, set_name, roster, now=now):
        if not isinstance(one, Forged):
            yield one


def keep_forged(store: Store, inbound: Path, roster: Roster, *, now: dt.datetime) -> Iterator[str]:
    """Keep the notebooks that one account handed in under another's name, for a person to look at; say of each."""
    where, set_name = store.where, store.set_name
    for one in _notebooks(inbound, set_name, roster, now=now):
        if isinstance(one, Forged):
            try:
                paths = sorted(one.path.glob("*.ipynb")) if one.path.is_dir() else [one.path]
            except OSError:
                paths = []
            notebooks = [data for path in paths if isinstance(data := read_plain_file(path), bytes)]
            account = account_of(one.student)
            why = Question(QuestionKind.OTHER_ACCOUNT, one.owner, account, readable=bool(notebooks))
            settled = store.settled.get(one.student.id, frozenset())
            kept = [
                keep_questioned(where, set_name, one.student.id, data, why, one.time, settled=settled)
                for data in notebooks or [one.path.name.encode()]
            ]
            yield one.note(kept=all(kept))


def _notebooks(inbound: Path, set_name: str, roster: Roster, *, now: dt.datetime) -> Iterator[Incoming | Forged | str]:
    for one in hand_ins(inbound, set_name, roster, now=now):
        if not isinstance(one, HandIn):
            yield one
            continue
        owner = account_of(one.student)
        try:
            entries = sorted(os.scandir(one.path), key=lambda entry: entry.name)
        except OSError as error:
            who, closed = told_of(one.student), str(one.path)
            yield said("collecting.hand_in_closed", who=who, file=closed, error=str(error.strerror))
            continue
        for entry in entries:
            if not entry.name.endswith(".ipynb"):
                continue
            state = entry.stat(follow_symlinks=False)
            if not stat.S_ISREG(state.st_mode):
                yield said("collecting.hand_in_no_file", file=visible(entry.name), who=told_of(one.student))
            elif _owner(state) != owner:
                # nbgrader leaves the folder open for others to write into, if they know its name.
                yield Forged(Path(entry.path), one.student, _owner(state), one.time)
            else:
                file = Path(entry.path)
                parts = (one.student.id, f"{one.time:%Y%m%dT%H%M%S.%fZ}", entry.name)
                yield Incoming(parts, Stamp(one.time), partial(read_plain_file, file), one.student)


def keep_secrets(where: ClassFolder, inbound: Path, set_name: str, roster: Roster, *, now: dt.datetime) -> None:
    """Store beside each student's notebook the secret by which nbgrader hands feedback back to its hand-in."""
    for one in hand_ins(inbound, set_name, roster, now=now):
        if isinstance(one, HandIn):
            folder = where.submitted(set_name, one.student.id).parent
            if submission_time(folder / "timestamp.txt") == one.time:
                copy_secret(one.path, folder)


def _owner(state: os.stat_result) -> str:
    import pwd

    try:
        return pwd.getpwuid(state.st_uid).pw_name
    except KeyError:
        return f"number {state.st_uid}"


def _time(text: str) -> dt.datetime | None:
    try:
        day, clock, zone = text.split()
        time = dt.datetime.fromisoformat(f"{day} {clock}")
    except ValueError:
        return None
    return time.replace(tzinfo=dt.UTC) if zone == "UTC" and time.tzinfo is None else None


def _minute(time: dt.datetime) -> str:
    return said("time.moment", at=time.astimezone(dt.UTC).isoformat())
