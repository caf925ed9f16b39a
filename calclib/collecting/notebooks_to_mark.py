"""Which notebooks of a student are marked: the latest of each attempt."""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.names import visible
from calclib.class_files.roster import Student
from calclib.collecting.file_owner import told_of
from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.receipts import Receipt, digest_of, read_receipts
from calclib.collecting.stored_submission import stamped, submission_time
from calclib.collecting.submitted_notebook import SubmittedNotebook, read_notebook
from calclib.gradebook.cells import grade_id
from calclib.records.sealed import SealedPaper
from calclib.records.set_aside import SetAsideKind
from calclib.wording import said


@dataclass(frozen=True)
class HandedIn:
    """One notebook with the paper that it answers.

    Attributes:
        paper: The paper.
        data: The notebook, or why it can't be read.
        time: When it was handed in, None where nothing tells.
        receipt: What collecting recorded of it, None where it didn't.
    """

    paper: SealedPaper
    data: bytes | Damaged
    time: dt.datetime | None
    receipt: Receipt | None = None


def submitted_path(where: ClassFolder, set_name: str, student: Student, notes: list[str]) -> Path | None:
    """Return a student's notebook; one that was renamed is taken if it is the only one.

    Args:
        where: The class folder.
        set_name: The set.
        student: The student.
        notes: A sentence is added where faculty should look.
    """
    path = where.submitted(set_name, student.id)
    if os.path.lexists(path):
        return path
    others = sorted(path.parent.glob("*.ipynb")) if path.parent.is_dir() and not path.parent.is_symlink() else []
    if len(others) == 1:
        file, who = visible(others[0].name), told_of(student)
        notes.append(said("collecting.marked_as", who=who, file=file, name=path.name))
        return others[0]
    if others:
        who = told_of(student)
        notes.append(said("collecting.none_named_here", who=who, count=len(others), name=path.name))
    return None


def handed_in(
    where: ClassFolder,
    path: Path,
    papers: Sequence[SealedPaper],
    student: Student,
    taken: Collection[tuple[str, str]] = (),
) -> tuple[HandedIn, ...]:
    """Return the notebook of each attempt, in the order of the attempts.

    With one attempt it is the notebook itself, whatever it holds. With more, each notebook of the student, earlier
    ones among them, belongs to the attempt whose tag it carries; one without belongs to the attempt whose problems it
    shows, or else to the last that was given out by the time when it came in, if a ruling took it or there is no other,
    and is left out else.

    Args:
        where: The class folder.
        path: The student's latest notebook.
        papers: What was handed out to the student, by attempt.
        student: The student.
        taken: Pseudonym and SHA-256 of each notebook that a ruling took although it carries no tag of the student's.
    """
    linked = where.reached_by_link(path)
    data = Damaged(SetAsideKind.BEHIND_LINK) if linked else read_plain_file(path)
    receipts = {} if linked else read_receipts(path.parent)
    time = submission_time(path.with_name("timestamp.txt"))
    if len(papers) == 1:
        return (_with_receipt(HandedIn(papers[0], data, time), receipts),)
    by_tag = {(paper.pseudonym, paper.tag): paper for paper in papers}
    found: dict[int, HandedIn] = {}
    for earlier, at in _earlier(where, papers[0].set_name, student):
        content = read_plain_file(earlier)
        _add(found, by_tag, content, at, _taken_for(papers, content, at, taken))
    _add(found, by_tag, data, time, _taken_for(papers, data, time, taken))
    every = tuple(found[attempt] for attempt in sorted(found)) or (HandedIn(_paper_of(papers, data, time), data, time),)
    return tuple(_with_receipt(one, receipts) for one in every)


def _with_receipt(one: HandedIn, receipts: Mapping[str, Receipt]) -> HandedIn:
    """A hand-in with what is recorded of its own notebook, where anything is."""
    known = None if not receipts or isinstance(one.data, Damaged) else receipts.get(digest_of(one.data))
    if known is None:
        return one
    return replace(one, time=known.time, receipt=known)


def shows_problems_of(notebook: SubmittedNotebook, paper: SealedPaper) -> bool | None:
    """Tell whether any problem that a notebook states is one of a paper; None where it states no problem.

    Args:
        notebook: The notebook.
        paper: What was handed out to the student.
    """
    ids = {grade_id(paper.set_name, f"q{item.slot}", "stem"): item for item in paper.items}
    shown = [(ids[cell.grade_id], cell.source) for cell in notebook.cells if cell.grade_id in ids and cell.source]
    return any(_squeezed(item.record["stem"]) in _squeezed(source) for item, source in shown) if shown else None


def _squeezed(text: str) -> str:
    return "".join(text.split())


def _paper_of(papers: Sequence[SealedPaper], data: bytes | Damaged, time: dt.datetime | None) -> SealedPaper:
    """The attempt that a notebook without a tag belongs to: the one that it shows; else the last by its time."""
    notebook = data if isinstance(data, Damaged) else read_notebook(data)
    shown = () if isinstance(notebook, Damaged) else [one for one in papers if shows_problems_of(notebook, one)]
    if shown:
        return shown[-1]
    before = [paper for paper in papers if time is None or dt.datetime.fromisoformat(paper.made) <= time]
    return before[-1] if before else papers[0]


def _taken_for(
    papers: Sequence[SealedPaper], data: bytes | Damaged, time: dt.datetime | None, taken: Collection[tuple[str, str]]
) -> SealedPaper | None:
    """The attempt to which a notebook without a tag belongs that a ruling took; None for any other."""
    if isinstance(data, Damaged) or not taken:
        return None
    if (papers[0].pseudonym, hashlib.sha256(data).hexdigest()) not in taken:
        return None
    return _paper_of(papers, data, time)


def _add(
    found: dict[int, HandedIn],
    by_tag: dict[tuple[str, str], SealedPaper],
    data: bytes | Damaged,
    time: dt.datetime | None,
    ruled: SealedPaper | None,
) -> None:
    notebook = data if isinstance(data, Damaged) else read_notebook(data)
    tagged = None if isinstance(notebook, Damaged) else by_tag.get((notebook.made_for, notebook.tag))
    paper = tagged or ruled
    if paper is not None:
        found[paper.attempt] = HandedIn(paper, data, time)


def _earlier(where: ClassFolder, set_name: str, student: Student) -> list[tuple[Path, dt.datetime | None]]:
    """The notebooks that lie beside the latest, oldest first."""
    folder = where.earlier(set_name, student.id)
    if where.reached_by_link(folder / "x") or not folder.is_dir():
        return []
    return [(path, stamped(path)) for path in sorted(folder.glob("*.ipynb"))]
