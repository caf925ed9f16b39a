"""What happens to a notebook of five right answers, and what is then left of them."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from dataclasses import dataclass

from tests.hostile.hall import SET, Change, Hall, Notebook, answer_cell, cell, check_cells, own_cell

NEW_ID = "a1b2c3d4"


@dataclass(frozen=True)
class Kind:
    """One kind of damage.

    Attributes:
        name: The damage in a few words.
        damage: Hands in the damaged notebook in eve's name.
        points: What eve has then, of 5.
        says: Words of the one sentence that a person is told, "" where nobody needs to look.
        waiting: Number of answers that wait for a person.
        handed_in: Whether anything of eve's came in at all.
    """

    name: str
    damage: Callable[[Hall], object]
    points: float
    says: str
    waiting: int
    handed_in: bool = True


ALL: list[Kind] = []


def _file(
    *, points: float = 5, says: str = "", waiting: int = 0, handed_in: bool = True
) -> Callable[[Callable[[Hall], object]], None]:
    def note(damage: Callable[[Hall], object]) -> None:
        name = getattr(damage, "__name__", "").replace("_", " ")
        ALL.append(Kind(name, damage, points, says, waiting, handed_in))

    return note


def _cells(*, points: float = 5, says: str = "", waiting: int = 0) -> Callable[[Change], None]:
    def note(change: Change) -> None:
        def damage(hall: Hall) -> None:
            notebook = whole(hall)
            change(notebook)
            hall.put(f"eve/{SET}.ipynb", notebook)

        damage.__name__ = getattr(change, "__name__", "")
        _file(points=points, says=says, waiting=waiting)(damage)

    return note


def whole(hall: Hall) -> Notebook:
    """Eve's notebook with all five answers right."""
    return hall.answered("eve", hall.key("eve"))


def data(hall: Hall) -> bytes:
    """The same as a file that Jupyter would write."""
    return json.dumps(whole(hall), indent=1, ensure_ascii=False).encode()


def typed(notebook: Notebook, number: int) -> str:
    """The line in which an answer is typed."""
    return str(answer_cell(notebook, number)["source"][0]).strip()


ASIDE = "eve): notebook set aside. The notebook "


# Deleted, split, merged, duplicated, reordered, emptied, retyped


@_cells(points=4, says="problem 1, drop rate: The answer cell is missing.", waiting=1)
def answer_cell_deleted(notebook: Notebook) -> None:
    """One answer is gone."""
    notebook["cells"].remove(answer_cell(notebook, 1))


@_cells()
def check_cells_deleted(notebook: Notebook) -> None:
    """Marking needs none of them."""
    notebook["cells"] = [one for one in notebook["cells"] if one not in check_cells(notebook)]


@_cells()
def stems_deleted(notebook: Notebook) -> None:
    """The record has what was asked."""
    notebook["cells"] = [one for one in notebook["cells"] if one["cell_type"] == "code"]


@_cells(points=0, says="problem 1, drop rate: The answer cell is missing.", waiting=5)
def all_cells_deleted(notebook: Notebook) -> None:
    """Nothing is left but whose it is."""
    notebook["cells"] = []


@_cells()
def answer_cell_split_below_the_answer(notebook: Notebook) -> None:
    """The lower half has a new id and holds the comment."""
    place = notebook["cells"].index(answer_cell(notebook, 1))
    first, comment = notebook["cells"][place]["source"]
    notebook["cells"][place]["source"] = [first]
    notebook["cells"].insert(place + 1, {**own_cell("code", comment), "id": NEW_ID})


@_cells()
def answer_cell_split_with_the_metadata_in_both(notebook: Notebook) -> None:
    """Both halves say that they are the answer cell; one is empty."""
    place = notebook["cells"].index(answer_cell(notebook, 1))
    notebook["cells"].insert(place, {**copy.deepcopy(notebook["cells"][place]), "id": NEW_ID, "source": ""})


@_cells(points=4, says="problem 1, drop rate: The answer cell is empty; another cell holds answer_1.", waiting=1)
def answer_cell_split_above_the_answer(notebook: Notebook) -> None:
    """The upper half keeps the id and is empty, the answer stands in the lower one."""
    place = notebook["cells"].index(answer_cell(notebook, 1))
    source = notebook["cells"][place]["source"]
    notebook["cells"][place]["source"] = []
    notebook["cells"].insert(place + 1, {**own_cell("code", ""), "id": NEW_ID, "source": source})


@_cells()
def answer_cell_merged_with_its_check_cell(notebook: Notebook) -> None:
    """The answer stands above the code of the check cell."""
    place = notebook["cells"].index(answer_cell(notebook, 1))
    below = notebook["cells"].pop(place + 1)
    notebook["cells"][place]["source"] += ["\n", *below["source"]]


@_cells(
    points=4, says="problem 2b, secondary rate: The answer cell is missing; another cell holds answer_3.", waiting=1
)
def two_answer_cells_merged(notebook: Notebook) -> None:
    """The first of the two keeps its answer, the other's cell is gone."""
    second = answer_cell(notebook, 3)
    notebook["cells"].remove(second)
    answer_cell(notebook, 2)["source"] += ["\n", *second["source"]]


@_cells(points=0, says="problem 1, drop rate: The answer cell is missing; another cell holds answer_1.", waiting=5)
def all_cells_merged_into_one(notebook: Notebook) -> None:
    """One cell with everything in it, under the id of the first."""
    source = "\n".join("".join(one["source"]) for one in notebook["cells"])
    notebook["cells"] = [{**notebook["cells"][0], "source": source}]


@_cells()
def answer_cell_duplicated(notebook: Notebook) -> None:
    """A copy with the same answer."""
    notebook["cells"].append(copy.deepcopy(answer_cell(notebook, 1)))


@_cells(points=4, says="The answer cell is there twice, with different answers.", waiting=1)
def answer_cell_duplicated_and_changed(notebook: Notebook) -> None:
    """A copy with another answer."""
    notebook["cells"].append({**copy.deepcopy(answer_cell(notebook, 1)), "source": 'answer_1 = "1 gtt/min"'})


@_cells()
def all_cells_duplicated(notebook: Notebook) -> None:
    """The notebook pasted below itself."""
    notebook["cells"] += copy.deepcopy(notebook["cells"])


@_cells()
def cells_reordered(notebook: Notebook) -> None:
    """From the last to the first."""
    notebook["cells"].reverse()


@_cells(points=4)
def answer_cell_emptied(notebook: Notebook) -> None:
    """Nothing typed is no answer, and nobody needs to look."""
    answer_cell(notebook, 1)["source"] = []


@_cells(points=0)
def all_cells_emptied(notebook: Notebook) -> None:
    """The cells are there and say nothing; stems that were emptied are no others than the student's own."""
    for one in notebook["cells"]:
        one["source"] = []


@_cells()
def answer_cells_turned_into_text(notebook: Notebook) -> None:
    """Markdown and raw text keep the answer."""
    answer_cell(notebook, 1)["cell_type"] = "markdown"
    answer_cell(notebook, 2)["cell_type"] = "raw"


@_cells()
def stems_turned_into_code(notebook: Notebook) -> None:
    """Whatever a stem became, it is no answer."""
    for one in notebook["cells"]:
        if one["cell_type"] == "markdown":
            one |= {"cell_type": "code", "outputs": [], "execution_count": 3}


@_cells()
def metadata_of_the_cells_lost(notebook: Notebook) -> None:
    """As other programs leave it: the ids of the cells tell."""
    for one in notebook["cells"]:
        one["metadata"] = {}


@_cells()
def ids_of_the_cells_lost(notebook: Notebook) -> None:
    """As other programs leave it: the metadata tell."""
    for number, one in enumerate(notebook["cells"]):
        one["id"] = f"{number:08x}"


@_cells(points=0, says="problem 1, drop rate: The answer cell is missing; another cell holds answer_1.", waiting=5)
def ids_and_metadata_of_the_cells_lost(notebook: Notebook) -> None:
    """Nothing but the names of the answers is left: a person looks."""
    for number, one in enumerate(notebook["cells"]):
        one |= {"id": f"{number:08x}", "metadata": {}}


@_cells(points=0, says=ASIDE + "doesn't say for whom it was made", waiting=5)
def metadata_of_the_notebook_lost(notebook: Notebook) -> None:
    """Cells pasted into a notebook of one's own."""
    notebook["metadata"] = {}


@_cells()
def wrong_kernel(notebook: Notebook) -> None:
    """The language doesn't matter, since nothing is run."""
    notebook["metadata"]["kernelspec"] = {"name": "ir", "display_name": "R", "language": "R"}
    notebook["metadata"]["language_info"] = {"name": "R"}


@_cells()
def line_ends_of_windows_in_the_cells(notebook: Notebook) -> None:
    """Lines that end with two signs."""
    for one in notebook["cells"]:
        one["source"] = [line.replace("\n", "\r\n") for line in one["source"]]


# Answers in the wrong place


@_cells(points=4, says="problem 1, drop rate: The answer cell is empty; another cell holds answer_1.", waiting=1)
def answer_in_the_check_cell(notebook: Notebook) -> None:
    """Typed below the code of the check cell, the answer cell left blank."""
    cell(notebook, "q1-drops-check")["source"] += ["\n", typed(notebook, 1)]
    answer_cell(notebook, 1)["source"] = ['answer_1 = ""']


@_cells(points=4, says="problem 1, drop rate: The answer cell is missing; another cell holds answer_1.", waiting=1)
def answer_in_a_cell_of_ones_own(notebook: Notebook) -> None:
    """Typed elsewhere, the answer cell deleted."""
    notebook["cells"].append(own_cell("code", typed(notebook, 1)))
    notebook["cells"].remove(answer_cell(notebook, 1))


@_cells(points=3, says="problem 1, drop rate: This cell holds answer_2; answer_1 belongs here.", waiting=2)
def answers_in_each_others_cells(notebook: Notebook) -> None:
    """The names tell that something is wrong, the cells can't tell what."""
    first, second = answer_cell(notebook, 1), answer_cell(notebook, 2)
    first["source"], second["source"] = second["source"], first["source"]


@_cells(points=4, says="problem 1, drop rate: The answer comes after a #", waiting=1)
def answer_behind_a_hash(notebook: Notebook) -> None:
    """Typed where a comment stands, the quotes left empty."""
    one = answer_cell(notebook, 1)
    one["source"] = [typed(notebook, 1).replace('= "', '= ""  # ').rstrip('"') + "\n", one["source"][1]]


@_cells(points=4, says="problem 1, drop rate: The answer cell is empty; a text cell of the student's own", waiting=1)
def answer_in_a_text_of_ones_own(notebook: Notebook) -> None:
    """A text cell below the answer cell, which is left blank."""
    place = notebook["cells"].index(answer_cell(notebook, 1))
    answer = typed(notebook, 1).partition("= ")[2].strip('"')
    notebook["cells"].insert(place + 1, {**own_cell("markdown", f"My answer is {answer}"), "id": NEW_ID})
    notebook["cells"][place]["source"] = ['answer_1 = ""']


@_cells()
def answer_under_another_name(notebook: Notebook) -> None:
    """The cell tells whose answer it is."""
    one = answer_cell(notebook, 1)
    one["source"] = ["".join(one["source"]).replace("answer_1", "x")]


@_cells()
def answer_without_quotes(notebook: Notebook) -> None:
    """A person reads it without doubt."""
    one = answer_cell(notebook, 1)
    one["source"] = [one["source"][0].replace('"', "")]


@_cells(points=4, waiting=1, says="The answer cell is empty; the student wrote something near it or under its name")
def blank_answer_named_in_a_draft(notebook: Notebook) -> None:
    """A cell of one's own that speaks of a blank answer is looked at by a person."""
    answer_cell(notebook, 1)["source"] = ['answer_1 = ""']
    notebook["cells"].append(own_cell("code", "# what is answer_1?\nprint(answer_1 == 5)"))


# Files


@_file()
def renamed_file(hall: Hall) -> None:
    """The only notebook in the student's folder."""
    hall.put("eve/my homework (final).ipynb", whole(hall))


@_file(says="Eve Elm (eve) handed in Untitled.ipynb; it was marked as week-3.ipynb.")
def renamed_file_in_the_submissions(hall: Hall) -> None:
    """The same, where nbgrader's own collecting puts it."""
    hall.submit("eve", whole(hall), name="Untitled.ipynb")


@_file()
def ending_of_a_browser(hall: Hall) -> None:
    """As a browser saves a file that it takes for text."""
    hall.put(f"eve/{SET}.ipynb.txt", whole(hall))


@_file(points=0, says="eve/answers.pdf isn't a notebook: ask for the .ipynb file.", handed_in=False)
def printed_page_instead(hall: Hall) -> None:
    """The answers as a document."""
    hall.put("eve/answers.pdf", b"%PDF-1.7")


@_file(says="so left alone: eve/notes.ipynb, eve/copy/Untitled.ipynb.")
def extra_notebooks(hall: Hall) -> None:
    """Notes beside the right one."""
    hall.put(f"eve/{SET}.ipynb", whole(hall))
    hall.put("eve/notes.ipynb", {"cells": []}, hours=2)
    hall.put("eve/copy/Untitled.ipynb", b"", hours=2)


@_file(says="so left alone: eve/a.ipynb.")
def extra_notebooks_beside_a_renamed_one(hall: Hall) -> None:
    """The notebook that was handed out is known by what it says of itself."""
    hall.put("eve/a.ipynb", {"cells": []})
    hall.put("eve/b.ipynb", whole(hall))


@_file(points=0, says="handed in 2 notebooks (a.ipynb, b.ipynb), none named week-3.ipynb", handed_in=False)
def only_other_notebooks(hall: Hall) -> None:
    """None of several is guessed."""
    hall.put("eve/a.ipynb", {"cells": []})
    hall.put("eve/b.ipynb", {"cells": []})


@_file(points=0, says="Nothing handed in: Eve Elm (eve).", handed_in=False)
def notebook_missing(_hall: Hall) -> None:
    """The report names who handed in nothing."""


@_file(says="the latest counts, the others are kept beside it.")
def two_versions(hall: Hall) -> None:
    """An earlier try, then the whole."""
    hall.put(f"eve/{SET} (1).ipynb", whole(hall), hours=1)
    hall.put(f"eve/{SET}.ipynb", hall.paper("eve"))


@_file(points=0, says=ASIDE + "is an empty file.", waiting=5)
def empty_file(hall: Hall) -> None:
    """Nothing came over the wire."""
    hall.put(f"eve/{SET}.ipynb", b"")


@_file(points=0, says=ASIDE + "isn't well-formed (line ", waiting=5)
def truncated_file(hall: Hall) -> None:
    """Half of it came over the wire."""
    hall.put(f"eve/{SET}.ipynb", data(hall)[: len(data(hall)) // 2])


@_file(points=0, says=ASIDE + "isn't well-formed (line ", waiting=5)
def page_instead_of_a_notebook(hall: Hall) -> None:
    """A page of the notebook, saved by the browser under its name."""
    hall.put(f"eve/{SET}.ipynb", b"<!DOCTYPE html><html><body>week-3</body></html>")


@_file(points=0, says=f"eve/{SET}.ipynb is a folder and holds no notebook.", handed_in=False)
def folder_in_its_place(hall: Hall) -> None:
    """An empty folder with the notebook's name."""
    (hall.inbox / "eve" / f"{SET}.ipynb").mkdir(parents=True)


@_file(points=0, says=ASIDE + "isn't a plain file.", waiting=5)
def folder_in_its_place_in_the_submissions(hall: Hall) -> None:
    """The same, where nbgrader's own collecting puts it."""
    (hall.folder / "submissions" / "eve" / SET / f"{SET}.ipynb").mkdir(parents=True)


@_file()
def byte_order_mark(hall: Hall) -> None:
    """As an editor of Windows writes it."""
    hall.put(f"eve/{SET}.ipynb", b"\xef\xbb\xbf" + data(hall))


@_file()
def line_ends_of_windows(hall: Hall) -> None:
    """The same."""
    hall.put(f"eve/{SET}.ipynb", data(hall).replace(b"\n", b"\r\n"))


@_file(points=0, says=ASIDE + "isn't well-formed (not UTF-8)", waiting=5)
def other_encoding(hall: Hall) -> None:
    """Saved as UTF-16."""
    hall.put(f"eve/{SET}.ipynb", data(hall).decode().encode("utf-16"))


@_file(points=0, says=ASIDE + "is in an older notebook format", waiting=5)
def notebook_format_3(hall: Hall) -> None:
    """Cells in worksheets, as Jupyter's ancestor wrote them."""
    notebook = whole(hall)
    cells = notebook.pop("cells")
    for one in cells:
        if one["cell_type"] == "code":
            one["input"] = one.pop("source")
    hall.put(f"eve/{SET}.ipynb", {**notebook, "nbformat": 3, "nbformat_minor": 0, "worksheets": [{"cells": cells}]})


@_file(points=0, says=ASIDE + "is in another notebook format", waiting=5)
def notebook_format_5(hall: Hall) -> None:
    """A format that isn't known yet."""
    hall.put(f"eve/{SET}.ipynb", {**whole(hall), "nbformat": 5})


def _minor(minor: int) -> None:
    def damage(hall: Hall) -> None:
        notebook = whole(hall)
        for one in notebook["cells"]:
            # Ids of cells came with 4.5.
            del one["id"]
        hall.put(f"eve/{SET}.ipynb", {**notebook, "nbformat_minor": minor})

    ALL.append(Kind(f"notebook format 4.{minor}", damage, 5, "", 0))


for _number in range(5):
    _minor(_number)
