"""Where others' records, files and rulings speak of a student: taken out when the student is erased."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable, Sequence
from functools import cached_property

from sqlalchemy import Connection, select, update

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.text_files import replace_file
from calclib.gradebook.student_rows import comments_on_others, rewrite_comments
from calclib.records.coaching import WORDED
from calclib.records.history import EventKind
from calclib.records.tables import ANSWER, HISTORY, RULING, SET_ASIDE
from calclib.wording import said
from calclib.wording.facts import ERASED_NAME

_SHORTEST_NAME = 3
# Ids hold these, so that "ben" isn't found in "ben.x" and "ben@north".
_OF_AN_ID = r"[A-Za-z0-9_@-]"
# What of a file of others' is gone through.
_FILES = ("autograded/*/*/*.ipynb", "feedback/*/*/*.html", "plans/*/*/*.html", "questioned/*/*/*.json")
# Events in whose detail a person writes.
_WORDED = (*WORDED, EventKind.SIGNED_OFF, EventKind.IDENTITY_ERASED)


class Mentions:
    """Finds a student's names in what is said of others.

    Args:
        student: The student's id.
        accounts: Names of accounts on the hub.
        names: The names on the roster.
    """

    def __init__(self, student: str, accounts: Sequence[str], names: Sequence[str]) -> None:
        self._student, self._accounts = student, accounts
        self._names = sorted((name for name in names if len(name) >= _SHORTEST_NAME), key=len, reverse=True)

    @cached_property
    def _ids(self) -> re.Pattern[str]:
        ids = "|".join(re.escape(one) for one in (self._student, *self._accounts))
        return re.compile(rf"(?<!{_OF_AN_ID})(?<!\.)(?:{ids})(?!{_OF_AN_ID})(?!\.{_OF_AN_ID})")

    def without(self, text: str, written: Callable[[str], str] = str, instead: str = ERASED_NAME) -> str:
        """Return a text in which no name of the student is left.

        Args:
            text: The text.
            written: How a name is written in such a text.
            instead: What stands in its place; in what is recorded, a sign that is put in words when it is told.
        """
        for name in self._names:
            text = re.sub(rf"(?<!\w){re.escape(written(name))}(?!\w)", instead, text, flags=re.IGNORECASE)
        return text

    def without_ids(self, text: str, instead: str = ERASED_NAME) -> str:
        """Return what a person wrote, in which neither a name nor an id of the student is left.

        Args:
            text: The text.
            instead: What stands in their place, see `without`.
        """
        return self._ids.sub(instead, self.without(text, instead=instead))

    def scrub_rows(self, connection: Connection) -> None:
        """Take the student out of what is recorded of others."""
        for table, column, change in (
            (SET_ASIDE, SET_ASIDE.c.reason, self._without_in_json),
            (ANSWER, ANSWER.c.verdict, self._without_in_json),
            (RULING, RULING.c.reason, self.without_ids),
            (RULING, RULING.c.ruled_by, self.without_ids),
            (HISTORY, HISTORY.c.detail, self._without_in_json),
        ):
            keys = [*table.primary_key.columns]
            for row in connection.execute(select(*keys, column.label("said"))).all():
                left = change(row.said)
                if left != row.said:
                    same = (key == getattr(row, key.name) for key in keys)
                    connection.execute(update(table).where(*same).values({column.name: left}))

        former = said("report.former_student")
        rewrite_comments(connection, lambda text: self.without_ids(text, former))
        self._scrub_talks(connection)

    def written_about(self, connection: Connection) -> tuple[str, ...]:
        """Return what faculty wrote of others that speaks of the student: it stands on others' pages too."""
        rulings = connection.execute(select(RULING.c.reason, RULING.c.ruled_by)).all()
        texts = (*(text for row in rulings for text in row), *comments_on_others(connection, self._student))
        return tuple(sorted({text for text in texts if self.without_ids(text) != text}, key=len, reverse=True))

    def _scrub_talks(self, connection: Connection) -> None:
        """Take the student's ids out of what was written about others; their names are gone already."""
        written = HISTORY.c.event.in_([kind.value for kind in _WORDED])
        for row in connection.execute(select(HISTORY.c.id, HISTORY.c.detail).where(written)).all():
            detail = json.loads(row.detail)
            found = {key: self.without_ids(one) if isinstance(one, str) else one for key, one in detail.items()}
            text = json.dumps(found, ensure_ascii=False, sort_keys=True)
            if text != row.detail:
                connection.execute(update(HISTORY).where(HISTORY.c.id == row.id).values(detail=text))

    def _without_in_json(self, text: str) -> str:
        return self.without(text, _in_json)

    def scrub_files(self, where: ClassFolder, written_about: Sequence[str] = ()) -> None:
        """Take the student out of the files that were written for others.

        Args:
            where: The class folder.
            written_about: What faculty wrote that speaks of the student; an id, which may be a word of any page, is
                looked for there alone.
        """
        for pattern in _FILES:
            written = _in_html if pattern.endswith("html") else _in_json
            # Pages and notebooks are read as they are; the rest is a record.
            instead = ERASED_NAME if pattern.endswith("json") else said("report.former_student")
            for path in where.path.glob(pattern):
                if path.is_file() and not path.is_symlink() and not where.reached_by_link(path):
                    data = path.read_bytes()
                    text = data.decode("utf-8", "surrogateescape")
                    for one in written_about:
                        text = text.replace(written(one), written(self.without_ids(one, instead)))
                    # A script or an alternative text may hold a name with its quotes as they are.
                    text = self.without(self.without(text, written, instead), instead=instead)
                    changed = text.encode("utf-8", "surrogateescape")
                    if changed != data:
                        replace_file(path, changed, lasting=True)


def _in_html(name: str) -> str:
    # As templates write it: quotes are numbers there.
    return html.escape(name, quote=False).replace("'", "&#39;").replace('"', "&#34;")


def _in_json(name: str) -> str:
    return json.dumps(name, ensure_ascii=False)[1:-1]
