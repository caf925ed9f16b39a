"""What a student wrote near an answer cell that was left blank: such an answer waits for a person, and is never a 0.

Everything counts that wasn't handed out: in a text, raw or code cell of the student's own, in the cells of the problem
itself, in an output, in metadata, as a picture, or anywhere under the answer's name. What was handed out counts
nowhere, nor does what programs keep in a notebook for themselves. A picture may show any answer, wherever it stands: a
photograph of a whole page of working hangs below one problem.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain
from typing import Any, NamedTuple

from calclib.collecting.submitted_notebook import SubmittedNotebook, TypedCell
from calclib.gradebook.cells import checksum
from calclib.gradebook.notebook import AnswerPlace, recorded_problem, render_notebook
from calclib.judging_papers.left_blank.beside_source import PICTURE, Notes, has_picture, shown_beneath
from calclib.judging_papers.left_blank.typed_notes import is_typed_key, lists_answers, reads_as_answer
from calclib.reading import PLACE, says_nothing
from calclib.records.sealed import SealedPaper
from calclib.wording.sentences import said

_SHOWN = 400
# Cells far away are searched for the answer's name up to here.
_MOST_SEARCHED = 200_000
_SAYS_SOMETHING = re.compile(r"[^\W_]")
# Code that every notebook may hold and that answers nothing.
_NO_ANSWER = re.compile(
    r"""\s*(?:
        (?:import|from)\s.* | [%!](?!\s*(?:echo|printf)\b).*
        | (?:start_set|check_answer)\(.*\)
        | (?:print|display|show_answer|help|type)?\s*\(?\s*["']?answer_\d+["']?\s*(?:,[^#]*)?\)?
            | costs=".*",?
        | pass | \.\.\. | None | [)\]}\s]*
    )\s*;?\s*""",
    re.VERBOSE,
)
# A drawing as notebooks print it, alone on its line.
_DRAWING = re.compile(
    r"\s*(?:<img\s[^>]*src=\"data:image/[^>]*>|</?figure[^>]*>|<svg\b.*</svg>|</?svg\b[^>]*>|<br\s*/?>)\s*",
    re.IGNORECASE,
)
_OWN_PICTURE = re.compile(r"<img\s|!\[[^\]\n]{0,200}\]\(", re.IGNORECASE)
_PICTURES = re.compile(r"(?:!\[[^\]\n]{0,200}\]\([^()\n]*\)|<img\s[^<>]*>|\s)+", re.IGNORECASE)
_WORDS_OF_PICTURE = re.compile(r"""!\[([^\]\n]{1,200})\]|(?:alt|title)\s*=\s*["']([^"'<>]{1,400})""", re.IGNORECASE)
# A notebook's own comments, and pieces of them.
_OWN_COMMENTS = re.compile(r"\s*#+\s*(?:-*|your code here|(?:begin|end) solution)\s*", re.IGNORECASE)
_SHORTEST_PIECE = 3
# Programs make ids of cells up from letters and digits; one that speaks of an answer was typed.
_TYPED_ID = re.compile("ans", re.IGNORECASE)
_OF_AN_ANSWER = ("-answer", "-check")
# "My answers are 31 and 125": it isn't said which answers they are, so each blank one may be among them.
_SOME_ANSWER = re.compile(
    r"(?<![A-Za-z0-9_])(?:answers\b[^\n\d.!?;]{0,20}|(?:answer|ans)\b\.?[ \t]{0,3}(?:is|was|:|=)[ \t]{0,3})\d",
    re.IGNORECASE,
)


class OwnLine(NamedTuple):
    """A line that wasn't handed out and says something.

    Args:
        text: The line.
        some_answer: Whether it says that something in it is an answer, outside of the cells of answers.
    """

    text: str
    some_answer: bool


def written_near(
    place: AnswerPlace,
    places: Sequence[AnswerPlace],
    notebook: SubmittedNotebook,
    handed_out: frozenset[str] | None,
    notes: Notes,
    own_lines: Sequence[OwnLine],
    anywhere: Callable[[], str],
) -> str:
    """Return what the student wrote near a blank answer, "" for nothing.

    Args:
        place: The place of the answer.
        places: All places of the set.
        notebook: The notebook.
        handed_out: The lines of the cells that were handed out; None if they aren't known.
        notes: What a person put into the notebook beside the sources of its cells.
        own_lines: The lines of all its cells that weren't handed out, see `lines_of_own`.
        anywhere: Returns what may be any answer, see `written_anywhere`.
    """
    known = handed_out or frozenset()
    cells = notebook.cells
    near = _near(place, places, notebook)
    if handed_out is None:
        near = (n for n in near if cells[n].grade_id == place.answer_id or not _is_ours(cells[n], prefix_of(place)))
    raw = notebook.raw or ({},) * len(cells)
    noted = notes.cells or ((),) * len(cells)
    texts = (_own_text(cells[n], raw[n], noted[n], place, known) for n in near)
    far = chain(_named(place, own_lines), _noted_by_name(place, notebook, notes))
    return next((text[:_SHOWN] for text in chain(texts, far) if text), "") or anywhere()


def written_anywhere(
    places: Sequence[AnswerPlace], notebook: SubmittedNotebook, handed_out: frozenset[str] | None, notes: Notes
) -> str:
    """Return what the student put into a notebook that may be any of its answers, "" for nothing.

    Args:
        places: All places of the set.
        notebook: The notebook.
        handed_out: The lines of the cells that were handed out; None if they aren't known.
        notes: What a person put into the notebook beside the sources of its cells.
    """
    found = chain(
        _own_pictures(places, notebook, handed_out), _listed(places, notebook, handed_out or frozenset(), notes)
    )
    return next((text[:_SHOWN] for text in found if text), "")


def _near(place: AnswerPlace, places: Sequence[AnswerPlace], notebook: SubmittedNotebook) -> Iterator[int]:
    """Where the cells of the problem stand, and the student's own between them and the next problem."""
    problem = {one.slot: one for one in places}
    here = {name for one in places if one.slot == place.slot for name in (one.answer_id, one.check_id)}
    elsewhere = {name for one in places if one.slot != place.slot for name in (one.answer_id, one.check_id)}
    own = (place.answer_id, place.check_id)
    ours = prefix_of(place)
    cells = notebook.cells
    mine = [number for number, cell in enumerate(cells) if cell.grade_id in here]
    if not mine or not problem:
        return
    first, last = min(mine), max(mine)
    # Upward over the stem and the question, to the cells of the problem before.
    start, texts = first, 0
    while start > 0 and cells[start - 1].grade_id not in elsewhere:
        texts += _is_ours(cells[start - 1], ours)
        if texts > 1:
            break
        start -= 1
    end = last
    while end + 1 < len(cells) and not _is_ours(cells[end + 1], ours):
        end += 1
    before_stem = texts > 0
    for number in range(start, end + 1):
        cell = cells[number]
        if cell.grade_id in elsewhere or (cell.grade_id in here and cell.grade_id not in own):
            continue
        # Above the stem it may be the working of the problem before; a number there is worth a look all the same.
        above = before_stem and number < first and not any(_is_ours(cells[n], ours) for n in range(start, number + 1))
        if not above or (start > 0 and any(sign.isdecimal() for sign in cell.source)):
            yield number


def _is_ours(cell: TypedCell, ours: str) -> bool:
    return cell.grade_id.startswith(f"{ours}-")


def prefix_of(place: AnswerPlace) -> str:
    """Return what the ids of all cells of a set begin with.

    Args:
        place: The place of any of its answers.
    """
    ours = place.answer_id.removesuffix("-answer").removesuffix(f"-q{place.slot}-{place.part}")
    return ours if ours != place.answer_id else place.answer_id.rpartition("-")[0]


def _own_text(
    cell: TypedCell, raw: Mapping[str, Any], noted: Sequence[str], place: AnswerPlace, handed_out: frozenset[str]
) -> str:
    """What of a cell wasn't handed out and says something."""
    lines = [] if _is_as_handed_out(cell, raw) else cell.source.split("\n")
    if cell.grade_id == place.answer_id:
        # What stands there behind a # was looked at by the reader of answer cells.
        lines = [line.partition("#")[0] for line in lines]
    known = handed_out | set(place.blank.split("\n"))
    is_ours = _is_ours(cell, prefix_of(place))
    own = [
        line.strip() for line in lines if line.strip() not in known and _says_something(line, cell.kind, ours=is_ours)
    ]
    if own and not says_nothing(" ".join(own)):
        written = "\n".join(own)
        return PICTURE if _is_picture_alone(written) else written
    found = chain(shown_beneath(raw, is_check=cell.grade_id.endswith("-check")), noted)
    return next(found, PICTURE if raw.get("attachments") else "")


def _is_picture_alone(text: str) -> bool:
    """Whether a text is a picture and nothing else, and the words that stand for it are no answer."""
    said_of_it = (one for words in _WORDS_OF_PICTURE.findall(text) for one in words)
    return bool(_PICTURES.fullmatch(text)) and not any(map(reads_as_answer, said_of_it))


def _is_as_handed_out(cell: TypedCell, raw: Mapping[str, Any]) -> bool:
    """Whether a cell has the sum that it was handed out with; what is recorded of it may be re-keyed since."""
    try:
        return bool(raw["metadata"]["nbgrader"]["checksum"] == checksum({**raw, "source": cell.source}))
    except (KeyError, TypeError, ValueError):
        return False


def _says_something(line: str, kind: str, *, ours: bool = False) -> bool:
    if not _SAYS_SOMETHING.search(line) or (ours and _DRAWING.fullmatch(line)):
        return False
    if kind != "code":
        return True
    if _NO_ANSWER.fullmatch(line) or _OWN_COMMENTS.fullmatch(line) or _assigns_nothing(line):
        return False
    bare = line.strip(" \t\r#").rstrip(".")
    return not (line.lstrip().startswith("#") and len(bare) >= _SHORTEST_PIECE and bare in PLACE)


_ASSIGNED = re.compile(r"""\s*\#?\s*answer_\d+\s*=(?P<value>.*?);?\s*(?:\#\s*)?""")


def _assigns_nothing(line: str) -> bool:
    """Whether a line gives an answer no text: “answer_3 = ""”, spaces between the quotes, a stroke."""
    found = _ASSIGNED.fullmatch(line)
    if found is None:
        return False
    value = found["value"].strip().strip("\"'")
    return value == "None" or not _SAYS_SOMETHING.search(value) or says_nothing(value)


# A text that says of which answer it is.
_SOME_NAME = re.compile(
    r"(?<![A-Za-z0-9])(?:answer|ans|question|problem|prob|number|no|nr|q|#)[ \t_#.:-]{0,3}\d", re.IGNORECASE
)


@lru_cache(maxsize=1_000)
def _under_its_name(variable: str, slot: int) -> re.Pattern[str]:
    """The answer's own name, or the number of its problem, as people write them, with what follows."""
    number, between = re.escape(variable.rpartition("_")[2]), r"[ \t]{0,3}[_#.:-]?[ \t]{0,3}"
    problem = r"(?:question|problem|prob|number|num|no|nr|item|exercise|ex|q|\#)"
    names = rf"(?:answer|ans|a){between}{number}|{problem}{between}{slot}"
    # An item of a list: "2) 31 gtt/min", "- (2) 31", "2. 31", "2 = 31", "1: 8 mL, 2: 31"; not "2.5 mL", nor "2 - 1".
    item = rf"(?:^[ \t>#*-]*|[,;][ \t]*|\band[ \t]+)\(?(?:{number}|{slot})(?:[).:](?![0-9])|[ \t]{{0,3}}=)"
    names = rf"(?<![A-Za-z0-9])(?:{names})(?![0-9])|{item}"
    return re.compile(rf"(?:{names})(?P<rest>[^\n]*)", re.IGNORECASE | re.MULTILINE)


def lines_of_own(notebook: SubmittedNotebook, handed_out: frozenset[str] | None) -> Iterator[OwnLine]:
    """Yield the lines of a notebook's cells that weren't handed out and say something, up to a bound.

    Args:
        notebook: The notebook.
        handed_out: The lines of the cells that were handed out; None if they aren't known.
    """
    known = handed_out or frozenset()
    left = _MOST_SEARCHED
    for cell in notebook.cells:
        left -= len(cell.source)
        if left < 0:
            return
        of_answer = cell.grade_id.endswith(_OF_AN_ANSWER)
        for line in cell.source.split("\n"):
            if line.strip() not in known and _says_something(line, cell.kind):
                yield OwnLine(line, not of_answer and bool(_SOME_ANSWER.search(line)))


def _named(place: AnswerPlace, own_lines: Sequence[OwnLine]) -> Iterator[str]:
    """What stands under the answer's name anywhere, or as some answer outside of the cells of answers."""
    name = _under_its_name(place.variable, place.slot)
    for line in own_lines:
        found = name.search(line.text)
        if line.some_answer or (found and _SAYS_SOMETHING.search(found["rest"])):
            yield line.text.strip()


def _noted_by_name(place: AnswerPlace, notebook: SubmittedNotebook, notes: Notes) -> Iterator[str]:
    """What stands under the answer's name, or as some answer, in the metadata of the notebook or of any cell."""
    name, ours = _under_its_name(place.variable, place.slot), prefix_of(place)
    ids = (cell.grade_id for cell in notebook.cells if not _is_ours(cell, ours))
    named = (one for one in ids if _TYPED_ID.search(one))
    # What is noted of the notebook stands near no answer, so that it may be any of them.
    unnamed = (text for text in notes.beside if not _SOME_NAME.search(text))
    yield from (text for text in unnamed if is_typed_key(text) or any(map(reads_as_answer, text.split(": "))))
    for text in chain(notes.beside, chain.from_iterable(notes.cells), named):
        found = name.search(text)
        if _SOME_ANSWER.search(text) or (found and _SAYS_SOMETHING.search(found["rest"])):
            yield text


# "2) 31 gtt/min": an answer that says of which problem it is.
_ITEM = re.compile(r"[ \t>#*-]*\(?\d{1,3}(?:[).:](?!\d)|[ \t]{0,3}=)")


_KEPT_BY_PROGRAMS = ("calclib: ", "nbgrader: ")


def _listed(
    places: Sequence[AnswerPlace], notebook: SubmittedNotebook, handed_out: frozenset[str], notes: Notes
) -> Iterator[str]:
    """Answers without their numbers outside of all problems, or in metadata, where half of the answers are blank.

    "25 gtt/min, 31 mL/h" at the top of an empty notebook is a student's answers, whichever they belong to.
    """
    blanks = {place.answer_id: place.blank for place in places}
    if 2 * sum(blanks.get(cell.grade_id) == cell.source for cell in notebook.cells) < len(places):
        return
    problems = f"{prefix_of(places[0])}-q"
    at = [number for number, cell in enumerate(notebook.cells) if cell.grade_id.startswith(problems)]
    outside = [n for n in range(len(notebook.cells)) if not at or not min(at) <= n <= max(at)]
    for cell in (notebook.cells[n] for n in outside):
        lines = (line.strip() for line in cell.source.split("\n") if line.strip() not in handed_out)
        yield from (line for line in lines if not _is_numbered(line) and lists_answers(line))
    noted = chain(notes.beside, *(notes.cells[n] for n in outside if notes.cells))
    for text in noted:
        # Whoever changes what we or nbgrader keep ("calclib: score: 100") forges, and answers nothing.
        forged = text.startswith(_KEPT_BY_PROGRAMS) and not reads_as_answer(text)
        if not forged and not _is_numbered(text) and lists_answers(text.rpartition(": ")[2]):
            yield text


def _is_numbered(text: str) -> bool:
    return bool(_ITEM.match(text) or _SOME_NAME.search(text))


def _own_pictures(
    places: Sequence[AnswerPlace], notebook: SubmittedNotebook, handed_out: frozenset[str] | None
) -> Iterator[str]:
    """A picture or a file of the student's own, such as a photograph of the work, which may show any answer."""
    ours = prefix_of(places[0])
    for cell, raw in zip(notebook.cells, notebook.raw, strict=False):
        is_ours = _is_ours(cell, ours)
        pasted = cell.kind == "markdown" and _OWN_PICTURE.search(cell.source)
        known = is_ours and (handed_out is None or not _pasted_into(cell, raw, handed_out))
        if has_picture(raw, with_widgets=not is_ours) or (pasted and not known):
            yield PICTURE


def _pasted_into(cell: TypedCell, raw: Mapping[str, Any], handed_out: frozenset[str]) -> bool:
    """Whether a picture was put into the text of a cell that was handed out."""
    # A drawing that was handed out stands alone on its line.
    lines = (line for line in cell.source.split("\n") if _OWN_PICTURE.search(line) and not _DRAWING.fullmatch(line))
    return any(line.strip() not in handed_out for line in lines) and not _is_as_handed_out(cell, raw)


def handed_out_lines(paper: SealedPaper) -> frozenset[str]:
    """Return the lines of all cells of a paper as they were handed out, its title and pictures apart."""
    problems = tuple(recorded_problem(item.slot, "", item.record, {}) for item in paper.items)
    cells = render_notebook(set_name=paper.set_name, title="", problems=problems)["cells"]
    # Earlier versions printed a stem as it was, its signs not written as letters.
    texts = (*(cell["source"] for cell in cells), *(problem.stem for problem in problems))
    before = said("handing_out.how_to_answer_before")
    return frozenset(line.strip() for text in (*texts, before) for line in text.split("\n"))
