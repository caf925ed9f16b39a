"""One page of feedback a student: each question with what was typed, how it was read, and how it is worked."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calclib.answers import can_run, recorded_run
from calclib.class_files import ClassFolder, class_folder
from calclib.class_files.text_files import replace_file
from calclib.gradebook import PartResult, SetResults, StudentResult, attempt_in_words, set_results
from calclib.gradebook.attempt_results import AttemptResult, attempt_results, attempt_score
from calclib.gradebook.standing import standing_told
from calclib.items import item_from_record
from calclib.items.item import recorded_pictures
from calclib.items.part_names import own_name
from calclib.judging_papers import rulings_noted
from calclib.pages.appeal import appeal_in_words
from calclib.pages.templating import page, pictures_of
from calclib.pages.times import late_in_words
from calclib.quantity.writing import percent_text, points_text
from calclib.records import (
    Ruling,
    SealedItem,
    SealedPaper,
    Slot,
    on_the_whole,
    policies_in_words,
    reading,
    ruled_on,
    ruling_fact,
    sealed_paper,
)
from calclib.records.people import pseudonyms
from calclib.records.set_aside_facts import for_the_student
from calclib.records.set_times import time_in_words, zone_of
from calclib.releasing.erasing.erase import finish_erasure
from calclib.wording import Fact, fact, said, sentence
from calclib.wording.messages import is_right_alone, recorded_message

Progress = Callable[[int, int, str], None]

# Sign and words together, so that nothing hangs on color.
_SIGNS = {"ok": "✓", "part": "½", "no": "✗", "wait": "…", "ruled": "•"}
# Those that say how many points an answer gets, whatever the judge made of it.
_GIVING = ("answer", "credit")


@dataclass(frozen=True)
class WrittenFeedback:
    """Which pages were written: the file of each student by id, and the students without a marked notebook."""

    pages: Mapping[str, Path]
    without: tuple[str, ...]


def write_feedback(folder: Path, set_name: str, *, progress: Progress | None = None) -> WrittenFeedback:
    """Write a page for each student whose notebook was marked; a page that hasn't changed is left as it is.

    Args:
        folder: The class folder.
        set_name: The set.
        progress: Called with the number done, the number in all and the student's name.

    Raises:
        BadInput: no such set was handed out, or the class folder is wrong.
    """
    where = class_folder(folder)
    finish_erasure(where)
    results = set_results(where, set_name)
    pages: dict[str, Path] = {}
    with reading(where) as connection:
        words = policies_in_words(connection, results.sealed)
        attempts = attempt_results(connection, results)
        for done, one in enumerate(results.marked, start=1):
            paper = sealed_paper(connection, set_name, one.pseudonym, one.attempt, faults=False)
            path = where.feedback(set_name, one.student.id)
            replace_file(path, feedback_page(results, one, paper, words, attempts.get(one.student.id, ())))
            pages[one.student.id] = path
            if progress:
                progress(done, len(results.marked), one.student.name)
    for student in _erased_since(where, pages):
        shutil.rmtree(where.path / "feedback" / student, ignore_errors=True)
        del pages[student]
    return WrittenFeedback(pages, tuple(student.id for student in results.missing))


def _erased_since(where: ClassFolder, students: Iterable[str]) -> list[str]:
    """Who was erased while the pages were written: what was written after that goes too."""
    with reading(where) as connection:
        known = pseudonyms(connection)
    return [student for student in students if student not in known]


def feedback_page(
    results: SetResults,
    one: StudentResult,
    paper: SealedPaper | None,
    words: Mapping[str, str],
    attempts: Sequence[AttemptResult] = (),
) -> bytes:
    """Return one student's page.

    Args:
        results: The results of the set.
        one: The student's result.
        paper: What was handed out to the student.
        words: What the rounding and the marking policy say, by "rounding" and "marking".
        attempts: Every marked attempt of the student.
    """
    waiting = sum(part.open for part in one.parts)
    slots, zone = {slot.number: slot for slot in results.sealed.slots}, zone_of(results.sealed)
    shown = () if paper is None or one.aside else paper.items
    problems = [_problem(item, one, slots[item.slot], results.rulings) for item in shown]
    return page(
        "feedback.html",
        {
            "title": results.sealed.title,
            "name": one.student.name,
            "handed_in": time_in_words(one.time, zone) if one.time else "",
            "late": late_in_words(results.sealed, one, zone),
            "attempt": " ".join(filter(None, (attempt_in_words(results.sealed, one), _attempts_in_words(attempts)))),
            "percent": percent_text(results.percent(one)),
            "earned": points_text(one.earned),
            "points": points_text(results.sealed.points),
            "penalty": points_text(one.penalty) if one.penalty else "",
            "verdict": sentence(standing_told(results, one)),
            "aside": sentence(for_the_student(one.aside)) if one.aside else "",
            "open": one.open,
            # A notebook that nobody has looked at has no score yet, not one of 0.
            "undecided": bool(one.aside) and one.open,
            "rulings": [_ruled(ruling, results.sealed.slots) for ruling in _rulings(results, one)],
            "waiting": waiting,
            "problems": problems,
            "appeal": appeal_in_words(results.sealed),
            "pictures": any(problem["pictures"] or problem["runs"] for problem in problems),
            **words,
        },
    )


def _attempts_in_words(attempts: Sequence[AttemptResult]) -> str:
    if len(attempts) < 2:
        return ""
    told = tuple(fact("attempt.score_of", number=each.attempt, score=attempt_score(each)) for each in attempts)
    return said("attempt.scores", scores=told)


def _problem(item: SealedItem, one: StudentResult, slot: Slot, rulings: Sequence[Ruling]) -> dict[str, Any]:
    results = {part.mark.part: part for part in one.parts if part.mark.slot == item.slot}
    record = item.record
    known = [part for part in record["parts"] if part["name"] in results]
    parts = [
        _part(part, results[part["name"]], item.worked(part["name"]), rulings)
        | _place(slot, part["name"])
        | _run(record, part["name"], results[part["name"]])
        for part in known
    ]
    tone = _tone_of_all({part["tone"] for part in parts})
    return {
        "number": item.slot,
        "stem": record["stem"],
        "pictures": pictures_of(recorded_pictures(record)),
        "caution": record.get("caution", ""),
        "parts": parts,
        "runs": any(part["run"] for part in parts),
        "tone": tone,
        "sign": _SIGNS[tone],
    }


def _run(record: Mapping[str, Any], part: str, result: PartResult) -> dict[str, Any]:
    """What the infusion would do at a wrong number, once the mark is final: in words, and as a plot of them."""
    mark = result.mark
    reading = mark.detail.get("reading") or {}
    if result.open or mark.right or not reading.get("value") or not _can_run(record, part):
        return {"run": "", "run_picture": ""}
    found = recorded_run(item_from_record(record), part, reading)
    if found is None:
        return {"run": "", "run_picture": ""}
    from calclib.plots import compared_html

    return {"run": found[1], "run_picture": compared_html(*found)}


def _can_run(record: Mapping[str, Any], part: str) -> bool:
    return can_run(record["model"][0], own_name(record, part))


def _place(slot: Slot, part: str) -> dict[str, str]:
    return {"place": slot.place(part) if len(slot.points) > 1 else ""}


def _tone_of_all(tones: set[str]) -> str:
    """The tone of a problem from those of its parts; points by a ruling don't make it right."""
    if len(tones) == 1:
        return next(iter(tones))
    return "wait" if "wait" in tones else "ruled" if tones == {"ok", "ruled"} else "part"


def _part(
    part: Mapping[str, Any], result: PartResult, worked: Iterable[Fact], rulings: Sequence[Ruling]
) -> dict[str, Any]:
    mark = result.mark
    tone, label = tone_of(result)
    read = mark.detail.get("reading") or {}
    shown = read.get("shown") or ""
    message = "" if is_right_alone(mark.detail) else recorded_message(mark.detail, looked_at=not result.open)
    return {
        "asked": part["asked"],
        "typed": mark.typed,
        "read": shown if shown != mark.typed else "",
        "answer": part["answer"],
        "message": message,
        "comment": result.comment,
        "rulings": [_ruling(ruling) for ruling in rulings_noted(mark, rulings)],
        "sources": sorted({notice["source"] for notice in mark.notices}),
        "worked": [sentence(line) for line in worked],
        "tone": tone,
        "sign": _SIGNS[tone],
        "label": label,
        "earned": points_text(result.earned),
        "points": points_text(mark.points),
    }


def tone_of(result: PartResult) -> tuple[str, str]:
    """Return the tone ("ok", "part", "no", "wait", "ruled") and a word or two for one answer as it stands."""
    mark = result.mark
    if result.open:
        return "wait", said("feedback.label_waits")
    if not mark.points:
        return "ruled", said("feedback.label_does_not_count")
    given = _given_by(result)
    if given and not (mark.right and result.earned >= mark.points):
        return "ruled", sentence(given)
    if result.earned >= mark.points:
        carried = mark.verdict == "carried_forward"
        return "ok", said("feedback.label_carried" if carried else "feedback.label_right")
    if result.earned > 0:
        return "part", said("feedback.label_part")
    if mark.verdict == "blank":
        return "no", said("feedback.label_no_answer")
    return "no", said("feedback.label_right_without_points" if mark.right else "feedback.label_not_right")


def _given_by(result: PartResult) -> Fact | None:
    """How many points were given, and by whom; None where they are the judge's own."""
    if result.manual is not None or result.extra:
        return fact("feedback.by_hand", points=_points(result))
    if any(one.get("kind") in _GIVING for one in result.mark.detail.get("rulings", ())):
        return fact("feedback.by_ruling", points=_points(result))
    return None


def _points(result: PartResult) -> Fact:
    if result.earned >= result.mark.points:
        return fact("feedback.full_points")
    if not result.earned:
        return fact("feedback.no_points")
    return fact("feedback.some_points", points=points_text(result.earned))


def _rulings(results: SetResults, one: StudentResult) -> list[Ruling]:
    """Those on the whole set or notebook, and where no problem is shown those on answers too."""
    whole = on_the_whole(results.rulings, one.pseudonym, one.submission)
    answers = {note["number"] for part in one.parts for note in part.mark.detail.get("rulings", ()) if one.aside}
    return [ruling for ruling in results.rulings if ruling in whole or ruling.number in answers]


def _ruled(ruling: Ruling, slots: Iterable[Slot]) -> str:
    of_notebook = ruling.kind in ("take", "leave", "hand_in", "time")
    about = fact("feedback.notebook") if of_notebook else ruled_on(ruling, slots)
    day, what = fact("ruling.day", at=ruling.at), ruling_fact(ruling)
    return said("feedback.ruling_on", day=day, about=about, what=what, reason=ruling.reason)


def _ruling(ruling: Ruling) -> str:
    day, what = fact("ruling.day", at=ruling.at), ruling_fact(ruling)
    return said("feedback.ruling", day=day, what=what, reason=ruling.reason)
