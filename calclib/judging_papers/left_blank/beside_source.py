"""What stands in a notebook beside the sources of its cells: outputs, pictures, and metadata that no program writes.

A student may put an answer there, with the metadata editor of a notebook or in what a cell shows. What nbgrader,
Jupyter and other common programs keep there for themselves is no student's writing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from calclib.collecting.submitted_notebook import LONGEST_SOURCE, SubmittedNotebook
from calclib.judging_papers.left_blank.typed_notes import reads_as_answer, typed_notes
from calclib.wording.sentences import said

PICTURE = said("cell.picture")
_MOST_OUTPUTS = 50
_LONGEST_OUTPUT = 4_000
_SAYS_SOMETHING = re.compile(r"[^\W_]")
# What a check cell prints of an answer that was left blank, or where calclib isn't installed.
_PRINTED_OF_NOTHING = ("No answer yet", said("check_cell.library_missing"))
# A check cell that can't run: calclib isn't there or is another version, or it was stopped.
_CANNOT_RUN = ("ModuleNotFoundError", "ImportError", "NameError", "AttributeError", "TypeError", "NotJudgedHere")
_STOPPED = "KeyboardInterrupt"
_OF_A_CELL = frozenset({"cell_type", "id", "metadata", "source", "outputs", "execution_count", "attachments"})
_OF_AN_OUTPUT = frozenset(
    {"output_type", "name", "text", "data", "metadata", "execution_count", "ename", "evalue", "traceback"}
)
_TAG_OF_A_PROGRAM = re.compile(
    r"(?:raises-exception|parameters|injected-parameters|skip-execution|solution|full-width|margin|popout"
    r"|(?:hide|remove|scroll|thebe|output)[-_](?:input|output|cell|code|all|init|remove|scroll|input-init)s?"
    r"|nbval[-_](?:ignore-output|raises-exception|skip|check-output|test-listed|xfail))",
    re.IGNORECASE,
)
_WIDGET = "widget-view"
_NOTHING = type(None)
# What programs keep in each field of a cell, where it is there.
_KINDS_OF_FIELDS: Mapping[str, tuple[type, ...]] = {
    "metadata": (dict, _NOTHING),
    "outputs": (list, _NOTHING),
    "execution_count": (int, _NOTHING),
    "id": (str, _NOTHING),
    "cell_type": (str, _NOTHING),
}
# Words by which an output says of what kind it is, and no more.
_KINDS_OF_OUTPUTS = ("output_type", "name", "ename")
_TYPES_SHOWN = re.compile(
    r"text/.*|image/.*|application/(?:json|javascript|pdf|x-.*|vnd\..*|.*\+json)|.*json", re.IGNORECASE
)


class Notes(NamedTuple):
    """What a person put into a notebook beside the sources of its cells: in its own fields, and in each cell."""

    beside: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


def notes_in(notebook: SubmittedNotebook) -> Notes:
    """Return what a person put into the metadata of a notebook and of its cells, or into fields that they don't have.

    Args:
        notebook: The notebook.
    """
    return Notes(tuple(typed_notes(notebook.beside)), tuple(tuple(_noted(cell)) for cell in notebook.raw))


def shown_beneath(cell: Mapping[str, Any], *, is_check: bool) -> Iterator[str]:
    """Yield what a cell shows beneath it; a check cell's own words for a blank answer aren't the student's.

    Args:
        cell: The cell as it came.
        is_check: Whether it is a check cell.
    """
    outputs = cell.get("outputs")
    if isinstance(outputs, list) and len(outputs) > _MOST_OUTPUTS:
        yield said("cell.many_outputs")
    for output in outputs[:_MOST_OUTPUTS] if isinstance(outputs, list) else ():
        for text in _texts(output, is_check=is_check) if isinstance(output, dict) else ():
            short = (_without_costs(text, cell) if is_check else text)[:_LONGEST_OUTPUT].strip()
            blank = not _SAYS_SOMETHING.search(short) or short.strip("'\"") in ("", "None")
            printed = is_check and short.startswith(_PRINTED_OF_NOTHING) and not reads_as_answer(short)
            if not blank and not printed:
                yield short


def _without_costs(text: str, cell: Mapping[str, Any]) -> str:
    """What a check cell shows, without what can cost points: it prints that as its source lists it."""
    listed = {piece.strip() for piece in re.split('[";]', joined(cell.get("source")))} | {said("check_cell.costs")}
    return "\n".join(line for line in text.splitlines() if line.strip() not in listed)


def _noted(cell: Mapping[str, Any]) -> Iterator[str]:
    if others := cell.keys() - _OF_A_CELL:
        yield from typed_notes({key: value for key, value in cell.items() if key in others})
    yield from _of_another_shape(cell)
    metadata = cell.get("metadata")
    if not isinstance(metadata, dict):
        return
    tags = metadata.get("tags")
    listed = tags if isinstance(tags, list) else []
    yield from (f"tag: {tag}" for tag in listed if isinstance(tag, str) and not _TAG_OF_A_PROGRAM.fullmatch(tag))
    rest = [tag for tag in listed if not isinstance(tag, str)] if isinstance(tags, list) else tags
    yield from typed_notes({**metadata, "tags": rest})


def _of_another_shape(cell: Mapping[str, Any]) -> Iterator[str]:
    """What stands in a field of a cell that programs fill with something of another kind."""
    source = cell.get("source")
    if isinstance(source, Mapping | int | float) or (isinstance(source, list) and not _is_lines(source)):
        yield from typed_notes({"source": source})
    if joined(source)[LONGEST_SOURCE:].strip():
        yield joined(source)[LONGEST_SOURCE:].strip()[:_LONGEST_OUTPUT]
    for name, kinds in _KINDS_OF_FIELDS.items():
        if not isinstance(cell.get(name), kinds):
            yield from typed_notes({name: cell[name]})
    for name in ("cell_type", "id"):
        text = cell.get(name)
        if isinstance(text, str) and reads_as_answer(re.sub(r"[-_]+", " ", text)):
            yield f"{name}: {text[:_LONGEST_OUTPUT]}"


def has_picture(cell: Mapping[str, Any], *, with_widgets: bool = True) -> bool:
    """Tell whether a picture or a file hangs on a cell, or a cell of code shows one.

    Args:
        cell: The cell as it came.
        with_widgets: Whether a widget counts as one; check cells show widgets of their own.
    """
    outputs = cell.get("outputs")
    shown = (one for one in (outputs[:_MOST_OUTPUTS] if isinstance(outputs, list) else ()) if isinstance(one, dict))
    return bool(cell.get("attachments")) or any(
        _shows_picture(one.get("data"), with_widgets=with_widgets) for one in shown
    )


def _shows_picture(data: object, *, with_widgets: bool) -> bool:
    names = map(str, data) if isinstance(data, dict) else ()
    return any(name.startswith("image/") or (with_widgets and _WIDGET in name) for name in names)


def _is_lines(source: list[Any]) -> bool:
    return all(isinstance(line, str) for line in source)


def _texts(output: Mapping[str, Any], *, is_check: bool) -> Iterator[str]:
    if output.get("output_type") == "error":
        yield from _of_error(output, is_check=is_check)
        return
    yield joined(output.get("text"))
    data = output.get("data")
    if isinstance(data, dict):
        yield from (joined(text) for name, text in data.items() if str(name).startswith("text/"))
        yield from _of_other_types(data, is_check=is_check)
    others = {key: value for key, value in output.items() if key not in _OF_AN_OUTPUT}
    count, metadata = output.get("execution_count"), output.get("metadata")
    yield from typed_notes({**others, "execution_count": None if isinstance(count, int) else count})
    yield from typed_notes(metadata if isinstance(metadata, dict) else {"metadata": metadata})
    yield from (name for name in (str(output.get(one) or "") for one in _KINDS_OF_OUTPUTS) if reads_as_answer(name))


def _of_other_types(data: Mapping[str, Any], *, is_check: bool) -> Iterator[str]:
    """What an output holds beside texts: tables, pictures, and types that no program shows."""
    for name, value in data.items():
        if not _TYPES_SHOWN.fullmatch(str(name)):
            yield from typed_notes({f"{name}:": value})
        elif str(name).endswith("json") and _WIDGET not in str(name):
            yield from typed_notes({"": value})
    if _shows_picture(data, with_widgets=not is_check):
        yield PICTURE


def _of_error(output: Mapping[str, Any], *, is_check: bool) -> Iterator[str]:
    """What an error says: an answer cell fails by what was typed in it."""
    name = joined(output.get("ename")).strip()
    if name == _STOPPED or (is_check and name in _CANNOT_RUN):
        return
    yield joined(output.get("evalue"))
    if not name.isidentifier():
        yield name


def joined(text: object) -> str:
    """Return a text that a notebook holds as one or as several."""
    if isinstance(text, list):
        return "".join(line for line in text if isinstance(line, str))
    return text if isinstance(text, str) else ""
