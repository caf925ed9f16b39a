"""Erase a student: identity, typed text and files go; pseudonymous marks stay for statistics."""

from __future__ import annotations

import datetime as dt
import json
import os
import re
import shutil
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from sqlalchemy import Connection, delete, select, update
from sqlalchemy.exc import OperationalError

from calclib.class_files.class_folder import ClassFolder, class_folder
from calclib.class_files.names import is_student_id, plain, student_id, visible
from calclib.class_files.roster import Roster, read_roster, roster_to_text
from calclib.class_files.secrets_file import read_secret
from calclib.class_files.text_files import replace_file, sweep_unfinished
from calclib.errors import BadInput, CalclibError
from calclib.gradebook.opening import gradebook_transaction, open_gradebook
from calclib.gradebook.student_rows import delete_student, has_student
from calclib.records.coaching import forget_words
from calclib.records.history import EventKind, write_history
from calclib.records.people import forget_person, pseudonym_of
from calclib.records.questioned import forget_owner
from calclib.records.tables import ANSWER, HISTORY, RULING, SET, SET_ASIDE
from calclib.releasing.erasing.holds import Despite, holds
from calclib.releasing.erasing.mentions import Mentions
from calclib.releasing.sign_off import name_of_signer
from calclib.wording.facts import ERASED_TEXT, Fact, fact

FOLDERS = ("release", "submissions", "earlier", "questioned", "autograded", "feedback", "plans")
"""Folders of the class folder that hold one for each student."""

# What else of the class folder is the class's own; "gradebook.db" brings journals beside it.
_OF_THE_CLASS = ("blueprints", "solutions", "source", "reports", "gradebook-copies", "notices")
_FILES_OF_THE_CLASS = re.compile(
    r"roster\.csv|class\.toml|standing\.toml|course-secret\.txt|nbgrader_config\.py|gradebook\.db.*|\..*"
    r"|(?:rewriting|taking)-.*\.json|erasing\.json"
)
_MOST_FOREIGN = 10


@dataclass(frozen=True)
class _Order:
    """What is to be erased, as it is recorded before the first step.

    Attributes:
        student: The student's id.
        names: The names by which others may speak of the student.
        account: Name of the account on the hub, "" if it is the id.
        at: When it was asked for.
        folders: Kinds of folders of the student.
        reports: Names of the class reports.
        copies: Names of the copies of the gradebook.
        despite: Who erased although something held it back, and why; empty if nothing did.
    """

    student: str
    names: tuple[str, ...]
    account: str
    at: str
    folders: tuple[str, ...]
    reports: tuple[str, ...]
    copies: tuple[str, ...]
    despite: tuple[str, ...] = ()


@dataclass(frozen=True)
class Erased:
    """What was erased, and what a person has to look at.

    Attributes:
        folders: Kinds of folders of the student.
        reports: Class reports that held the student.
        copies: Copies of the gradebook that did.
        foreign: What lies in the class folder and is none of its own, such as an exported table; some of it.
    """

    folders: tuple[str, ...]
    reports: tuple[str, ...]
    copies: tuple[str, ...]
    foreign: tuple[str, ...] = ()


def erase(folder: Path, student: str, *, now: dt.datetime, despite: Despite | None = None) -> Erased:
    """Erase one student from a class.

    The pseudonym, the sealed draws, the verdicts and the history stay; nothing but the course secret together with the
    id could tie them to the student again, and an id that is added again later gets a fresh
    pseudonym. What is to be erased is recorded before anything is, and struck off at the end: another run after an
    interruption, also of another command, erases what is left.

    Args:
        folder: The class folder.
        student: The student's id.
        now: The time that is recorded.
        despite: Who erases although an appeal is open or the school still keeps the records, and why.

    Raises:
        BadInput: there is nothing of such a student, or something holds the erasure back.
    """
    where = class_folder(folder)
    roster = read_roster(where.roster)
    if not is_student_id(student):
        raise BadInput(fact("errors_releasing.no_id", student=visible(student), advice=_meant(student, roster)))
    name = student_id(student)
    unfinished = _recorded(where)
    if unfinished is not None and unfinished.student == name:
        return _carried_out(where, unfinished)
    finish_erasure(where)
    order = _order(where, roster, name, now)
    with gradebook_transaction(where) as connection:
        held = holds(connection, where, name, now)
    if held and despite is None:
        raise BadInput(fact("errors_releasing.erasure_held", student=visible(name), why=held[0]))
    if despite is not None:
        order = replace(order, despite=(name_of_signer(despite.by), despite.reason))
    replace_file(where.erasing, json.dumps(asdict(order), ensure_ascii=False).encode(), mode=0o600, lasting=True)
    return _carried_out(where, order)


def finish_erasure(where: ClassFolder) -> None:
    """Carry out what is left of an erasure that was interrupted."""
    unfinished = _recorded(where)
    if unfinished is not None:
        _carried_out(where, unfinished)


def _order(where: ClassFolder, roster: Roster, student: str, now: dt.datetime) -> _Order:
    folders = tuple(kind for kind in FOLDERS if os.path.lexists(where.path / kind / student))
    mine = next((one for one in roster.students if one.id == student), None)
    with gradebook_transaction(where) as connection:
        known = pseudonym_of(connection, student) is not None or has_student(connection, student)
    if not (known or folders or mine):
        raise BadInput(
            fact("errors_releasing.nothing_of_student", student=visible(student), advice=_meant(student, roster))
        )
    others = {name.casefold() for one in roster.students if one.id != student for name in (one.name, one.lms_name)}
    return _Order(
        student=student,
        # A name that somebody else has too says nothing of the one who is erased.
        names=tuple(one for one in (mine.name, mine.lms_name) if one and one.casefold() not in others) if mine else (),
        account=mine.hub_user if mine else "",
        at=now.isoformat(timespec="seconds"),
        folders=folders,
        reports=tuple(sorted(path.name for path in (where.path / "reports").glob("*.html"))),
        copies=tuple(sorted(path.name for path in where.gradebook_copies.glob("*.db"))),
    )


def _recorded(where: ClassFolder) -> _Order | None:
    try:
        found = json.loads(where.erasing.read_bytes())
        lists = {name: tuple(found[name]) for name in ("names", "folders", "reports", "copies")}
        lists["despite"] = tuple(found.get("despite", ()))
        return _Order(**{**found, **lists})
    except FileNotFoundError:
        return None
    except (ValueError, KeyError, TypeError):
        raise BadInput(fact("errors_releasing.erasing_damaged")) from None


def _carried_out(where: ClassFolder, order: _Order) -> Erased:
    """Do every step; each leaves nothing more to do if it is done twice."""
    mentions = Mentions(order.student, (order.account,) if order.account else (), order.names)
    with gradebook_transaction(where) as connection:
        # Once it is gone from the rows, nothing tells any more what stands on others' pages.
        mentions.scrub_files(where, mentions.written_about(connection))
        _erase_rows(connection, order, read_secret(where.secret), mentions)
    roster = read_roster(where.roster)
    rest = tuple(one for one in roster.students if one.id != order.student)
    if len(rest) < len(roster.students):
        replace_file(where.roster, roster_to_text(Roster(rest)).encode(), lasting=True)
    for kind in FOLDERS:
        _remove(where, kind, order.student)
    forget_owner(where, {order.student, order.account} - {""})
    mentions.scrub_files(where)
    for folder in (where.path / "reports", where.notices, where.gradebook_copies):
        shutil.rmtree(folder, ignore_errors=True)
    sweep_unfinished(where.path)
    _forget_deleted(where)
    where.erasing.unlink(missing_ok=True)
    return Erased(order.folders, order.reports, order.copies, _foreign(where))


def _foreign(where: ClassFolder) -> tuple[str, ...]:
    """What somebody put into the class folder beside what is the class's own."""
    own = {*FOLDERS, *_OF_THE_CLASS}
    found = (one for one in sorted(where.path.iterdir()) if one.name not in own)
    foreign = (one for one in found if one.is_dir() or not _FILES_OF_THE_CLASS.fullmatch(one.name))
    return tuple(visible(one.name) for one in foreign)[:_MOST_FOREIGN]


def _meant(student: str, roster: Roster) -> Fact:
    """Advice for whoever gave a name in place of an id."""
    words = plain(student)
    ids = [one.id for one in roster.students if words and words in (plain(one.name), plain(one.lms_name))]
    return fact("errors_releasing.give_one_of", ids=tuple(ids)) if ids else fact("errors_releasing.give_the_id")


def _erase_rows(connection: Connection, order: _Order, secret: bytes, mentions: Mentions) -> None:
    student, now = order.student, dt.datetime.fromisoformat(order.at)
    delete_student(connection, student)
    name = pseudonym_of(connection, student)
    if name is None:
        mentions.scrub_rows(connection)
        return
    for table in (ANSWER, SET_ASIDE):
        connection.execute(delete(table).where(table.c.pseudonym == name))
    _scrub_rulings(connection, name)
    forget_words(connection, name)
    mentions.scrub_rows(connection)
    forget_person(connection, secret, student)
    # A reason that names the student would bring the name back.
    detail = dict(zip(("by", "note"), map(mentions.without_ids, order.despite), strict=False))
    for set_name in connection.execute(select(SET.c.name)).scalars().all():
        write_history(
            connection, at=now, kind=EventKind.IDENTITY_ERASED, set_name=set_name, pseudonym=name, detail=detail
        )


def _scrub_rulings(connection: Connection, pseudonym: str) -> None:
    """Take reasons and typed texts, also as hashes that could be tried out, out of rulings on the student alone.

    Of other rulings the reason goes where it names the student.
    """
    for row in connection.execute(select(RULING)).all():
        of_student, names = row.pseudonym == pseudonym, row.names.split()
        if not (of_student or pseudonym in names):
            continue
        value = _without_texts(json.loads(row.value)) if of_student else json.loads(row.value)
        same = (RULING.c.set_name == row.set_name, RULING.c.number == row.number)
        written = json.dumps(value, ensure_ascii=False, sort_keys=True)
        left = " ".join(name for name in names if name != pseudonym)
        connection.execute(update(RULING).where(*same).values(reason=ERASED_TEXT, value=written, names=left))
    # The history tells an accepted text; which ruling it was, and of which problem, stays.
    mine = (HISTORY.c.pseudonym == pseudonym, HISTORY.c.event == EventKind.RULED.value)
    for line in connection.execute(select(HISTORY).where(*mine)).all():
        detail = json.loads(line.detail)
        written = json.dumps({**detail, "value": _without_texts(detail["value"])}, ensure_ascii=False, sort_keys=True)
        connection.execute(update(HISTORY).where(HISTORY.c.id == line.id).values(detail=written))


def _without_texts(value: Mapping[str, str]) -> dict[str, str]:
    return {key: ERASED_TEXT if key in ("text", "typed") else text for key, text in value.items()}


def _remove(where: ClassFolder, kind: str, student: str) -> bool:
    path = where.path / kind / student
    if path.is_symlink():
        path.unlink()
        return True
    if not path.exists():
        return False
    shutil.rmtree(path)
    return True


def _forget_deleted(where: ClassFolder) -> None:
    """SQLite keeps deleted rows in its file until it is packed."""
    with open_gradebook(where) as gradebook:
        if gradebook.engine.dialect.name == "sqlite":
            with gradebook.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
                try:
                    connection.exec_driver_sql("VACUUM")
                except OperationalError as error:
                    raise CalclibError(fact("errors_releasing.not_packed", error=str(error.orig))) from None
