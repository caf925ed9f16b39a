import datetime as dt
import json
import os
import shutil
import sys
from fractions import Fraction
from pathlib import Path

import nbformat
import pytest
from nbgrader.api import Gradebook
from nbgrader.nbgraderformat import MetadataValidator
from nbgrader.utils import compute_checksum
from sqlalchemy import MetaData, select

from calclib.class_files import class_folder
from calclib.errors import BadInput
from calclib.items import draw_item
from calclib.models import item_model
from calclib.records import reading, sealed_paper, sealed_set
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class
from calclib.releasing.slots import slot_of
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

STUDENTS = ("ann", "ben", "cat")


def notebook(folder: Path, student: str) -> Path:
    """The rendered notebook of one student."""
    return class_folder(folder).rendered("week-3", student)


@pytest.mark.parametrize("student", STUDENTS)
def test_a_rendered_notebook_is_valid_for_jupyter_and_nbgrader(made_class: Path, student: str) -> None:
    """It holds to nbformat 4.5 and to nbgrader's metadata, and its checksums are nbgrader's own."""
    nb = nbformat.read(notebook(made_class, student), as_version=nbformat.NO_CONVERT)
    nbformat.validate(nb)
    MetadataValidator().validate_nb(nb)
    assert (nb.nbformat, nb.nbformat_minor) == (4, 5)
    assert [c.metadata.nbgrader.checksum for c in nb.cells] == [compute_checksum(c) for c in nb.cells]


def test_it_is_laid_out_as_jupyter_writes_it(made_class: Path) -> None:
    """Opening and saving in Jupyter changes no byte."""
    path = notebook(made_class, "ann")
    nb = nbformat.read(path, as_version=nbformat.NO_CONVERT)
    assert nbformat.writes(nb) + "\n" == path.read_text(encoding="utf-8")


@pytest.mark.parametrize("student", STUDENTS)
def test_a_notebook_holds_what_was_sealed_and_no_key(made_class: Path, student: str) -> None:
    """Each stem is that of the record; no seed, no secret, and no answer outside of what the stems state."""
    where = class_folder(made_class)
    text = notebook(made_class, student).read_text(encoding="utf-8")
    cells = json.loads(text)["cells"]
    stems = ["".join(cell["source"]) for cell in cells if cell["id"].endswith("-stem")]
    with reading(where) as connection:
        paper = sealed_paper(connection, "week-3", pseudonyms(connection)[student])
    assert paper is not None
    for stem, item in zip(stems, paper.items, strict=True):
        assert item.record["stem"].strip() in stem
        assert item.record["seed"] not in text
    code = "".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "code")
    for item in paper.items:
        for part in item.record["parts"]:
            if part["kind"] != "choice":
                assert part["answer"] not in code
    assert where.secret.read_text().strip() not in text
    assert student not in text.lower().replace("resistant", "").replace("cat" if student != "cat" else "\0", "")


def test_no_two_students_have_the_same_numbers(made_class: Path) -> None:
    """Neither the full set nor, in so small a class, any one problem."""
    with reading(class_folder(made_class)) as connection:
        papers = [sealed_paper(connection, "week-3", name) for name in pseudonyms(connection).values()]
    assert len({paper.numbers for paper in papers if paper}) == 3
    for slot in range(5):
        assert len({paper.items[slot].numbers for paper in papers if paper}) == 3


def test_points_are_shared_among_the_parts(made_class: Path) -> None:
    """Six points for three parts of the same weight are two each; without points the item model's count."""
    with reading(class_folder(made_class)) as connection:
        sealed = sealed_set(connection, "week-3")
    assert sealed is not None
    assert [list(map(int, slot.points.values())) for slot in sealed.slots][2] == [2, 2, 2]
    assert sealed.points == sum(sum(slot.points.values()) for slot in sealed.slots)


def snapshot(folder: Path) -> dict[str, bytes]:
    """All files of a folder but the database."""
    files = sorted(p for p in folder.rglob("*") if p.is_file() and p.name != "gradebook.db")
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


def rows(folder: Path) -> dict[str, list[tuple[object, ...]]]:
    """All rows of the database."""
    with reading(class_folder(folder)) as connection:
        tables = MetaData()
        tables.reflect(connection)
        return {name: sorted(map(tuple, connection.execute(select(t))), key=str) for name, t in tables.tables.items()}


def test_a_second_run_changes_nothing(folder: Path) -> None:
    """Starting and handing out again leave every file and row as it is."""
    files, before = snapshot(folder), rows(folder)
    start_class(folder, folder / "roster.csv")
    again = hand_out(folder, "week-3", now=NOW)
    assert (again.new, again.kept) == (0, 3)
    assert {name: data for name, data in snapshot(folder).items() if name != "nbgrader_config.py"} == {
        name: data for name, data in files.items() if name != "nbgrader_config.py"
    }
    assert rows(folder) == before


def test_a_lost_notebook_is_made_again_with_the_same_bytes(folder: Path) -> None:
    """It comes from the record; nothing is drawn."""
    path = notebook(folder, "ben")
    data = path.read_bytes()
    path.unlink()
    hand_out(folder, "week-3", now=NOW)
    assert path.read_bytes() == data


def test_a_notebook_that_is_lost_after_it_was_due_still_says_when(folder: Path, tmp_path: Path) -> None:
    """Whoever had it in time didn't join late, although it is written again after the due time."""
    due = NOW + dt.timedelta(days=1)
    order = BLUEPRINT.replace('set = "week-3"', 'set = "week-4"').replace("cut", f"due = {due.isoformat()}\ncut", 1)
    (tmp_path / "week-4.toml").write_text(order, encoding="utf-8")
    hand_out(folder, tmp_path / "week-4.toml", now=NOW)
    path = class_folder(folder).rendered("week-4", "cat")
    data = path.read_bytes()
    assert b"no due time" not in data
    path.unlink()
    hand_out(folder, "week-4", now=due + dt.timedelta(days=1))
    assert path.read_bytes() == data


def test_a_student_who_comes_later_gets_a_notebook_and_the_others_keep_theirs(folder: Path) -> None:
    """Only the new student's items are drawn."""
    files = snapshot(folder)
    roster = folder.parent / "roster.csv"
    roster.write_text(ROSTER + "dan,Dan Dale,,,\n", encoding="utf-8")
    started = start_class(folder, roster)
    assert [student.id for student in started.added] == ["dan"]
    out = hand_out(folder, "week-3", now=NOW)
    assert (out.new, out.kept) == (1, 3)
    after = snapshot(folder)
    assert all(after[name] == data for name, data in files.items() if name.startswith("release/"))
    assert "release/dan/week-3/week-3.ipynb" in after


def test_a_student_who_left_the_roster_stays_in_the_records(folder: Path) -> None:
    """The roster says who is marked; nothing of anyone is deleted."""
    roster = folder.parent / "roster.csv"
    roster.write_text("id,name\nann,Ann Ash\n", encoding="utf-8")
    assert start_class(folder, roster).gone == ("ben", "cat")
    assert len(rows(folder)["calclib_paper"]) == 3


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("count = 2", "count = 3"),
        ('title = "Week 3: <infusions>"', 'title = "Another"'),
        ('marking = "homework"', 'marking = "strict-exam"'),
    ],
)
def test_another_blueprint_under_the_same_name_is_refused(folder: Path, old: str, new: str) -> None:
    """What was handed out can't be changed behind the students' backs."""
    path = folder.parent / "other.toml"
    path.write_text(BLUEPRINT.replace(old, new), encoding="utf-8")
    before = rows(folder)
    with pytest.raises(BadInput, match="another set name"):
        hand_out(folder, path, now=NOW)
    assert rows(folder) == before


def test_cut_score_and_due_time_may_still_change(folder: Path) -> None:
    """They touch no problem; the change is written into the history."""
    path = folder.parent / "later.toml"
    due = "due = 2026-12-01T12:00:00Z\n"
    path.write_text(BLUEPRINT.replace("cut_score = 90\n", f"cut_score = 85\n{due}"), encoding="utf-8")
    hand_out(folder, path, now=NOW)
    with reading(class_folder(folder)) as connection:
        sealed = sealed_set(connection, "week-3")
    assert sealed is not None
    assert sealed.cut_score == 85
    assert any("blueprint_changed" in row for row in rows(folder)["calclib_history"])
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        assert gradebook.find_assignment("week-3").duedate.isoformat() == "2026-12-01T12:00:00"


def test_the_template_is_what_nbgrader_itself_would_record(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`nbgrader generate_assignment` on the template finds the same cells that handing out recorded."""
    from nbgrader.apps import NbGraderAPI
    from traitlets.config import Config

    # nbgrader itself calls the program alembic.
    monkeypatch.setenv("PATH", os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]))
    place = folder.parent / "stock"
    place.mkdir()
    shutil.copytree(folder / "solutions", place / "solutions")
    config = Config()
    config.CourseDirectory.root = str(place)
    config.CourseDirectory.source_directory = "solutions"
    config.CourseDirectory.release_directory = "exercises"
    config.ClearSolutions.code_stub = {"python": "# Type your answer between the quotes."}
    # The template's answer cells are blank already.
    config.GenerateAssignment.preprocessors = [
        f"nbgrader.preprocessors.{name}" for name in ("LockCells", "ComputeChecksums", "SaveCells", "CheckCellMetadata")
    ]
    assert NbGraderAPI(config=config).generate_assignment("week-3")["success"]

    def cells(url: str) -> list[tuple[object, ...]]:
        with Gradebook(url) as gradebook:
            nb = gradebook.find_notebook("week-3", "week-3")
            source = [("source", c.name, c.cell_type, c.locked, c.source, c.checksum) for c in nb.source_cells]
            graded = [("grade", c.name, c.max_score, c.cell_type) for c in nb.grade_cells]
            answers = [("solution", c.name) for c in nb.solution_cells]
            return [*sorted(source), *sorted(graded), *sorted(answers), (nb.kernelspec,)]

    assert cells(class_folder(folder).gradebook_url) == cells(f"sqlite:///{place / 'gradebook.db'}")


def test_nbgrader_still_takes_the_database_for_its_own(folder: Path) -> None:
    """Its version table is there, so that `nbgrader db upgrade` works, and our tables stand beside its own."""
    found = rows(folder)
    assert len(found["alembic_version"]) == 1
    assert {row[0] for row in found["student"]} == set(STUDENTS)
    assert len([name for name in found if name.startswith("calclib_")]) == 13


def test_another_folder_is_left_alone(tmp_path: Path) -> None:
    """A folder with files in it isn't turned into a class folder."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    with pytest.raises(BadInput, match="isn't empty"):
        start_class(tmp_path, tmp_path / "roster.csv")


def test_the_class_folder_is_for_its_owner_alone(made_class: Path) -> None:
    """Nobody else of the machine can enter it, and git passes it over."""
    assert made_class.stat().st_mode & 0o777 == 0o700
    assert (made_class / ".gitignore").read_text() == "*\n"


def test_the_points_of_a_problem_are_shared_by_the_weights_of_its_parts() -> None:
    """A set-up that weighs 2 and an answer that weighs 1 share 6 points as 4 and 2."""
    item = draw_item(item_model("setup-weight-dose"), "1")
    assert [part.points for part in item.parts] == [2, 1]
    shared = slot_of(item, number=1, title="One", points=Fraction(6))
    assert list(shared.points.values()) == [4, 2]
    assert list(slot_of(item, number=1, title="One", points=None).points.values()) == [2, 1]
