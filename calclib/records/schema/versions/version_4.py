"""Version 4: facts in the place of sentences in items and verdicts, names of events, the worked solution once."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "4"
down_revision = "3"

Record = dict[str, Any]

_RIGHT = {"kind": "verdict.right"}
_WILL_LOOK = {"kind": "verdict.person_will_look"}
# What earlier versions recorded in words.
_RIGHT_SAID = "Right."
_WILL_LOOK_SAID = "A person will look at it."
_REKEYED_SAID, _RULING_SAID = "keyed anew, ", "ruling "


def upgrade() -> None:
    """Turn each recorded sentence into a fact; one whose kind nothing goes by keeps its words as a field."""
    connection = op.get_bind()
    for table in ("calclib_item", "calclib_rekeyed"):
        _rewrite(connection, table, {"record": _item, "faults": _faults, "worked": _worked})
    _rewrite(connection, "calclib_rekeyed", {"notes": _notes})
    _rewrite(connection, "calclib_answer", {"verdict": _verdict})
    _rewrite(connection, "calclib_mark", {"causes": _causes})
    _rewrite(connection, "calclib_history", {"event": _event})


def _rewrite(connection: sa.Connection, name: str, columns: dict[str, Callable[[str], str]]) -> None:
    """Change columns of a table row by row, those rows alone in which one becomes another."""
    table = sa.Table(name, sa.MetaData(), autoload_with=connection)
    keys = [key.name for key in table.primary_key.columns]
    read = connection.execute(sa.select(*(table.c[one] for one in (*keys, *columns)))).mappings().all()
    new = []
    for row in read:
        after = {f"new_{column}": changed(row[column]) for column, changed in columns.items()}
        if any(after[f"new_{column}"] != row[column] for column in columns):
            new.append(after | {f"old_{key}": row[key] for key in keys})
    if new:
        same = (table.c[key] == sa.bindparam(f"old_{key}") for key in keys)
        connection.execute(
            sa.update(table).where(*same).values({one: sa.bindparam(f"new_{one}") for one in columns}), new
        )


def _item(column: str) -> str:
    record = json.loads(column) | {"record": 2}
    # It stands in a column of its own.
    record.pop("worked", None)
    record["why"] = list(map(_fact, record.get("why", [])))
    for part in record.get("parts", []):
        part["accepted"] = [[low, high, _way(by)] for low, high, by in part.get("accepted", [])]
        for name in ("other_exact", "other_choices"):
            if name in part:
                part[name] = [[value, _way(by)] for value, by in part[name]]
    return _json(record)


def _faults(column: str) -> str:
    return "\n".join(_json([_fault(one) for one in json.loads(line)]) for line in column.split("\n")) if column else ""


def _fault(fault: list[Any]) -> list[Any]:
    return [*fault[:3], _fact(fault[3]), *fault[4:]]


def _worked(column: str) -> str:
    worked = json.loads(column)
    return _json({part: list(map(_fact, _lines(lines))) for part, lines in worked.items()})


def _lines(lines: str | list[Any]) -> list[Any]:
    return lines.splitlines() if isinstance(lines, str) else lines


def _notes(column: str) -> str:
    return _json(list(map(_fact, json.loads(column))))


def _verdict(column: str) -> str:
    record = json.loads(column)
    if isinstance(record.get("accepted_by"), str):
        record["accepted_by"] = _way(record["accepted_by"]) if record["accepted_by"] else None
    if "message" in record:
        message = record.pop("message")
        record.setdefault("told", _told(message))
    if "causes" in record:
        record["causes"] = list(map(_cause, record["causes"]))
    reading = record.get("reading")
    if isinstance(reading, dict) and isinstance(reading.get("reason"), str) and reading["reason"]:
        reading["reason"] = _fact(reading["reason"])
    return _json(record)


def _told(message: str) -> list[Record]:
    if message == _RIGHT_SAID:
        return [_RIGHT]
    said = message.removesuffix(_WILL_LOOK_SAID)
    told = [_fact(said.strip())] if said.strip() else []
    return told if said == message else [*told, _WILL_LOOK]


def _causes(column: str) -> str:
    return _json(list(map(_cause, json.loads(column))))


def _cause(cause: Record) -> Record:
    cause = dict(cause)
    said = cause.pop("says", "")
    return cause if "what" in cause else cause | {"what": _fact(said)}


def _event(words: str) -> str:
    return words.replace(" ", "_").replace("-", "")


def _way(by: str | Record) -> Record:
    """How an answer is right; what a person made right is told apart by how its sentence began."""
    if isinstance(by, dict):
        return by
    if by.startswith(_REKEYED_SAID):
        return {"kind": "way.rekeyed", "why": _fact(by.removeprefix(_REKEYED_SAID))}
    return {"kind": "way.rekeyed", "why": _fact(by)} if by.startswith(_RULING_SAID) else _fact(by)


def _fact(said: str | Record) -> Record:
    return {"kind": "recorded.text", "text": said} if isinstance(said, str) else said


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)
