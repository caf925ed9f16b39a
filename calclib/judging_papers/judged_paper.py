"""One student's paper, judged: from the bytes of the notebook and the sealed record to the marks.

Nothing here touches a database or a clock: the same notebook and record give the same marks anywhere.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from calclib.collecting.notebooks_to_mark import shows_problems_of
from calclib.collecting.plain_file import Damaged
from calclib.collecting.submitted_notebook import SubmittedNotebook, read_notebook
from calclib.gradebook.notebook import AnswerPlace, answer_places
from calclib.judging_papers.bound_answers import Typed, Unclear, bind_answers
from calclib.judging_papers.left_blank.class_pictures import without_pictures
from calclib.judging_papers.left_blank.own_writing import handed_out_lines, prefix_of
from calclib.judging_papers.recorded_item import recorded_item
from calclib.judging_papers.ruling_effects import accepting_by_rulings, ruled
from calclib.records.part_marks import Fails, PartMark
from calclib.records.rulings.ruling import Ruling
from calclib.records.sealed import SealedPaper, SealedSet
from calclib.records.set_aside import SetAsideKind, SetAsideReason
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from calclib.answers import MarkingPolicy, PartVerdict
    from calclib.judging_papers.key_sources import KeySources


@dataclass(frozen=True)
class Basis:
    """What a set is judged by, beside the record of each student's items.

    Attributes:
        marking: What each verdict is worth.
        keys: The item models and rounding policies, to judge a later part from a student's own value of an earlier one.
        rulings: The rulings in force, in the order in which they were made.
        pictures: The signs of pictures that are no student's own, see `class_pictures`.
    """

    marking: MarkingPolicy
    keys: KeySources
    rulings: tuple[Ruling, ...] = ()
    pictures: frozenset[str] = frozenset()


@dataclass(frozen=True)
class JudgedPaper:
    """What became of one notebook.

    Attributes:
        submission: SHA-256 of the notebook.
        marks: One for each part; where the notebook was set aside all are 0 and wait for a person.
        aside: Why the notebook was set aside, None if it wasn't.
        untouched: Ids of answer cells in which nothing was typed.
    """

    submission: str
    marks: tuple[PartMark, ...]
    aside: SetAsideReason | None
    untouched: frozenset[str]


def places_of(sealed: SealedSet) -> tuple[AnswerPlace, ...]:
    """Return the places of all answers of a sealed set."""
    return answer_places(
        sealed.name,
        {
            slot.number: {part: (slot.kinds[part], points) for part, points in slot.points.items()}
            for slot in sealed.slots
        },
    )


def judge_paper(
    data: bytes | Damaged,
    paper: SealedPaper,
    places: Sequence[AnswerPlace],
    basis: Basis,
) -> JudgedPaper:
    """Judge a submitted notebook by what was sealed for the student.

    Args:
        data: The notebook's bytes, or why there are none.
        paper: What was handed out to the student whose folder the notebook lies in.
        places: The places of the answers, see `places_of`.
        basis: What verdicts are worth, and what carries a wrong earlier part forward.
    """
    digest = hashlib.sha256(b"" if isinstance(data, Damaged) else data).hexdigest()
    notebook = data if isinstance(data, Damaged) else read_notebook(data)
    reason = _why_aside(notebook, paper)
    mine = (ruling for ruling in basis.rulings if ruling.pseudonym in ("", paper.pseudonym))
    # A ruling on a notebook holds until another is handed in.
    rulings = tuple(
        ruling
        for ruling in mine
        if ruling.value.get("submission", digest) == digest and ruling.in_attempt(paper.attempt)
    )
    if isinstance(notebook, Damaged) or (reason and not _taken(digest, rulings)):
        assert reason is not None, "a notebook that can't be read has its reason"
        waiting = (_waiting(place, "set_aside", "", {"set_aside": reason.to_record()}) for place in places)
        marks = tuple(ruled(mark, rulings, paper.pseudonym) for mark in waiting)
        return JudgedPaper(digest, marks, reason, frozenset())
    if basis.pictures and places:
        notebook = without_pictures(notebook, basis.pictures, prefix_of(places[0]))
    bound = bind_answers(notebook, places, lambda: handed_out_lines(paper))
    judged = _marks(paper, places, bound, basis, rulings)
    marks = judged
    if rulings:
        at = {place.answer_id: place for place in places}
        marks = tuple(_ruled(at[mark.answer_cell], mark, rulings, paper.pseudonym) for mark in judged)
    pairs = zip(places, bound, strict=True)
    blank = {place.answer_id for place, found in pairs if isinstance(found, Typed) and not found.text}
    return JudgedPaper(digest, marks, None, frozenset(blank))


def _taken(digest: str, rulings: Sequence[Ruling]) -> bool:
    return any(ruling.takes == digest for ruling in rulings)


def _why_aside(notebook: SubmittedNotebook | Damaged, paper: SealedPaper) -> SetAsideReason | None:
    if isinstance(notebook, Damaged):
        return SetAsideReason(notebook.kind, notebook.about)
    if not notebook.made_for and not notebook.set_name:
        return SetAsideReason(SetAsideKind.NOBODYS)
    if notebook.set_name != paper.set_name:
        return SetAsideReason(SetAsideKind.OTHER_SET)
    if notebook.made_for != paper.pseudonym:
        return SetAsideReason(SetAsideKind.OTHER_STUDENT, made_for=notebook.made_for)
    if notebook.tag != paper.tag:
        return SetAsideReason(SetAsideKind.OTHER_VERSION)
    # A notebook that states no problem at all is taken for the student's own.
    others = shows_problems_of(notebook, paper) is False
    return SetAsideReason(SetAsideKind.OTHER_PROBLEMS) if others else None


def _marks(
    paper: SealedPaper,
    places: Sequence[AnswerPlace],
    bound: Sequence[Typed | Unclear],
    basis: Basis,
    rulings: Sequence[Ruling],
) -> tuple[PartMark, ...]:
    from calclib.answers.judging_by_keys import judge_keyed

    found = {(place.slot, place.part): one for place, one in zip(places, bound, strict=True)}
    marks: list[PartMark] = []
    by_slot: dict[int, list[AnswerPlace]] = {}
    for place in places:
        by_slot.setdefault(place.slot, []).append(place)
    for sealed in paper.items:
        here = by_slot[sealed.slot]
        texts = {place.part: _text(found[place.slot, place.part]) for place in here}
        judged: Mapping[str, PartVerdict] | Exception
        try:
            item = recorded_item(sealed, paper.library, basis.keys)
            item = accepting_by_rulings(item, sealed.slot, rulings, paper.pseudonym)
            verdicts = judge_keyed(item, texts, basis.marking, basis.keys.ways(sealed))
            judged = {verdict.part: verdict for verdict in verdicts}
        except Exception as error:  # noqa: BLE001 - whatever one problem sets off, the others are marked
            judged = error
        marks += [_mark(place, found[place.slot, place.part], judged) for place in here]
    return tuple(marks)


def _mark(place: AnswerPlace, answer: Typed | Unclear, judged: Mapping[str, PartVerdict] | Exception) -> PartMark:
    """The mark of one answer; one that an error of this program kept from being judged waits for a person."""
    if isinstance(answer, Unclear):
        verdict = "not_judged" if answer.error else "missing" if answer.missing else "unread"
        error = {"error": answer.error} if answer.error else {}
        return _waiting(place, verdict, answer.text, {"told": [answer.reason.to_record()], **error})
    try:
        if isinstance(judged, Exception):
            raise judged
        return _judged(place, answer.text, judged[place.part])
    except Exception as error:  # noqa: BLE001 - whatever one answer sets off, the others are marked
        return _waiting(place, "not_judged", answer.text, _kept_from_judging(error))


def _ruled(place: AnswerPlace, mark: PartMark, rulings: Sequence[Ruling], pseudonym: str) -> PartMark:
    try:
        return ruled(mark, rulings, pseudonym)
    except Exception as error:  # noqa: BLE001 - whatever one ruling sets off, the other answers are marked
        return _waiting(place, "not_judged", mark.typed, _kept_from_judging(error))


def _kept_from_judging(error: Exception) -> dict[str, Any]:
    kind = type(error).__name__
    return {"told": [fact("verdict.not_judged", error=kind).to_record()], "error": kind}


def _text(found: Typed | Unclear) -> str:
    return found.text if isinstance(found, Typed) else ""


def _judged(place: AnswerPlace, typed: str, verdict: PartVerdict) -> PartMark:
    detail = verdict.to_record()
    return PartMark(
        slot=place.slot,
        part=place.part,
        answer_cell=place.answer_id,
        check_cell=place.check_id,
        verdict=verdict.verdict,
        right=verdict.right,
        critical=verdict.critical,
        fails=Fails.EXAM_WAITS if verdict.fails == Fails.EXAM else verdict.fails,
        score=_share(verdict.score),
        points=place.points,
        needs_person=verdict.needs_person,
        causes=tuple(detail["causes"]),
        notices=tuple(detail["notices"]),
        typed=typed,
        detail=detail,
    )


def _waiting(place: AnswerPlace, verdict: str, typed: str, why: Mapping[str, Any]) -> PartMark:
    return PartMark(
        slot=place.slot,
        part=place.part,
        answer_cell=place.answer_id,
        check_cell=place.check_id,
        verdict=verdict,
        right=False,
        critical=False,
        fails="nothing",
        score=Fraction(0),
        points=place.points,
        needs_person=True,
        causes=(),
        notices=(),
        typed=typed,
        detail={"verdict": verdict, "right": False, **why},
    )


def _share(score: Fraction) -> Fraction:
    """The score, never below 0 or above 1."""
    return score if 0 <= score.numerator <= score.denominator else min(max(score, Fraction(0)), Fraction(1))
