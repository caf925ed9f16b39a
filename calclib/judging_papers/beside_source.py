"""What stands in a notebook beside the sources of its cells: outputs, pictures, and metadata that no program writes.

A student may put an answer there, with the metadata editor of a notebook or in what a cell shows. What nbgrader,
Jupyter and other common programs keep there for themselves is no student's writing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from calclib.wording.sentences import said

PICTURE = said("cell.picture")
_MOST_OUTPUTS = 50
_LONGEST_OUTPUT = 4_000
_MOST_NOTES = 200
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
# Keys that Jupyter, nbgrader and other programs write, in small letters. "tags" and "name" are typed by people.
_BY_PROGRAMS = re.compile(
    r"""nbgrader | calclib | jupyter | execution | collapsed | (?:is_)?trusted | editable | deletable
    | (?:heading_)?collapsed | (?:source_|output_|outputs_)?hidden | slideshow | rise | livereveal | executetime
    | run_control | is_executing | colab(?:_type)? | outputid | id | cellid | cellview | formid | view | vscode
    | pycharm | datalore | azdata_.* | gather | dotnet_interactive | polyglot_notebook | papermill | jupytext
    | init_cell | cell_style | code_?folding | hide_?(?:input|output|code|prompt)\w* | lines_to_next_cell
    | format | raw_mimetype | language | scrolled | autoscroll | jp-.* | toc.* | _.*
    | application/.* | deepnote.* | kaggle | nteract | noteable
    | tf | sos | kernel | nbpresent | image/.* | text/.* | isolated | needs_background | width | height | filenames
    | kernelspec | language_info | kernel_info | celltoolbar | widgets | orig_nbformat | varinspector | latex_envs
    | accelerator | gpuclass | interpreter | signature | notebookid | default_lexer | azure | anaconda-cloud
    | version""",
    re.VERBOSE | re.IGNORECASE,
)
_TAG_OF_A_PROGRAM = re.compile(
    r"(?:raises-exception|parameters|injected-parameters|skip-execution|solution"
    r"|(?:hide|remove|full|scroll|nbval|output|thebe|margin|popout)[a-z_-]*)",
    re.IGNORECASE,
)
# What a program calls a thing by, or a time: no person types these.
_MACHINE_MADE = re.compile(r"[0-9a-f]{8}[0-9a-f-]*|\d{4}-\d\d-\d\dT[0-9:.]+(?:Z|[+-][0-9:]+)?", re.IGNORECASE)
_WIDGET = "widget-view"


def shown_beneath(cell: Mapping[str, Any], *, is_check: bool) -> Iterator[str]:
    """Yield what a cell shows beneath it; a check cell's own words for a blank answer aren't the student's.

    Args:
        cell: The cell as it came.
        is_check: Whether it is a check cell.
    """
    outputs = cell.get("outputs")
    for output in outputs[:_MOST_OUTPUTS] if isinstance(outputs, list) else ():
        for text in _texts(output, is_check=is_check) if isinstance(output, dict) else ():
            short = text[:_LONGEST_OUTPUT].strip()
            blank = not _SAYS_SOMETHING.search(short) or short.strip("'\"") in ("", "None")
            if not blank and not (is_check and short.startswith(_PRINTED_OF_NOTHING)):
                yield short


def noted(cell: Mapping[str, Any]) -> Iterator[str]:
    """Yield what a person put into the metadata of a cell, or into a field that no notebook has: "note: 25 gtt/min".

    Args:
        cell: The cell as it came.
    """
    yield from _notes({key: value for key, value in cell.items() if key not in _OF_A_CELL})
    source, metadata = cell.get("source"), cell.get("metadata")
    if isinstance(source, Mapping | int | float) or (isinstance(source, list) and not _is_lines(source)):
        yield from _notes({"source": source})
    if isinstance(metadata, dict):
        tags = metadata.get("tags")
        texts = [tag for tag in tags if isinstance(tag, str)] if isinstance(tags, list) else []
        yield from (f"tag: {tag}" for tag in texts[:_MOST_NOTES] if not _TAG_OF_A_PROGRAM.fullmatch(tag))
        yield from _notes(
            {key: value for key, value in metadata.items() if key != "tags" or not isinstance(value, list)}
        )


def noted_in_notebook(beside: Mapping[str, Any]) -> Iterator[str]:
    """Yield what a person put into the metadata of a notebook, or beside its cells.

    Args:
        beside: The metadata and the fields of the notebook that hold no cells.
    """
    yield from _notes(beside)


def has_picture(cell: Mapping[str, Any]) -> bool:
    """Tell whether a picture or a file hangs on a cell, or a cell of code shows one."""
    outputs = cell.get("outputs")
    shown = (one for one in (outputs[:_MOST_OUTPUTS] if isinstance(outputs, list) else ()) if isinstance(one, dict))
    return bool(cell.get("attachments")) or any(_shows_picture(one.get("data")) for one in shown)


def _shows_picture(data: object) -> bool:
    return isinstance(data, dict) and any(str(name).startswith("image/") or _WIDGET in str(name) for name in data)


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
        others = {
            name: value for name, value in data.items() if str(name).endswith("json") and _WIDGET not in str(name)
        }
        yield from _leaves(others)
        if not is_check and _shows_picture(data):
            yield PICTURE
    metadata = output.get("metadata")
    yield from _notes({key: value for key, value in output.items() if key not in _OF_AN_OUTPUT})
    yield from _notes(metadata if isinstance(metadata, dict) else {})


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


def _notes(table: Mapping[str, Any]) -> Iterator[str]:
    for key, value in table.items():
        if not _BY_PROGRAMS.fullmatch(str(key)):
            for text in _leaves(value):
                if _SAYS_SOMETHING.search(text) and not _MACHINE_MADE.fullmatch(text.strip()):
                    yield f"{str(key)[:80]}: {text[:_LONGEST_OUTPUT]}"


def _leaves(value: object) -> Iterator[str]:
    """The texts and numbers within a value, with the names under which they stand, up to a bound."""
    waiting: list[tuple[str, object]] = [("", value)]
    for _ in range(_MOST_NOTES):
        if not waiting:
            return
        name, one = waiting.pop()
        if isinstance(one, dict):
            waiting += [(f"{name}{str(key)[:80]}: ", inner) for key, inner in reversed(one.items())][-_MOST_NOTES:]
        elif isinstance(one, list):
            waiting += [(name, inner) for inner in reversed(one[:_MOST_NOTES])]
        elif isinstance(one, str) or (isinstance(one, int | float) and not isinstance(one, bool)):
            yield f"{name[:200]}{one}"
