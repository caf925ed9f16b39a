"""Papers that claim what isn't so: points, outputs, metadata, whose they are."""

from __future__ import annotations

import copy

from tests.hostile.hall import SET, Hall, Notebook, answer_cell, cell, check_cells, own_cell
from tests.hostile.kinds import Kinds

FORGED = Kinds()


@FORGED.add(
    points=1, says="problem 2a, volume to be infused: The answer cell is empty; the student wrote something near it"
)
def outputs_that_say_full_marks(hall: Hall) -> None:
    """The stock program takes the number in a check cell's output for its score."""

    def change(notebook: Notebook) -> None:
        for one in check_cells(notebook):
            data = {"text/plain": "100.0", "application/json": {"score": 100}}
            one["outputs"] = [{"output_type": "execute_result", "data": data, "metadata": {}, "execution_count": 1}]

    hall.eve(change)


@FORGED.add(points=1, says="")
def points_in_the_metadata(hall: Hall) -> None:
    """A thousand points for each question, and for one that was never asked."""

    def change(notebook: Notebook) -> None:
        for one in check_cells(notebook):
            one["metadata"]["nbgrader"] |= {"points": 1000, "checksum": "0" * 32, "grade": True, "solution": True}
        extra = copy.deepcopy(check_cells(notebook)[0])
        extra["id"] = extra["metadata"]["nbgrader"]["grade_id"] = f"{SET}-q9-bonus-check"
        notebook["cells"].append(extra)

    hall.eve(change)


@FORGED.add(points=1, says="")
def endless_points(hall: Hall) -> None:
    """Points beyond every number, which JSON writes as a number all the same."""
    path = hall.eve()
    path.write_text(path.read_text(encoding="utf-8").replace('"points": 1', '"points": 1e999'), encoding="utf-8")


@FORGED.add(points=1, says="")
def scores_and_comments_by_hand(hall: Hall) -> None:
    """The fields of the gradebook, written into the notebook."""

    def change(notebook: Notebook) -> None:
        forged = {"manual_score": 5, "extra_credit": 5, "needs_manual_grade": False, "max_score": 5, "comment": "Good"}
        for one in notebook["cells"]:
            one["metadata"]["nbgrader"] |= forged
        notebook["metadata"] |= {"nbgrader": forged, "score": 100}
        notebook["metadata"]["calclib"] |= {"score": 100, "marks": {"q1": 100}, "taken": True, "void": [1, 2, 3]}

    hall.eve(change)


@FORGED.add(points=1, says="The answer cell is missing")
def ids_of_another_set(hall: Hall) -> None:
    """An answer cell that calls itself one of another set, where the same answer would be right."""

    def change(notebook: Notebook) -> None:
        one = answer_cell(notebook, 2)
        one["id"] = one["metadata"]["nbgrader"]["grade_id"] = "week-4-q1-drops-answer"
        other = copy.deepcopy(cell(notebook, "q1-drops-answer"))
        other["id"] = other["metadata"]["nbgrader"]["grade_id"] = "week-4-q1-drops-answer"
        notebook["cells"].append(other)

    hall.eve(change)


@FORGED.add(points=1, says="The answer cell is there twice, with different answers")
def every_possible_answer(hall: Hall) -> None:
    """One cell for each answer that there could be, all under the id of the second question."""

    def change(notebook: Notebook) -> None:
        mine = answer_cell(notebook, 2)
        for volume in range(1, 500):
            notebook["cells"].append({**mine, "source": f'answer_2 = "{volume} mL"'})

    hall.eve(change)


@FORGED.add(points=1, says="Two different answers are typed in this cell")
def every_possible_answer_in_one_cell(hall: Hall) -> None:
    """The same, in lines."""
    lines = [f'answer_2 = "{volume} mL"\n' for volume in range(1, 150)]
    hall.eve(lambda notebook: answer_cell(notebook, 2).update(source=lines))


@FORGED.add(points=0, says="eve): notebook set aside. The notebook was made for student ann.")
def notebook_of_a_neighbour(hall: Hall) -> None:
    """Ann's notebook with ann's right answers, handed in as eve's."""
    hall.put(f"eve/{SET}.ipynb", hall.answered("ann", hall.key("ann")))


@FORGED.add(points=0, says="eve): notebook set aside. The notebook states other problems than this student's own.")
def notebook_of_a_neighbour_with_ones_own_metadata(hall: Hall) -> None:
    """The same, with the words that say for whom it was made put right."""
    notebook = hall.answered("ann", hall.key("ann"))
    notebook["metadata"] = hall.paper("eve")["metadata"]
    hall.put(f"eve/{SET}.ipynb", notebook)


@FORGED.add(points=1, says="")
def answers_of_a_neighbour(hall: Hall) -> None:
    """Ann's right answers typed into one's own notebook."""
    mine, anns = hall.key("eve"), hall.key("ann")
    hall.put(f"eve/{SET}.ipynb", hall.answered("eve", {1: mine[1], 5: "" if mine[5] == anns[5] else anns[5]}))


@FORGED.add(points=0, says="eve): notebook set aside. The notebook is another version")
def another_version(hall: Hall) -> None:
    """A tag that was never given."""
    hall.eve(lambda notebook: notebook["metadata"]["calclib"].update(tag="0" * 32))


@FORGED.add(points=0, says="eve): notebook set aside. The notebook belongs to another set.")
def another_set(hall: Hall) -> None:
    """The notebook of an easier set under the name of this one."""
    hall.put(f"eve/{SET}.ipynb", hall.paper("eve", set_name="week-4"))


@FORGED.add(points=0, says="eve): notebook set aside. The notebook doesn't say for whom it was made")
def no_word_of_whose_it_is(hall: Hall) -> None:
    """Neither set nor student, which would suit everybody."""
    hall.eve(lambda notebook: notebook.update(metadata={}))


@FORGED.add(points=0, says="eve): notebook set aside. The notebook was made for somebody else.")
def nobodys_notebook(hall: Hall) -> None:
    """A pseudonym that is SQL and a path."""
    sql = "x' OR '1'='1'; DROP TABLE calclib_mark; --/../../ann"
    hall.eve(lambda notebook: notebook["metadata"]["calclib"].update(made_for=sql))


@FORGED.add(points=1, says="A notebook in the name of Ann Ash (ann) isn't the one that was handed out to this student")
def paper_forged_in_anothers_name(hall: Hall) -> None:
    """A later notebook in ann's folder, to take the place of ann's own; the real one stands."""
    hall.eve()
    hall.put(f"ann/late {SET}.ipynb", hall.paper("eve"), hours=3)


@FORGED.add(points=1, says="the student's own stands, the other is kept as earlier/ann/")
def damaged_paper_in_anothers_name(hall: Hall) -> None:
    """A broken file under ann's name in a flat folder, later than ann's own."""
    hall.eve()
    hall.put(f"zz_Ash, Ann_99_{SET}.ipynb", b"{", hours=3)


@FORGED.add(points=0, says="eve): notebook set aside. The notebook was made for student ann.")
def anothers_name_within_ones_own_folder(hall: Hall) -> None:
    """What lies in eve's folder is eve's, whatever name it bears."""
    hall.put("eve/ann/Ash, Ann_week-3.ipynb", hall.answered("ann", {}), hours=3)


@FORGED.add(points=1, says="could be Ann Ash (ann) or Ben Birch (ben)")
def name_of_two_others(hall: Hall) -> None:
    """A file that calls itself ann's and ben's is nobody's."""
    hall.eve()
    hall.put(f"{SET} ann ben.ipynb", hall.paper("ann"), hours=3)


@FORGED.add(points=1, says="submissions/zoe is of nobody on the roster")
def student_who_is_not_there(hall: Hall) -> None:
    """A folder for a student whom the class doesn't have."""
    hall.eve()
    hall.submit("zoe", hall.answered("ann", hall.key("ann")))


@FORGED.add(points=1, says="eve/gradebook.db isn't a notebook")
def time_before_all_others(hall: Hall) -> None:
    """A receipt from before the set was handed out, with an impossible offset."""
    hall.eve()
    (hall.inbox / "eve" / "timestamp.txt").write_text("0001-01-01 00:00:00+23:59", encoding="utf-8")
    (hall.inbox / "eve" / "gradebook.db").write_bytes(b"SQLite format 3\0")
    hall.put("eve/.course-secret.txt", b"0" * 64)


@FORGED.add(points=1, says="")
def cells_of_the_gradebook_as_a_task(hall: Hall) -> None:
    """Cells that call themselves tasks and solutions at once, which stock marking stops at."""

    def change(notebook: Notebook) -> None:
        for one in notebook["cells"]:
            one["metadata"]["nbgrader"] |= {"task": True, "schema_version": 99, "cell_type": "task"}
        notebook["cells"].append(own_cell("code", "", metadata={"nbgrader": {"grade_id": None, "points": "many"}}))

    hall.eve(change)
