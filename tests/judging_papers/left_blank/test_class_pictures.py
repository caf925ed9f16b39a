"""A picture in a class's notebooks: whose it is, and what it does to a blank answer."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.judging_papers import mark
from calclib.pages import waiting
from tests.small_class.started import NOW

HandIn = Callable[..., Path]
COVER, ANNS, BENS = "iVBORw0KGgoCOVER", "iVBORw0KGgoANN", "iVBORw0KGgoBEN"


def pasted(*pictures: tuple[str, str]) -> Callable[[dict[str, Any]], None]:
    """Paste pictures at the end of a notebook, each with the words that stand for it, under a name of Jupyter's."""

    def change(notebook: dict[str, Any]) -> None:
        for number, (words, picture) in enumerate(pictures):
            name = f"{len(notebook['cells'])}-{number}-{notebook['metadata']['calclib']['made_for'][:6]}.png"
            cell = {
                "cell_type": "markdown",
                "id": f"5f3a{number}",
                "metadata": {},
                "source": f"![{words}](attachment:{name})",
                "attachments": {name: {"image/png": picture}},
            }
            notebook["cells"].append(cell)

    return change


def open_of(folder: Path) -> dict[str, int]:
    """How many answers of each student wait."""
    marked = set_results(class_folder(folder), "week-3").marked
    return {one.student.id: sum(part.open for part in one.parts) for one in marked}


def test_what_most_notebooks_show_is_nobodys_own(folder: Path, hand_in: HandIn) -> None:
    """A cover sheet that all three have keeps no blank waiting; the first two waited until the third came in."""
    hand_in("ann", {}, change=pasted(("cover", COVER)))
    hand_in("ben", {}, change=pasted(("cover", COVER)))
    mark(folder, "week-3", now=NOW)
    assert open_of(folder) == {"ann": 9, "ben": 9}
    hand_in("cat", {}, change=pasted(("cover", COVER)))
    found = mark(folder, "week-3", now=NOW)
    assert open_of(folder) == {"ann": 0, "ben": 0, "cat": 0}
    assert {cause.kind.value for change in found.changes for cause in change.causes} == {"pictures"}
    assert mark(folder, "week-3", now=NOW).changes == ()


def test_a_photograph_of_ones_own_beside_it_waits(folder: Path, hand_in: HandIn) -> None:
    """The picture that all have doesn't hide another."""
    hand_in("ann", {}, change=pasted(("cover", COVER), ("work", ANNS)))
    hand_in("ben", {}, change=pasted(("cover", COVER)))
    hand_in("cat", {}, change=pasted(("cover", COVER)))
    mark(folder, "week-3", now=NOW)
    assert open_of(folder) == {"ann": 9, "ben": 0, "cat": 0}


def test_an_answer_in_the_words_of_a_picture_that_all_have_waits(folder: Path, hand_in: HandIn) -> None:
    """A picture is known by its words too."""
    for student in ("ann", "ben", "cat"):
        hand_in(student, {}, change=pasted(("25 gtt/min" if student == "ann" else "cover", COVER)))
    mark(folder, "week-3", now=NOW)
    assert open_of(folder)["ann"] == 9


def test_each_ones_own_photograph_waits_in_one_notice_a_student(folder: Path, hand_in: HandIn) -> None:
    """It names the problems, and the command that settles them."""
    hand_in("ann", {}, change=pasted(("work", ANNS)))
    hand_in("ben", {}, change=pasted(("work", BENS)))
    mark(folder, "week-3", now=NOW)
    assert open_of(folder) == {"ann": 9, "ben": 9}
    text = waiting(folder, "week-3").text
    assert text.count("a picture or a file of the student's own may hold") == 2
    assert "Ann Ash (ann), problems 1, 2, 3a, 3b" in text


def test_what_was_handed_out_is_nobodys_own(folder: Path, hand_in: HandIn) -> None:
    """The school's sign that faculty added to one notebook before it went out keeps nothing waiting in it."""
    path = class_folder(folder).rendered("week-3", "ann")
    text = path.read_text(encoding="utf-8")
    cell = {
        "cell_type": "markdown",
        "id": "sign",
        "metadata": {},
        "source": f"![school](data:image/png;base64,{COVER})",
    }
    path.write_text(text.replace('"cells": [', f'"cells": [{json.dumps(cell)},', 1), encoding="utf-8")
    hand_in("ann", {})
    hand_in("ben", {}, change=pasted(("school", ANNS)))
    mark(folder, "week-3", now=NOW)
    assert open_of(folder) == {"ann": 0, "ben": 9}
