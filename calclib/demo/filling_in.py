"""Simulated students answer a set of a class: their notebooks filled in, in a folder that collecting reads."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from calclib.class_files.kept_files import refuse_kept
from calclib.demo.simulated_students import Planted, TypedAnswer
from calclib.demo.students.figures import NotUnderstoodError
from calclib.errors import BadInput
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.class_files import ClassFolder
    from calclib.demo.handing_in import Place
    from calclib.records import SealedPaper

Progress = Callable[[int, int, str], None]
# Somebody always forgets: this share of a class hands in nothing.
FORGETFUL = 24
# A class that has practiced, most of it near a cut score of 90%. Of the published students, who had not, few pass.
PREPARED = Decimal(3)


def fill_in(
    where: ClassFolder,
    set_name: str,
    target: Path,
    seed: str,
    progress: Progress | None = None,
    *,
    marked_too: bool = False,
    prepared: Decimal = Decimal(0),
) -> dict[tuple[str, int], dict[Place, Planted]]:
    """Type every student's answers into the notebook of the last attempt that was handed out.

    One that is marked already is passed over, so that after a further attempt only those who have it answer.

    Args:
        where: The class folder.
        set_name: The set.
        target: Where the notebooks go, each in a folder with the student's id.
        seed: Decides what the students do; the same text, the same answers.
        progress: Called with the number done, the number in all and the student's name.
        prepared: By how much the class does better than the published one, in logits.
        marked_too: Whether notebooks that are marked already are filled in too, with the same answers.

    Returns:
        What was planted, by pseudonym and attempt: earlier attempts too if `marked_too`.

    Raises:
        BadInput: no such set was handed out.
    """
    from calclib.class_files import read_roster
    from calclib.class_files.names import visible
    from calclib.demo.handing_in import answer_texts, filled_notebook, planted_of, typed_answers, write_submission
    from calclib.items import item_from_record
    from calclib.judging_papers.judged_paper import places_of
    from calclib.records import reading, sealed_papers, sealed_set
    from calclib.records.part_marks import marked_attempts
    from calclib.records.people import pseudonyms

    refuse_kept(target)
    with reading(where) as connection:
        sealed = sealed_set(connection, set_name)
        if sealed is None:
            raise BadInput(fact("errors_records.no_set", name=visible(set_name)))
        papers = _by_student(sealed_papers(connection, set_name))
        names = pseudonyms(connection)
        marked = set() if marked_too else marked_attempts(connection, set_name)
    cells = [((place.slot, place.part), place.answer_id) for place in places_of(sealed)]
    students = read_roster(where.roster).students
    found = {}
    for done, student in enumerate(students, start=1):
        if progress:
            progress(done, len(students), student.name)
        every = papers.get(names.get(student.id, ""), [])
        if done % FORGETFUL == 0 or not every or (every[-1].pseudonym, every[-1].attempt) in marked:
            continue
        answers: dict[Place, TypedAnswer] = {}
        for paper in every if marked_too else every[-1:]:
            # The same student at each attempt, who has learned something by then.
            own_seed = f"{seed}\n{student.id}{f' {paper.attempt}' if paper.attempt > 1 else ''}"
            answers = {}
            for item in paper.items:
                # A problem that no simulated student has learned stays blank.
                with suppress(NotUnderstoodError):
                    answers |= typed_answers(own_seed, {item.slot: item_from_record(item.record)}, prepared=prepared)
            found[paper.pseudonym, paper.attempt] = planted_of(answers)
        notebook = where.rendered(set_name, student.id).read_bytes()
        write_submission(target, set_name, student.id, filled_notebook(notebook, answer_texts(answers, cells)))
    return found


def _by_student(papers: Iterable[SealedPaper]) -> dict[str, list[SealedPaper]]:
    """The papers of each student by pseudonym, in the order of the attempts."""
    found: dict[str, list[SealedPaper]] = {}
    for paper in sorted(papers, key=lambda one: one.attempt):
        found.setdefault(paper.pseudonym, []).append(paper)
    return found
