import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from calclib.class_files import class_folder
from calclib.collecting.submitted_notebook import SubmittedNotebook, read_notebook
from calclib.gradebook import set_results
from calclib.gradebook.notebook import AnswerPlace, answer_places
from calclib.judging_papers import mark
from calclib.judging_papers.bound_answers import Typed, Unclear, bind_answers
from calclib.judging_papers.judged_paper import places_of
from calclib.judging_papers.left_blank.own_writing import handed_out_lines
from calclib.judging_papers.left_blank.typed_notes import lists_answers
from calclib.pages import waiting
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.records.sealed import SealedPaper, sealed_set
from tests.small_class.started import NOW

Notebook = dict[str, Any]
Change = Callable[[Notebook], None]
Made = tuple[Notebook, SealedPaper, tuple[AnswerPlace, ...]]


@pytest.fixture(scope="module")
def made(made_class: Path) -> Made:
    """Ann's notebook as it was handed out, what is recorded of it, and the places of its answers."""
    where = class_folder(made_class)
    with reading(where) as connection:
        sealed = sealed_set(connection, "week-3")
        paper = sealed_paper(connection, "week-3", pseudonyms(connection)["ann"])
    assert sealed is not None
    assert paper is not None
    return json.loads(where.rendered("week-3", "ann").read_text(encoding="utf-8")), paper, places_of(sealed)


def read(made: Made, *changes: Change) -> tuple[Typed | Unclear, ...]:
    """What stands in each answer cell of the notebook once it was changed."""
    notebook, paper, places = copy.deepcopy(made[0]), made[1], made[2]
    for change in changes:
        change(notebook)
    found = read_notebook(json.dumps(notebook).encode())
    assert isinstance(found, SubmittedNotebook)
    return bind_answers(found, places, lambda: handed_out_lines(paper))


def at(notebook: Notebook, role: str, number: int = 1) -> int:
    """Where a cell of problem 1 stands, or of the problem with that number."""
    ids = [cell["id"] for cell in notebook["cells"]]
    return next(n for n, name in enumerate(ids) if f"-q{number}-" in name and name.endswith(role))


def own(kind: str, source: str, **more: Any) -> dict[str, Any]:
    """A cell of the student's own."""
    code = {"outputs": [], "execution_count": None} if kind == "code" else {}
    return {"cell_type": kind, "id": "5f3a", "metadata": {}, "source": source, **code, **more}


def beside(role: str, kind: str, source: str, *, below: bool = True, **more: Any) -> Change:
    """Insert a cell of the student's own below, or above, one of problem 1."""
    return lambda notebook: notebook["cells"].insert(at(notebook, role) + below, own(kind, source, **more))


def last(kind: str, source: str) -> Change:
    """Append a cell of the student's own."""
    return lambda notebook: notebook["cells"].append(own(kind, source))


def first(kind: str, source: str) -> Change:
    """Put a cell of the student's own before all others."""
    return lambda notebook: notebook["cells"].insert(0, own(kind, source))


def appended(role: str, text: str) -> Change:
    """Type something at the end of a cell of problem 1."""
    return lambda notebook: notebook["cells"][at(notebook, role)]["source"].append(text)


# As the check cells of this set print it.
COSTS = """What can cost points:
  a missing unit: 75% of the points
  10 times too large or too small, or more: no points for that answer
"""


def shown(role: str, *outputs: dict[str, Any]) -> Change:
    """Leave outputs under a cell of problem 1."""
    return lambda notebook: notebook["cells"][at(notebook, role)].update(outputs=list(outputs))


def stream(text: str) -> dict[str, Any]:
    """What a cell prints."""
    return {"output_type": "stream", "name": "stdout", "text": [text]}


def result(text: str) -> dict[str, Any]:
    """What a cell returns."""
    return {"output_type": "execute_result", "data": {"text/plain": [text]}, "metadata": {}, "execution_count": 1}


def failed(text: str) -> dict[str, Any]:
    """An error."""
    return {"output_type": "error", "ename": "SyntaxError", "evalue": text, "traceback": [text]}


WAITING: dict[str, Change] = {
    "a number in a text below": beside("-check", "markdown", "25 gtt/min"),
    "a number in a text between answer and check": beside("-answer", "markdown", "It is 25"),
    "a number in a text above the answer": beside("-answer", "markdown", "25 gtt/min", below=False),
    "words below": beside("-check", "markdown", "twenty-five drops a minute"),
    "words between": beside("-answer", "markdown", "clamp the line and call"),
    "words above": beside("-answer", "markdown", "hold and call the prescriber", below=False),
    "a choice by its letter": beside("-check", "markdown", "b"),
    "a number in a text above the stem": lambda n: n["cells"].insert(at(n, "-stem", 2), own("markdown", "2: 25")),
    "a raw cell below": beside("-check", "raw", "25 gtt/min"),
    "a raw cell above": beside("-answer", "raw", "25 gtt/min", below=False),
    "a raw cell in words": beside("-answer", "raw", "twenty five"),
    "answer1 in an own code cell": beside("-check", "code", 'answer1 = "25 gtt/min"'),
    "the answer's name in an own code cell": beside("-check", "code", 'answer_1 = "25 gtt/min"'),
    "another name in an own code cell": beside("-check", "code", "rate = 25"),
    "a bare number in an own code cell": beside("-answer", "code", "25"),
    "arithmetic in an own code cell": beside("-check", "code", "500 * 15 / (5 * 60)"),
    "a text in an own code cell": beside("-check", "code", '"25 gtt/min"'),
    "a print in an own code cell": beside("-check", "code", 'print("25 gtt/min")'),
    "a comment in an own code cell": beside("-check", "code", "# 25 gtt/min"),
    "an own code cell above": beside("-answer", "code", "ans = '25'", below=False),
    "an output of an own empty cell": beside("-check", "code", "", outputs=[result("25")]),
    "an output of an own cell that echoes": beside("-check", "code", "answer_1", outputs=[result("'25 gtt/min'")]),
    "answer1 = in the answer cell": appended("-answer", '\nanswer1 = "25 gtt/min"'),
    "Answer_1 = in the answer cell": appended("-answer", "\nAnswer = 25"),
    "another name in the answer cell": appended("-answer", "\nx = 25"),
    "a comment in the answer cell": appended("-answer", "\n# 25 gtt/min"),
    "a comment in words in the answer cell": appended("-answer", "\n# twenty-five"),
    "a text in the answer cell": appended("-answer", "\n25 gtt/min"),
    "in the check cell": appended("-check", "\n25 gtt/min"),
    "a comment in the check cell": appended("-check", "  # 25 gtt/min"),
    "a comment line in the check cell": appended("-check", "\n# 25 gtt/min"),
    "the answer in the check cell": appended("-check", '\nanswer_1 = "25 gtt/min"'),
    "words in the check cell": appended("-check", "\n# hold and call"),
    "in the stem": appended("-stem", "\n\n25 gtt/min"),
    "in the last line of the stem": appended("-stem", " 25 gtt/min"),
    "words in the stem": appended("-stem", "\n\nAnswer: hold and call"),
    "printed by the answer cell": shown("-answer", stream("25 gtt/min\n")),
    "returned by the answer cell": shown("-answer", result("'25 gtt/min'")),
    "an error of the answer cell": shown("-answer", failed("invalid syntax: answer_1 = 25 gtt/min")),
    "read by the check cell earlier": shown("-check", stream("Read as 25 gtt/min\n")),
    "not read by the check cell earlier": shown("-check", stream("Not read: There is no number.\n")),
    "answer_1: in a text far away": last("markdown", "answer_1: 25 mL/h"),
    "Answer 1 in a text far away": last("markdown", "Answers\n\nAnswer 1 = 25 mL/h"),
    "answer1 in a code cell far away": last("code", 'answer1 = "25 gtt/min"'),
    "Problem 1 in a text at the top": first("markdown", "Problem 1: 25 gtt/min"),
    "Q1 in a text at the top": first("markdown", "Q1) twenty-five"),
    "#1 in a raw cell": last("raw", "#1 25 gtt/min"),
    "a1 in a code cell far away": last("code", 'a1 = "25 gtt/min"'),
    "A 1 in a text far away": last("markdown", "A 1: twenty-five"),
    "the first item of a list at the top": first("markdown", "My answers\n\n1) 25 gtt/min"),
    "the first item of a list at the end": last("markdown", "- 1. 25 gtt/min"),
    "the number in brackets": last("markdown", "(1) 25 gtt/min"),
    "the number and a sign": last("raw", "1 = 25 gtt/min"),
    "answer_1 in another problem's check cell": lambda n: n["cells"][at(n, "-check", 2)]["source"].append(
        '\nanswer_1 = "25"'
    ),
    "the answer cell made a text": lambda n: n["cells"][at(n, "-answer")].update(
        cell_type="markdown", source='answer_1 = ""\n\n25 gtt/min'
    ),
    "a table": beside("-check", "markdown", "| rate |\n|---|\n| 25 |"),
    "a formula": beside("-check", "markdown", "$25$"),
    "under a heading": beside("-check", "markdown", "### My answer\n25"),
    "other digits": beside("-check", "markdown", "\u0662\u0665"),
    "wide digits": beside("-check", "markdown", "\uff12\uff15 gtt/min"),
    "after empty cells": lambda n: n["cells"].__setitem__(
        slice(at(n, "-check") + 1, at(n, "-check") + 1), [own("code", ""), own("markdown", ""), own("markdown", "25")]
    ),
}

WAITING |= {
    "a shell's echo in an own code cell": beside("-check", "code", "!echo 25 gtt/min"),
    "behind another number in one line at the top": first("markdown", "2: 125 mL/h, 1: 31 gtt/min"),
    "as the last of a sentence at the end": last("markdown", "Mine: 2) 125 mL/h and 1) 31 gtt/min"),
    "by a short word for number at the end": last("raw", "Nr 1: 31 gtt/min"),
    "as an exercise at the end": last("markdown", "Exercise 1 is 31 gtt/min"),
}

PNG = {"output_type": "display_data", "data": {"image/png": "iVBO"}, "metadata": {}}
BESIDE_SOURCES: dict[str, Change] = {
    "a note in the metadata of the answer cell": lambda n: noting(n, "-answer", note="25"),
    "a number in the metadata of the answer cell": lambda n: noting(n, "-answer", value=25),
    "words in the metadata of the answer cell": lambda n: noting(n, "-answer", remark="hold and call"),
    "a tag of the answer cell": lambda n: noting(n, "-answer", tags=["raises-exception", "25 gtt/min"]),
    "the name of the answer cell": lambda n: noting(n, "-answer", name="25 gtt/min"),
    "deep in the metadata of the check cell": lambda n: noting(n, "-check", mine={"a": [{"b": ["25 gtt/min"]}]}),
    "metadata of the stem": lambda n: noting(n, "-stem", comment="25 gtt/min"),
    "metadata of an own empty cell": beside("-check", "raw", "", metadata={"note": "25 gtt/min"}),
    "a comment of an own empty cell of no kind": beside("-check", "", "", comment="25 gtt/min"),
    "a source that is a number": beside("-check", "raw", 25),  # type: ignore[arg-type]
    "a source that is a table": beside("-check", "markdown", {"text": "25 gtt/min"}),  # type: ignore[arg-type]
    "the metadata of the notebook": lambda n: n["metadata"].update(answer_1="25 gtt/min"),
    "the title of the notebook": lambda n: n["metadata"].update(title="Answer 1: 25 gtt/min"),
    "metadata of a cell far away": lambda n: n["cells"][0]["metadata"].update(note="Q1: 25 gtt/min"),
    "the id of an own cell": lambda n: n["cells"].append({**own("raw", ""), "id": "answer-1-25-gtt"}),
    "metadata of an output": shown("-answer", {**result("''"), "metadata": {"note": "25 gtt/min"}}),
    "a field that no output has": shown("-answer", {**result("''"), "answer": "25 gtt/min"}),
    "a table as an output": shown("-answer", {**PNG, "data": {"application/json": {"answer": "25"}}}),
    "the name of an error": shown("-answer", {**failed(""), "ename": "25 gtt/min"}),
    "an error of the check cell by what was typed": shown("-check", failed("invalid syntax: 25 gtt/min")),
    "behind a line break in the stem": appended("-stem", "\n<br>25 gtt/min"),
    "a comment in markup": beside("-check", "markdown", "<!-- 25 gtt/min -->"),
    "a comment in the markup of a raw cell": beside("-answer", "raw", "<!-- 25 -->"),
    "a link's title": beside("-check", "markdown", '[ ](# "25")'),
    "a heading cell of old": beside("-check", "heading", "25 gtt/min"),
    "a cell of another language": beside("-check", "sql", "25"),
}
WAITING |= BESIDE_SOURCES


UNDER_KEYS_OF_PROGRAMS: dict[str, Change] = {
    "under a key of Jupyter's": lambda n: noting(n, "-check", jupyter={"source_hidden": True, "note": "25 gtt/min"}),
    "words under a key of Jupyter's": lambda n: noting(n, "-answer", jupyter={"note": "hold and call"}),
    "in place of a switch": lambda n: noting(n, "-answer", collapsed="25 gtt/min"),
    "a number in place of a switch": lambda n: noting(n, "-answer", jupyter={"source_hidden": 25}),
    "in place of a time": lambda n: noting(n, "-answer", execution={"iopub.execute_input": "25 gtt/min"}),
    "beside a time": lambda n: noting(n, "-answer", execution={"25 gtt/min": True}),
    "in place of a kind of slide": lambda n: noting(n, "-answer", slideshow={"slide_type": "25 gtt"}),
    "in place of a format": lambda n: noting(n, "-answer", format="25gtt/min"),
    "beside what nbgrader keeps": lambda n: n["cells"][at(n, "-answer")]["metadata"]["nbgrader"].update(mine="25"),
    "beside what we keep": lambda n: noting(n, "-answer", calclib={"mine": "25 gtt/min"}),
    "under a key of another program": lambda n: noting(n, "-answer", colab={"mine": [{"deep": "25 gtt/min"}]}),
    "words under a key of another program": lambda n: noting(n, "-answer", vscode={"x": "twenty-five drops"}),
    "a note under a key of another program": lambda n: noting(n, "-answer", papermill={"note": "page 3"}),
    "under a key with a stroke": lambda n: noting(n, "-answer", _mine="25 gtt/min"),
    "as the name of a field": lambda n: noting(n, "-answer", **{"25 gtt/min": True}),
    "as the name of an empty table": lambda n: noting(n, "-answer", mine={"hold and call": {}}),
    "under no name": lambda n: noting(n, "-answer", **{"": "25 gtt/min"}),
    "a number among the tags": lambda n: noting(n, "-answer", tags=["raises-exception", 25]),
    "a table for the tags": lambda n: noting(n, "-answer", tags={"a": "25"}),
    "a text for the tags": lambda n: noting(n, "-answer", tags="25"),
    "a tag that begins as a program's": lambda n: noting(n, "-answer", tags=["hide-hold-and-call"]),
    "a text for the metadata": beside("-check", "raw", "", metadata="25 gtt/min"),
    "a text for the outputs": beside("-check", "code", "", outputs="25 gtt/min"),
    "a text for the count": beside("-check", "code", "", execution_count="25 gtt/min"),
    "the kind of an own cell": beside("-check", "25 gtt/min", ""),
    "the id of an own cell beside it": beside("-check", "raw", "", id="25-gtt-min"),
    "the name of a stream": shown("-answer", {"output_type": "stream", "name": "25 gtt/min", "text": ""}),
    "the kind of an output": shown("-answer", {"output_type": "25 gtt/min"}),
    "a type that no program shows": shown("-answer", {**PNG, "data": {"mine/own": "25"}}),
    "behind what a check cell prints of a blank": shown("-check", stream("No answer yet. 25 gtt/min")),
    "among what can cost points": shown("-check", stream(f"No answer yet.\n{COSTS}  25 gtt/min\n")),
    "the last of very many outputs": shown("-answer", *[stream("")] * 60, stream("25 gtt/min")),
    "behind a hundred thousand spaces": beside("-check", "markdown", " " * 100_000 + "25 gtt/min"),
    "behind many empty fields": lambda n: noting(n, "-answer", mine=[*[None] * 1_000, "25 gtt/min"]),
    "deeper than anybody looks": lambda n: noting(n, "-answer", mine=nested("25 gtt/min", 30)),
}
WAITING |= UNDER_KEYS_OF_PROGRAMS


def nested(text: str, depth: int) -> object:
    """A text within so many tables."""
    return {"in": nested(text, depth - 1)} if depth else text


def noting(notebook: Notebook, role: str, **more: Any) -> None:
    """Put something into the metadata of a cell of problem 1."""
    notebook["cells"][at(notebook, role)]["metadata"].update(more)


SOME_ANSWERS: dict[str, Change] = {
    "a picture in the stem": lambda n: n["cells"][at(n, "-stem")].update(attachments={"a.png": {"image/png": ""}}),
    "a picture that the answer cell shows": shown("-answer", PNG),
    "a picture that the check cell shows": shown("-check", PNG),
    "a picture pasted into the stem": appended("-stem", "\n\nMine: ![work](https://example.org/work.jpg)"),
    "a picture in an own cell": beside("-check", "markdown", "![a.png](attachment:a.png)", attachments={"a.png": {}}),
    "a picture alone": beside("-check", "markdown", "", attachments={"a.png": {"image/png": ""}}),
    "a field that no cell has": lambda n: n["cells"][at(n, "-answer")].update(answer="25 gtt/min"),
    "a list in the metadata of the notebook": lambda n: n["metadata"].update(mine={"answers": ["25", "31"]}),
    "a field that no notebook has": lambda n: n.update(answers={"1": "25 gtt/min"}),
    "a widget that an own cell shows": beside(
        "-check", "code", "", outputs=[{**PNG, "data": {"application/vnd.jupyter.widget-view+json": {}}}]
    ),
    "a photograph at the end": lambda n: n["cells"].append(
        own("markdown", "", attachments={"work.jpg": {"image/jpeg": ""}})
    ),
    "a photograph that code shows at the end": lambda n: n["cells"].append(own("code", "", outputs=[PNG])),
    "a picture as markup": beside("-check", "markdown", '<img src="data:image/png;base64,iVBO">'),
    "a picture's words": beside("-check", "markdown", '<img src="work.jpg" alt="25 gtt/min">'),
    "at the top": first("markdown", "My answers are 31 and 125"),
    "at the end": last("raw", "Answers: 25 gtt/min, 31 mL"),
    "one answer": last("markdown", "the answer is 25 gtt/min"),
    "in a comment": last("code", "# answer: 25"),
    "in the head of the notebook": lambda n: n["cells"][0]["source"].append("\n\nMy answers: 25 and 31"),
}

SOME_ANSWERS |= {
    "the name of a file": beside("-check", "raw", "", attachments={"25 gtt/min.txt": {}}),
    "the name of the kernel": lambda n: n["metadata"]["kernelspec"].update(display_name="25 gtt/min"),
    "the kernel's name in words": lambda n: n["metadata"]["kernelspec"].update(display_name="hold and call"),
    "behind the kernel's name": lambda n: n["metadata"]["kernelspec"].update(display_name="Python 3 25 mL/h"),
    "the version of the language": lambda n: n["metadata"]["language_info"].update(version="25 gtt/min"),
    "beside what we keep of the notebook": lambda n: n["metadata"]["calclib"].update(mine="25 gtt/min"),
    "a note in the notebook": lambda n: n["metadata"].update(note="hold and call"),
    "an amount in the notebook": lambda n: n["metadata"].update(mine="25 gtt/min"),
    "in what a widget keeps": lambda n: n["metadata"].update(
        widgets={"application/vnd.jupyter.widget-state+json": {"state": {"a": {"state": {"value": "25 gtt/min"}}}}}
    ),
    "a text for the notebook's metadata": lambda n: n.update(metadata=[n["metadata"], "25 gtt/min"]),
    "a text among the cells": lambda n: n["cells"].append("25 gtt/min"),
    "a text for the minor version": lambda n: n.update(nbformat_minor="25 gtt/min"),
}

UNNUMBERED: dict[str, Change] = {
    "amounts at the top": first("markdown", "25 gtt/min, 31 gtt/min, 5 mL"),
    "amounts behind the title": lambda n: n["cells"].insert(1, own("markdown", "25 gtt/min; 31 gtt/min and 5 mL")),
    "amounts in the title": lambda n: n["cells"][0]["source"].append("\n\n25 gtt/min, 31 gtt/min"),
    "numbers at the end": last("markdown", "25, 31, 5, hold"),
    "numbers between blanks": last("raw", "25 31 5"),
    "each on its line": first("raw", "25\n31\n5"),
    "in a list": first("markdown", "* 25 gtt/min\n* 31 gtt/min"),
    "behind a label": first("markdown", "Mine: 25 gtt/min, 31 gtt/min"),
    "words": first("markdown", "twenty-five drops, thirty-one drops"),
    "a variable": last("code", "mine = [25, 31, 5]"),
    "a number in the metadata": lambda n: n["metadata"].update(mine="25"),
    "numbers in the metadata": lambda n: n["metadata"].update(mine=[25, 31]),
    "a table in the metadata": lambda n: n["metadata"].update({"drop rate": "25", "dose": "5"}),
    "numbers under a name of one's own": lambda n: n["metadata"].update(my_answers="25, 31, 4"),
    "numbers as the title": lambda n: n["metadata"].update(title="25, 31"),
    "a field that no notebook has": lambda n: n.update(mine="25"),
    "the metadata of the first cell": lambda n: n["cells"][0]["metadata"].update(mine="25 gtt/min, 31"),
    "the metadata of an own cell": lambda n: n["cells"].append(own("raw", "", metadata={"work": "25; 31"})),
}

BLANK: dict[str, Change] = {
    "untouched": lambda n: None,
    "run through": shown("-check", stream("No answer yet.\n")),
    "run through, with what can cost points": shown("-check", stream(f"No answer yet.\n{COSTS}")),
    "only the check cell run": shown("-check", stream("No answer yet: run the cell with answer_1 above, then this.\n")),
    "run where calclib isn't installed": shown(
        "-check", {**failed("No module named 'calclib'"), "ename": "ModuleNotFoundError"}
    ),
    "an answer cell that returned nothing": shown("-answer", result("''")),
    "empty cells of one's own": beside("-check", "code", ""),
    "an import": beside("-check", "code", "import math"),
    "an echo of the empty answer": beside("-check", "code", "answer_1", outputs=[result("''")]),
    "a check of one's own": beside("-check", "code", 'show_answer("answer_1", asked="quantity")'),
    "I don't know below": beside("-check", "markdown", "I don't know."),
    "a copy of the stem": lambda n: n["cells"].insert(
        at(n, "-check") + 1, {**n["cells"][at(n, "-stem")], "id": "ab12"}
    ),
    "a copy of the stem without its metadata": lambda n: n["cells"].insert(
        at(n, "-check") + 1, own("markdown", "".join(n["cells"][at(n, "-stem")]["source"]))
    ),
    "a copy of the blank answer": lambda n: n["cells"].insert(
        at(n, "-check") + 1, own("code", "".join(n["cells"][at(n, "-answer")]["source"]))
    ),
    "a rule of dashes": beside("-check", "markdown", "---"),
    "a name at the top": first("markdown", "Ann Ash, section 2"),
    "a number at the top that is no item": first("markdown", "1.5 hours, 1 attempt, 1-2-3"),
    "other items at the top": first("markdown", "21) 25 gtt/min\n0.1) 4"),
    "answers in words at the top": first("markdown", "I had no time for my answers. Section 2."),
    "what programs keep in the metadata of cells": lambda n: noting(
        n,
        "-answer",
        collapsed=False,
        execution={"iopub.execute_input": "2026-11-25T08:00:00.123456Z"},
        colab={"base_uri": "https://localhost:8080/", "height": 35},
        id="qlTDh9kzGYHj",
        outputId="25f0c1d2-3a4b",
        vscode={"languageId": "python"},
        ExecuteTime={"end_time": "2026-11-25T08:00:00Z"},
        tags=["raises-exception", "hide-input"],
        _cell_guid="b1076dfc-b9ad-4769-8c92-a6c4dae69d19",
    ),
    "what programs keep in the metadata of a notebook": lambda n: n["metadata"].update(
        language_info={"name": "python", "version": "3.11.7", "nbconvert_exporter": "python"},
        widgets={"application/vnd.jupyter.widget-state+json": {"state": {}, "version_major": 2}},
        colab={"provenance": [], "toc_visible": True},
        title="Week 3",
        authors=[{"name": "Ann Ash"}],
        toc={"base_numbering": 1},
    ),
    "what more programs keep in the metadata of cells": lambda n: noting(
        n,
        "-answer",
        jupyter={"source_hidden": False, "outputs_hidden": True},
        execution={
            "iopub.status.busy": "2026-11-25T08:00:00.123456Z",
            "shell.execute_reply": "2026-11-25T08:00:01Z",
            "shell.execute_reply.started": "2026-11-25T08:00:01Z",
        },
        papermill={"duration": 0.031, "exception": False, "status": "completed", "start_time": "2026-11-25T08:00:00"},
        slideshow={"slide_type": "subslide"},
        run_control={"frozen": False, "read_only": False},
        scrolled="auto",
        trusted=True,
        deletable=False,
        raw_mimetype="text/restructuredtext",
        tags=["hide-input", "remove-cell", "nbval-ignore-output"],
        dotnet_interactive={"language": "csharp"},
        _kg_hide_input=True,
        deepnote_cell_type="code",
        deepnote_cell_height=131,
        datalore={"node_id": "gIgPFSPa1qTbm6wLSTyqHD", "type": "CODE", "hide_input_from_viewers": True},
        pycharm={"name": "#%%\n", "is_executing": False},
        colab={"height": 35, "base_uri": "https://localhost:8080/", "referenced_widgets": ["8f2c", "11aa"]},
        cellView="form",
        hidden=True,
        heading_collapsed=True,
    ),
    "what more programs keep in the metadata of a notebook": lambda n: n["metadata"].update(
        kernelspec={"display_name": "Python 3.11 (ipykernel)", "language": "python", "name": "python3"},
        language_info={
            "codemirror_mode": {"name": "ipython", "version": 3},
            "file_extension": ".py",
            "mimetype": "text/x-python",
            "name": "python",
            "nbconvert_exporter": "python",
            "pygments_lexer": "ipython3",
            "version": "3.13.0b1",
        },
        kernel_info={"name": "python3"},
        vscode={"interpreter": {"hash": "31f2aee4e71d21fbe5cf8b01ff0e069b9275f58929596ceb00d14d90e3e16cd6"}},
        varInspector={"cols": {"lenName": 16, "lenVar": 40}, "window_display": False},
        kaggle={"accelerator": "none", "dataSources": [], "isInternetEnabled": True},
        celltoolbar="Create Assignment",
        accelerator="GPU",
        anaconda_cloud={},
        signature="sha256:0f31",
        toc_autonumbering=True,
        widgets={
            "application/vnd.jupyter.widget-state+json": {
                "state": {"0a1b": {"model_module_version": "2.0.0", "state": {"width": "50%", "value": "9%|█| 3/31"}}}
            }
        },
    ),
    "a kernel of another name": lambda n: n["metadata"].update(
        kernelspec={"display_name": "Nursing 201", "language": "python", "name": "nur201-fall"}
    ),
    "scores forged into what we keep": lambda n: n["metadata"]["calclib"].update(score=100, void=[1, 2]),
    "an id of Jupyter's": lambda n: n["cells"].append({**own("code", ""), "id": "a1b2c3d4"}),
    "an unsigned id of Jupyter's": lambda n: n["cells"].append({**own("code", ""), "id": "0a125f3c-77a1-4b25"}),
    "a check cell that was stopped": shown("-check", {**failed("25"), "ename": "KeyboardInterrupt"}),
    "a check cell that ran before the answer": shown("-check", {**failed("name 'answer_1'"), "ename": "NameError"}),
    "the blank line with None": lambda n: n["cells"][at(n, "-answer")].update(source="answer_1 = None"),
    "the cells of the problem reversed": lambda n: n["cells"].reverse(),
}


@pytest.mark.parametrize("shape", WAITING)
def test_a_blank_answer_with_something_of_the_students_own_nearby_waits(made: Made, shape: str) -> None:
    """It is never a silent 0, wherever the student wrote it; the other answers stay blank."""
    found = read(made, WAITING[shape])
    assert isinstance(found[0], Unclear), found[0]
    assert found[0].text
    assert all(one == Typed("") for one in found[2:-1])


@pytest.mark.parametrize("shape", SOME_ANSWERS)
def test_answers_that_are_given_without_their_numbers_keep_every_blank_waiting(made: Made, shape: str) -> None:
    """Which of them a number belongs to, a person says; none is a silent 0."""
    found = read(made, SOME_ANSWERS[shape])
    assert all(isinstance(one, Unclear) and one.text for one in found)


@pytest.mark.parametrize("shape", UNNUMBERED)
def test_answers_outside_of_all_problems_keep_the_blanks_waiting_where_half_of_them_are(made: Made, shape: str) -> None:
    """They may be any; where most answers were typed, what stands there is working."""

    def typed(count: int) -> Change:
        def change(notebook: Notebook) -> None:
            answers = [cell for cell in notebook["cells"] if cell["id"].endswith("-answer")]
            for number, cell in enumerate(answers[:count], start=1):
                cell["source"] = [f'answer_{number} = "79 gtt/min"']

        return change

    assert all(isinstance(one, Unclear) and one.text for one in read(made, UNNUMBERED[shape]))
    assert all(isinstance(one, Unclear) for one in read(made, typed(4), UNNUMBERED[shape])[4:])
    assert sum(isinstance(one, Unclear) for one in read(made, typed(6), UNNUMBERED[shape])) <= 1


@pytest.mark.parametrize("line", ["Section: 2", "Ann Ash, 25", "12/1/2026", "", "- - -", "Week 3", "25 days, ago", "="])
def test_a_line_that_says_something_else_lists_no_answers(line: str) -> None:
    """A date, a label, a name."""
    assert not lists_answers(line)


def photograph(place: str, typed: int) -> Change:
    """A photograph at some place of a notebook in which the first answers were typed."""

    def change(notebook: Notebook) -> None:
        files = {"a.jpg": {"image/jpeg": "iVBO"}}
        answers = [cell for cell in notebook["cells"] if cell["id"].endswith("-answer")]
        for number, cell in enumerate(answers[:typed], start=1):
            cell["source"] = [f'answer_{number} = "79 gtt/min"']
        if place in ("-stem", "-answer", "-check"):
            notebook["cells"][at(notebook, place)]["attachments"] = files
            return
        at_top, at_end = 0, len(notebook["cells"])
        where = {"top": at_top, "under problem 1": at(notebook, "-check") + 1, "end": at_end}[place]
        notebook["cells"].insert(where, own("markdown", "![work](attachment:a.jpg)", attachments=files))

    return change


@pytest.mark.parametrize("typed", [0, 1, 5, 8, 9])
@pytest.mark.parametrize("place", ["top", "end", "under problem 1", "-stem", "-answer", "-check"])
def test_a_photograph_keeps_every_blank_waiting(made: Made, place: str, typed: int) -> None:
    """It may show a whole page of working, so that it counts for each of them, under an answered problem too."""
    found = read(made, photograph(place, typed))
    assert [isinstance(one, Unclear) for one in found] == [number >= typed for number in range(len(found))]


@pytest.mark.parametrize("shape", BLANK)
def test_an_honest_blank_notebook_is_a_plain_blank(made: Made, shape: str) -> None:
    """Nothing that was handed out, printed by the notebook or stored by Jupyter is taken for the student's."""
    assert read(made, BLANK[shape]) == (Typed(""),) * len(made[2])


@pytest.mark.parametrize(
    "typed",
    [
        'answer_1 = " "',
        "answer_1 = '   '",
        'answer_1 = "-"',
        'answer_1 = "?"',
        'answer_1 = "I don\'t know"',
        "answer_1 =",
    ],
)
def test_a_blank_that_was_typed_is_a_plain_blank(made: Made, typed: str) -> None:
    """Spaces, a stroke or “I don't know” between the quotes wait for nobody."""
    found = read(made, lambda n: n["cells"][at(n, "-answer")].update(source=typed))

    assert not [one for one in found if isinstance(one, Unclear)]


@pytest.mark.parametrize("shape", WAITING)
def test_what_stands_beside_an_answer_that_was_typed_is_passed_over(made: Made, shape: str) -> None:
    """It waits for nobody, unless it makes the answer itself unclear."""

    def typed(notebook: Notebook) -> None:
        for cell in notebook["cells"]:
            if "".join(cell["source"]).startswith('answer_1 = ""'):
                cell["source"] = ['answer_1 = "79 gtt/min"']

    if shape in ("a text in the answer cell", "the answer cell made a text"):
        return
    found = read(made, typed, WAITING[shape])
    assert found[0] == Typed("79 gtt/min")


def test_parts_of_one_problem_share_what_stands_below_it(made: Made) -> None:
    """Whoever writes both answers of a problem into one text below it gets neither as a silent 0."""
    notebook, _, places = made
    slot = next(one.slot for one in places if sum(other.slot == one.slot for other in places) > 1)
    checks = [n for n, cell in enumerate(notebook["cells"]) if f"-q{slot}-" in cell["id"] and "-check" in cell["id"]]

    def change(copied: Notebook) -> None:
        copied["cells"].insert(checks[-1] + 1, own("markdown", "a) five b) six"))

    found = read(made, change)
    here = [one for place, one in zip(places, found, strict=True) if place.slot == slot]
    assert len(here) > 1
    assert all(isinstance(one, Unclear) for one in here)


def test_an_answer_to_another_part_is_no_writing_near_a_blank_one(made: Made) -> None:
    """Neither what is typed there nor what its check cell shows."""
    notebook, _, places = made
    slot = next(one.slot for one in places if sum(other.slot == one.slot for other in places) > 1)
    parts = [number for number, one in enumerate(places) if one.slot == slot]

    def change(copied: Notebook) -> None:
        for cell in copied["cells"]:
            if cell["id"] == places[parts[-1]].answer_id:
                cell["source"] = [f'{places[parts[-1]].variable} = "78 mL/h"']
            if cell["id"] == places[parts[-1]].check_id:
                cell["outputs"] = [stream("Read as 78 mL/h\n")]

    found = read(made, change)
    assert [found[number] for number in parts] == [Typed("")] * (len(parts) - 1) + [Typed("78 mL/h")]
    assert len(notebook["cells"]) > len(parts)


def test_a_blank_answer_with_words_near_it_waits_from_the_notebook_to_the_page(
    folder: Path, hand_in: Callable[..., Path]
) -> None:
    """Marking gives it no points yet, review shows what stands there, and an untouched notebook waits for nothing."""
    hand_in("ann", {}, change=WAITING["words above"])
    hand_in("ben", {}, change=WAITING["read by the check cell earlier"])
    hand_in("cat", {})
    assert mark(folder, "week-3", now=NOW).waiting == 2
    open_of = {
        one.student.id: sum(part.open for part in one.parts)
        for one in set_results(class_folder(folder), "week-3").marked
    }
    assert open_of == {"ann": 1, "ben": 1, "cat": 0}
    text = waiting(folder, "week-3").text
    assert "hold and call the prescriber" in text
    assert "Read as 25 gtt/min" in text


def test_the_places_of_a_set_with_long_names_are_found_too() -> None:
    """Where the id of a cell is a short sum, what stands right beside it counts all the same."""
    (place,) = answer_places("a-set-with-a-very-long-name-indeed", {1: {"part" * 12: ("quantity", 1)}})  # type: ignore[dict-item]
    cells = [
        {"cell_type": "code", "id": place.answer_id, "metadata": {}, "source": place.blank},
        own("markdown", "twenty-five"),
    ]
    data = json.dumps({"nbformat": 4, "metadata": {}, "cells": cells}).encode()
    notebook = read_notebook(data)
    assert isinstance(notebook, SubmittedNotebook)
    assert isinstance(bind_answers(notebook, [place])[0], Unclear)
