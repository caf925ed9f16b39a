"""The notebook that nbgrader's formgrader shows: made from our records, with nothing of the student's but text.

nbgrader shows Markdown and outputs of a submitted notebook as they are; so neither gets into this one.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.text_files import replace_file
from calclib.collecting.receipts import copy_receipts
from calclib.errors.unseen import unseen_shown
from calclib.gradebook.notebook import answer_places, notebook_bytes, prints_rules, recorded_problem, render_notebook
from calclib.records.part_marks import PartMark
from calclib.records.sealed import SealedPaper, SealedSet
from calclib.records.set_aside import reason_of
from calclib.records.set_aside_facts import for_the_student
from calclib.wording.messages import recorded_message
from calclib.wording.sentences import sentence


@dataclass(frozen=True)
class Printed:
    """The rules that can cost marks, a sentence each, and the same on one line."""

    rules: Sequence[str] = ()
    costs: str = ""


def write_autograded(
    where: ClassFolder,
    sealed: SealedSet,
    student: str,
    paper: SealedPaper,
    marks: Sequence[PartMark],
    printed: Printed,
) -> None:
    """Write the notebook that the formgrader shows into the class folder, with the receipts of the submission."""
    path = where.autograded(sealed.name, student)
    # The notebook comes last: a run that finds it takes what belongs to it for written.
    copy_receipts(where.submitted(sealed.name, student).parent, path.parent)
    replace_file(path, autograded_notebook(sealed, paper, marks, printed))


def tells(where: ClassFolder, sealed: SealedSet, student: str, printed: Printed) -> bool:
    """Return whether the notebook that the formgrader shows is there, and prints these rules.

    Args:
        where: The class folder.
        sealed: The set.
        student: The student's id.
        printed: The rules by which it is marked.
    """
    return prints_rules(where.autograded(sealed.name, student), sealed.title, printed.rules)


def to_rewrite(where: ClassFolder, set_name: str) -> frozenset[str]:
    """Return the pseudonyms of those whose notebooks a run began to write again that was stopped before its end."""
    try:
        return frozenset(json.loads(where.rewriting(set_name).read_bytes()))
    except FileNotFoundError:
        return frozenset()


def note_to_rewrite(where: ClassFolder, set_name: str, names: Collection[str]) -> None:
    """Note, before any of them changes, whose notebooks are written again; nothing is left once there are none.

    The notebooks are written before the marks are kept. Should the run be stopped in between, the next one finds
    whose notebooks tell of marks that never came to be.

    Args:
        where: The class folder.
        set_name: The set.
        names: Their pseudonyms.
    """
    path = where.rewriting(set_name)
    if names:
        replace_file(path, json.dumps(sorted(names)).encode(), lasting=True)
    elif path.is_file():
        path.unlink(missing_ok=True)


def autograded_notebook(sealed: SealedSet, paper: SealedPaper, marks: Sequence[PartMark], printed: Printed) -> bytes:
    """Return the notebook of one student with what was typed as text, and with each verdict below its check cell.

    Args:
        sealed: The set.
        paper: What was handed out to the student.
        marks: The marks of all parts, in the order of the set.
        printed: The rules by which they are marked.
    """
    records = {item.slot: item.record for item in paper.items}
    problems = tuple(
        recorded_problem(slot.number, slot.title, records[slot.number], slot.points) for slot in sealed.slots
    )
    kinds = {s.number: {part: (s.kinds[part], points) for part, points in s.points.items()} for s in sealed.slots}
    found = {(mark.slot, mark.part): mark for mark in marks}
    places = [(place, found[place.slot, place.part]) for place in answer_places(sealed.name, kinds)]
    answers = {p.variable: f"{p.variable} = {json.dumps(m.typed, ensure_ascii=False)}" for p, m in places if m.typed}
    notebook = render_notebook(
        set_name=sealed.name,
        title=sealed.title,
        problems=problems,
        made_for=paper.pseudonym,
        tag=paper.tag,
        answers=answers,
        rules=printed.rules,
        costs=printed.costs,
    )
    verdicts = {place.check_id: mark for place, mark in places}
    for cell in notebook["cells"]:
        mark = verdicts.get(cell["id"])
        if mark is not None:
            cell["outputs"] = _outputs(mark)
    return notebook_bytes(notebook)


def _outputs(mark: PartMark) -> list[dict[str, Any]]:
    # nbgrader's own feedback shows it to the student.
    aside = reason_of(mark)
    message = sentence(for_the_student(aside)) if aside else recorded_message(mark.detail).strip()
    words = "Awaiting review. " if mark.needs_person else ""
    # nbgrader takes a check cell without a number in its output for full marks: here it always finds one.
    score = {"data": {"text/plain": [str(float(mark.earned))]}, "execution_count": None, "metadata": {}}
    return [
        {"name": "stdout", "output_type": "stream", "text": [f"{words}{unseen_shown(message)}\n"]},
        {"output_type": "execute_result", **score},
    ]
