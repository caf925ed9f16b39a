"""Pictures that are no student's own: those that were handed out, and those that stand in most notebooks of a class.

A photograph of somebody's work keeps blank answers waiting. The school's logo, or a cover sheet that everybody was
told to add, must not: with other numbers for each student, what most of them have answers nothing.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import islice
from typing import Any

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.roster import Student
from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.submitted_notebook import SubmittedNotebook, read_notebook
from calclib.judging_papers.left_blank.beside_source import joined

_FEWEST_STUDENTS = 3
_MOST_PICTURES = 200
# In the bytes of every notebook that holds a picture or a file; others needn't be read as notebooks.
_MAY_HOLD = (b'"attachments"', b'"image/', b"![", b"<img", b"<IMG")
_MARKUP = re.compile(r"<img\s[^<>]{0,2000000}>|!\[[^\]\n]{0,200}\]\([^()\n]{0,2000000}\)", re.IGNORECASE)
_ATTACHED = re.compile(r"attachment:([^)\s\"'>]{1,300})")


def class_pictures(where: ClassFolder, set_name: str, students: Iterable[Student]) -> frozenset[str]:
    """Return the signs of pictures that are no student's own, among those in what a class handed in.

    Args:
        where: The class folder.
        set_name: The set.
        students: The class.
    """
    counts: Counter[str] = Counter()
    students = tuple(students)
    hand_ins = 0
    for student in students:
        path = where.submitted(set_name, student.id)
        if where.reached_by_link(path):
            continue
        data = read_plain_file(path)
        if not isinstance(data, Damaged):
            hand_ins += 1
            counts.update(_signs_in(data))
    common = {sign for sign, count in counts.items() if count >= _FEWEST_STUDENTS and 2 * count > hand_ins}
    others = counts.keys() - common
    return frozenset(common | (_handed_out(where, set_name, students, others) if others else set()))


def without_pictures(notebook: SubmittedNotebook, known: frozenset[str], ours: str) -> SubmittedNotebook:
    """Return a notebook without the pictures that are no student's own.

    Args:
        notebook: The notebook.
        known: The signs of those pictures.
        ours: What the ids of all cells of the set begin with; the sources of these are left as they are.
    """
    cells, raws = [], []
    for cell, raw in zip(notebook.cells, notebook.raw, strict=True):
        source = cell.source
        if not cell.grade_id.startswith(f"{ours}-"):
            signs = _attached(raw)
            source = _MARKUP.sub(
                lambda found: "" if _of_markup(found[0], signs) in known else found[0],  # noqa: B023 - used within this turn
                source,
            )
        cells.append(cell._replace(source=source))
        raws.append(_without(raw, known) if "attachments" in raw or raw.get("outputs") else raw)
    return replace(notebook, cells=tuple(cells), raw=tuple(raws))


def _handed_out(where: ClassFolder, set_name: str, students: Iterable[Student], wanted: Iterable[str]) -> set[str]:
    """Those of some pictures that stand in a notebook as it was handed out."""
    missing, found = set(wanted), set[str]()
    for student in students:
        if not missing:
            break
        path = where.rendered(set_name, student.id)
        data = read_plain_file(path) if path.is_file() else b""
        here = set() if isinstance(data, Damaged) else missing & _signs_in(data)
        found |= here
        missing -= here
    return found


def _signs_in(data: bytes) -> set[str]:
    if not any(one in data for one in _MAY_HOLD):
        return set()
    notebook = read_notebook(data)
    if isinstance(notebook, Damaged):
        return set()
    every = (
        sign for cell, raw in zip(notebook.cells, notebook.raw, strict=True) for sign in _signs_of(cell.source, raw)
    )
    return set(islice(every, _MOST_PICTURES))


def _signs_of(source: str, raw: Mapping[str, Any]) -> Iterator[str]:
    attached = _attached(raw)
    yield from attached.values()
    for data in _shown(raw):
        yield from _of_bundle(data).values()
    yield from (_of_markup(found[0], attached) for found in _MARKUP.finditer(source))


def _attached(raw: Mapping[str, Any]) -> dict[str, str]:
    """The sign of each file that hangs on a cell, by its name."""
    files = raw.get("attachments")
    bundles = files.items() if isinstance(files, dict) else ()
    signs = ((str(name), "".join(sorted(_of_bundle(bundle).values()))) for name, bundle in bundles)
    return {name: sign for name, sign in signs if sign}


def _shown(raw: Mapping[str, Any]) -> Iterator[object]:
    outputs = raw.get("outputs")
    yield from (one.get("data") for one in (outputs if isinstance(outputs, list) else ()) if isinstance(one, dict))


def _of_bundle(bundle: object) -> dict[str, str]:
    """The sign of each picture or file of a bundle, by its type; none for one without content."""
    texts = bundle.items() if isinstance(bundle, dict) else ()
    packed = ((str(name), "".join(joined(text).split())) for name, text in texts)
    return {name: _sign(text) for name, text in packed if text and not name.startswith("text/")}


def _of_markup(markup: str, attached: Mapping[str, str]) -> str:
    """The sign of a picture in a text: its words and what it shows, whatever name its file was given."""
    return _sign(_ATTACHED.sub(lambda found: attached.get(found[1], found[0]), markup))


def _sign(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _without(raw: Mapping[str, Any], known: frozenset[str]) -> Mapping[str, Any]:
    signs = _attached(raw)
    files = raw.get("attachments")
    left = (
        {name: one for name, one in files.items() if signs.get(name) not in known} if isinstance(files, dict) else files
    )
    outputs = raw.get("outputs")
    shown = [_without_shown(one, known) for one in outputs] if isinstance(outputs, list) else outputs
    return {**raw, **({"attachments": left} if files is not None else {}), **({"outputs": shown} if shown else {})}


def _without_shown(output: object, known: frozenset[str]) -> object:
    if not isinstance(output, dict) or not isinstance(output.get("data"), dict):
        return output
    signs = _of_bundle(output["data"])
    gone = {name for name, sign in signs.items() if sign in known}
    if not gone:
        return output
    # The words that stand for a picture where it can't be shown go with it.
    kept = {name: one for name, one in output["data"].items() if name not in gone and name != "text/plain"}
    return {**output, "data": kept}
