"""Hand-ins in a student's name that aren't, or may not be, the student's: kept apart, unmarked, until a person decides.

Each is the notebook as it came in and, beside it, why it is questioned. Nothing in this folder is ever marked.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.text_files import replace_file
from calclib.records.rulings import Ruling

# Whoever floods another's name with hand-ins fills no disk.
_MOST_OF_ONE_STUDENT = 20
_SIGN = 8


@dataclass(frozen=True)
class Questioned:
    """One such hand-in.

    Attributes:
        student: Id of the student in whose name it came.
        sign: The first letters of its SHA-256, by which a person names it.
        reason: Why it is questioned, as a sentence.
        time: When it was handed in.
        path: The notebook in the class folder.
        owner: Name of the account that made it, "" where that isn't known.
    """

    student: str
    sign: str
    reason: str
    time: dt.datetime
    path: Path
    owner: str = ""


def keep_questioned(
    where: ClassFolder, set_name: str, student: str, data: bytes, reason: str, time: dt.datetime, owner: str = ""
) -> None:
    """Keep a hand-in that a person must look at; a second time nothing changes.

    Args:
        where: The class folder.
        set_name: The set.
        student: Id of the student in whose name it came.
        data: The notebook as it came in.
        reason: Why it is questioned, as a sentence.
        time: When it was handed in.
        owner: Name of the account that made it.
    """
    folder = where.questioned(set_name, student)
    if where.reached_by_link(folder / "x"):
        return
    sign = hashlib.sha256(data).hexdigest()[:_SIGN]
    known = [path.stem for path in folder.glob("*.json")] if folder.is_dir() else []
    if sign in known or len(known) >= _MOST_OF_ONE_STUDENT:
        return
    replace_file(folder / f"{sign}.ipynb", data, mode=0o600)
    about = {"reason": reason, "time": time.astimezone(dt.UTC).isoformat(timespec="seconds"), "owner": owner}
    replace_file(folder / f"{sign}.json", json.dumps(about, ensure_ascii=False).encode(), mode=0o600)


def questioned_hand_ins(where: ClassFolder, set_name: str, rulings: Iterable[Ruling]) -> tuple[Questioned, ...]:
    """Return the hand-ins of a set that nobody decided on yet, by student.

    Args:
        where: The class folder.
        set_name: The set.
        rulings: The rulings in force.
    """
    decided = {ruling.value["sign"] for ruling in rulings if ruling.kind == "hand_in"}
    found = []
    for path in sorted(where.path.glob(f"questioned/*/{set_name}/*.json")):
        if path.stem not in decided and not path.is_symlink() and not where.reached_by_link(path):
            about = json.loads(path.read_text(encoding="utf-8"))
            time = dt.datetime.fromisoformat(about["time"])
            student = path.parent.parent.name
            notebook = path.with_suffix(".ipynb")
            found.append(Questioned(student, path.stem, about["reason"], time, notebook, about["owner"]))
    return tuple(found)


def forget_owner(where: ClassFolder, accounts: Collection[str]) -> None:
    """Take accounts out of what is said of hand-ins in others' names."""
    for path in where.path.glob("questioned/*/*/*.json"):
        if path.is_symlink() or where.reached_by_link(path):
            continue
        about = json.loads(path.read_text(encoding="utf-8"))
        if about["owner"] in accounts:
            reason = about["reason"].replace(f"the account '{about['owner']}'", "another account")
            replace_file(path, json.dumps({**about, "reason": reason, "owner": ""}).encode(), mode=0o600)
