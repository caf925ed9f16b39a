"""Version 3: kinds and fields in the place of sentences: rulings, events, notebooks set aside, questioned hand-ins."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from alembic import context, op

revision = "3"
down_revision = "2"

Record = dict[str, Any]

# Sentences of notebooks that were set aside, each with its kind; a group is what the kind needs beside.
_SET_ASIDE = (
    (r"The notebook was made for student (?P<owner>.+)\.", "another student"),
    (r"The notebook was made for (?:somebody else|another student)\.", "another student"),
    (r"The notebook doesn't say for whom it was made: .*", "nobody's"),
    (r"The notebook belongs to another set\.", "another set"),
    (r"The notebook is another version than the one that was handed out to this student\.", "another version"),
    (r"The notebook states other problems than this student's own\.", "other problems"),
    (r"The notebook isn't a plain file\.", "no plain file"),
    (r"The notebook can't be opened \((?P<about>.*)\)\.", "can't be opened"),
    (r"The notebook is larger than (?P<about>\d+) MB\.", "too large"),
    (r"The notebook lies behind a link, not in a folder\.", "behind a link"),
    (r"The notebook is damaged within the zip\.", "damaged in its zip"),
    (r"The notebook is an empty file\.", "empty"),
    (r"The notebook has more parts than a notebook can have\.", "too many parts"),
    (r"The notebook is nested too deeply to be a notebook\.", "too deep"),
    (
        r"The notebook isn't well-formed \((?P<about>.*)\): it was cut off or changed outside of Jupyter\.",
        "not well-formed",
    ),
    (r"The notebook isn't a notebook\.", "no notebook"),
    (r"The notebook is in an older notebook format: .*", "older format"),
    (r"The notebook is in another notebook format: .*", "other format"),
    (r"The notebook has no cells\.", "no cells"),
    (r"The notebook has more than (?P<about>\d+) cells\.", "too many cells"),
    (
        r"The notebook couldn't be marked because of an error in this program \((?P<about>.*)\)\.",
        "error in the program",
    ),
)
_EVENTS = {"dropped": "released", "keyed anew": "re-keyed"}
_DETAILS = {"handed in anew": "resubmitted", "not fair": "unfair"}
_OTHER_ACCOUNT = re.compile(
    r"Made by (?:the account '(?P<owner>.*)'|another account), not by (?P<account>.*?)"
    r"(?P<unreadable>; it holds no notebook that can be read)?\."
)
_NOT_OWN = "It isn't the notebook that was handed out to this student, and the student's own came in too."


def upgrade() -> None:
    """Turn what was recorded as a sentence into its kind and fields."""
    connection = op.get_bind()
    people = {row.student_id: row.pseudonym for row in connection.execute(sa.text("SELECT * FROM calclib_person"))}
    op.add_column("calclib_ruling", sa.Column("names", sa.Text, nullable=False, server_default=""))
    _rewrite(connection, "calclib_ruling", "reason", lambda row: _named(row.reason, people), into="names")
    _rewrite(connection, "calclib_set_aside", "reason", lambda row: _reason_column(row.reason, people))
    _rewrite(connection, "calclib_answer", "verdict", lambda row: _answer_column(row.verdict, people))
    _history(connection)
    _questioned(context.config.attributes["folder"])


def _rewrite(
    connection: sa.Connection, name: str, column: str, changed: Callable[[Any], str], *, into: str = ""
) -> None:
    """Change one column of a table row by row, those rows alone in which it becomes another."""
    table = sa.Table(name, sa.MetaData(), autoload_with=connection)
    into = into or column
    keys = [key.name for key in table.primary_key.columns]
    rows = connection.execute(sa.select(*(table.c[one] for one in dict.fromkeys((*keys, column, into))))).all()
    found = ((row, changed(row)) for row in rows)
    new = [
        {"new": value} | {f"old_{key}": getattr(row, key) for key in keys}
        for row, value in found
        if value != getattr(row, into)
    ]
    if new:
        same = (table.c[key] == sa.bindparam(f"old_{key}") for key in keys)
        connection.execute(sa.update(table).where(*same).values({into: sa.bindparam("new")}), new)


def _named(reason: str, people: Mapping[str, str]) -> str:
    words = reason.casefold()
    named = (id_ for id_ in sorted(people) if re.search(rf"(?<!\w){re.escape(id_.casefold())}(?!\w)", words))
    return " ".join(people[id_] for id_ in named)


def _reason(sentence: str, people: Mapping[str, str]) -> Record:
    for pattern, kind in _SET_ASIDE:
        if found := re.fullmatch(pattern, sentence, re.DOTALL):
            fields = found.groupdict()
            made_for = people.get(fields.get("owner") or "", "")
            more = {"about": fields.get("about") or "", "made_for": made_for}
            return {"kind": kind} | {name: text for name, text in more.items() if text}
    return {"kind": "sentence", "about": sentence} if sentence else {"kind": "sentence"}


def _reason_column(reason: str, people: Mapping[str, str]) -> str:
    # No sentence begins with a brace.
    return reason if reason.startswith("{") else _json(_reason(reason, people), sort=True)


def _answer_column(verdict: str, people: Mapping[str, str]) -> str:
    record = json.loads(verdict)
    before = json.dumps(record)
    if record.get("verdict") == "set_aside" and "set_aside" not in record:
        record["set_aside"] = _reason(record.pop("message", ""), people)
    if "rulings" in record:
        record["rulings"] = [{"number": note["number"], "kind": note["kind"]} for note in record["rulings"]]
    if passed := re.match(r"Ruling (\d+) ", str(record.get("ruling_passed_over", ""))):
        record["ruling_passed_over"] = int(passed[1])
    return verdict if json.dumps(record) == before else _json(record)


def _history(connection: sa.Connection) -> None:
    rulings = {
        (row.set_name, row.number): {
            "kind": row.kind,
            "slot": row.slot,
            "part": row.part,
            "value": json.loads(row.value),
        }
        for row in connection.execute(sa.text("SELECT * FROM calclib_ruling"))
    }
    history = sa.table("calclib_history", *map(sa.column, ("id", "event", "set_name", "detail")))
    new = []
    for row in connection.execute(sa.select(history)).all():
        event = _EVENTS.get(row.event, row.event)
        detail = json.loads(row.detail)
        if isinstance(detail, dict):
            detail = {_DETAILS.get(name, name): value for name, value in detail.items()}
            if event == "ruled" and "says" in detail:
                detail = _ruled(detail, rulings.get((row.set_name, detail["ruling"])))
        written = _json(detail, sort=True)
        if (event, written) != (row.event, row.detail):
            new.append({"old": row.id, "event": event, "detail": written})
    if new:
        connection.execute(
            sa.update(history)
            .where(history.c.id == sa.bindparam("old"))
            .values(event=sa.bindparam("event"), detail=sa.bindparam("detail")),
            new,
        )


def _ruled(detail: Record, ruling: Record | None) -> Record:
    """A ruling that was made; of one that went with its set, what was told of it."""
    if ruling is None:
        told = {"says": detail["says"], "about": detail["about"]}
        ruling = {"kind": "recorded", "slot": 0, "part": "", "value": told}
    return {"ruling": detail["ruling"], **ruling}


def _questioned(folder: Path) -> None:
    for path in sorted(folder.glob("questioned/*/*/*.json")):
        if path.is_symlink() or any(one.is_symlink() for one in list(path.parents)[:3]):
            continue
        about = json.loads(path.read_text("utf-8"))
        if "kind" in about:
            continue
        unfinished = path.with_name(f".{path.name}.unfinished")
        unfinished.write_text(_json({**_question(about["reason"]), "time": about["time"]}), "utf-8")
        unfinished.chmod(0o600)
        os.replace(unfinished, path)  # noqa: PTH105 - whole or not at all


def _question(reason: str) -> Record:
    if found := _OTHER_ACCOUNT.fullmatch(reason):
        kind, owner, account = "other account", found["owner"] or "", found["account"]
        return {"kind": kind, "owner": owner, "account": account, "readable": not found["unreadable"]}
    if reason == _NOT_OWN:
        return {"kind": "not the student's own", "owner": "", "account": "", "readable": True}
    return {"kind": "sentence", "owner": "", "account": reason, "readable": True}


def _json(value: object, *, sort: bool = False) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=sort)
