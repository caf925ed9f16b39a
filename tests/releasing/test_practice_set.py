import json
import os
import shutil
import sys
from pathlib import Path

import nbformat
import pytest
from nbgrader.nbgraderformat import MetadataValidator
from nbgrader.utils import compute_checksum

from calclib.errors import BadInput
from calclib.plugins import practice_points
from calclib.releasing import practice_sets, write_release, write_sources
from calclib.releasing.practice_set import practice_items
from tests.course.lesson_files import pages

REPOSITORY = Path(__file__).parents[2]
NAME = "practice-pump-rates"


def tree(root: Path) -> dict[str, bytes]:
    """All files below a folder."""
    return {str(p.relative_to(root)): p.read_bytes() for p in sorted(root.rglob("*")) if p.is_file()}


def test_the_repository_holds_what_is_generated(tmp_path: Path) -> None:
    """`solutions/`, `exercises/` and nbgrader's configuration are, byte for byte, what the library makes now."""
    write_sources(tmp_path)
    write_release(tmp_path)
    for folder in ("solutions", "exercises"):
        there = {name: data for name, data in tree(REPOSITORY / folder).items() if ".ipynb_checkpoints" not in name}
        assert there == tree(tmp_path / folder)
    assert (REPOSITORY / "nbgrader_config.py").read_bytes() == (tmp_path / "nbgrader_config.py").read_bytes()


@pytest.mark.parametrize("folder", ["solutions", "exercises"])
def test_a_practice_notebook_is_valid(folder: str) -> None:
    """It holds to nbformat and nbgrader's metadata, its checksums are right, and it holds no output."""
    for path in (REPOSITORY / folder).glob("*/*.ipynb"):
        nb = nbformat.read(path, as_version=nbformat.NO_CONVERT)
        nbformat.validate(nb)
        MetadataValidator().validate_nb(nb)
        assert all(cell.metadata.nbgrader.checksum == compute_checksum(cell) for cell in nb.cells)
        assert all(cell.outputs == [] for cell in nb.cells if cell.cell_type == "code")


def test_what_is_released_holds_no_key() -> None:
    """No answer, no hidden test and no way to the draws is in `exercises/`, while `solutions/` has the answers."""
    for name in practice_sets():
        release = json.loads((REPOSITORY / "exercises" / name / f"{name}.ipynb").read_text(encoding="utf-8"))
        code = "\n".join("".join(cell["source"]) for cell in release["cells"] if cell["cell_type"] == "code")
        source = (REPOSITORY / "solutions" / name / f"{name}.ipynb").read_text(encoding="utf-8")
        answers = [part.answer for item in practice_items(name) for part in item.parts]
        assert not any(f'"{answer}"' in code for answer in answers)
        assert all(json.dumps(answer)[1:-1] in source for answer in answers)
        assert not any(word in code for word in ("SOLUTION", "HIDDEN", "practice_points", "seed", "draw_item"))


def test_only_notebooks_lie_beside_each_other() -> None:
    """nbgrader copies every other file of a source folder to the students."""
    assert all(name.endswith(".ipynb") for name in tree(REPOSITORY / "solutions") if "checkpoints" not in name)


def test_points_of_a_practice_answer() -> None:
    """The key earns the points, anything else what it is worth, nothing typed nothing."""
    item = practice_items(NAME)[0]
    (part,) = item.parts
    cell = f'answer_1 = ""\n### BEGIN SOLUTION\nanswer_1 = "{part.answer}"\n### END SOLUTION'
    assert practice_points(NAME, 1, part.name, "answer_1", ["", cell]) == part.points
    assert practice_points(NAME, 1, part.name, "answer_1", ['answer_1 = "1 mL/h"']) == 0
    assert practice_points(NAME, 1, part.name, "answer_1", ['answer_1 = ""']) == 0
    assert practice_points(NAME, 1, part.name, "answer_1", []) == 0
    with pytest.raises(BadInput, match="no practice set"):
        practice_points("practice-else", 1, part.name, "answer_1", [])


def test_every_practice_set_has_its_folder() -> None:
    """One source notebook a set, named as the set."""
    found = {path.stem for path in (REPOSITORY / "solutions").glob("*/*.ipynb")}
    assert found == set(practice_sets())


@pytest.fixture
def course(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The repository's sets with nbgrader's configuration, in a folder of its own."""
    shutil.copytree(REPOSITORY / "solutions", tmp_path / "solutions")
    shutil.copy(REPOSITORY / "nbgrader_config.py", tmp_path)
    # nbgrader itself calls the program alembic.
    monkeypatch.setenv("PATH", os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]))
    return tmp_path


def test_a_set_practices_what_its_lesson_taught() -> None:
    """Each lesson has a set of its number and name, most of it of the lesson's own practice, the rest of earlier ones.

    From the third lesson on earlier kinds are mixed in.
    """
    taught: set[str] = set()
    for page in pages():
        own = set(page.practiced()[0])
        found = practice_sets()[f"practice-{page.path.stem[3:]}"]
        asked = [line.name for line in found.lines for _ in range(line.count)]
        assert set(asked) <= own | taught, page.path.name
        assert sum(name in own for name in asked) * 2 > len(asked)
        assert bool(set(asked) & (taught - own)) == (page.number >= 3)
        assert found.title.startswith(f"Practice {page.number}: ")
        taught |= own
    assert len(practice_sets()) == len(pages())


@pytest.mark.full
@pytest.mark.filterwarnings("ignore")  # nbgrader's own, of its database
def test_nbgrader_grades_a_practice_set_by_itself(course: Path) -> None:
    """Stock nbgrader releases, runs and grades it: right answers earn the points, wrong and missing ones none."""
    from nbgrader.api import Gradebook
    from nbgrader.apps import NbGraderAPI
    from traitlets.config.loader import PyFileConfigLoader

    config = PyFileConfigLoader("nbgrader_config.py", path=str(course)).load_config()
    config.CourseDirectory.root = str(course)
    api = NbGraderAPI(config=config)
    assert api.generate_assignment(NAME)["success"]
    answers = [part.answer for item in practice_items(NAME) for part in item.parts]
    for student, typed in (("ann", answers), ("ben", ["1 mL"] * len(answers)), ("cat", [""] * len(answers))):
        notebook = json.loads((course / "exercises" / NAME / f"{NAME}.ipynb").read_text(encoding="utf-8"))
        cells = [cell for cell in notebook["cells"] if cell["metadata"]["nbgrader"]["solution"]]
        for number, (cell, text) in enumerate(zip(cells, typed, strict=True), start=1):
            cell["source"] = f'answer_{number} = "{text}"'
        path = course / "submitted" / student / NAME / f"{NAME}.ipynb"
        path.parent.mkdir(parents=True)
        path.write_text(json.dumps(notebook), encoding="utf-8")
        assert api.autograde(NAME, student)["success"]
    with Gradebook(f"sqlite:///{course / 'gradebook.db'}") as gradebook:
        scores = {s: gradebook.find_submission(NAME, s) for s in ("ann", "ben", "cat")}
        assert scores["ann"].score == scores["ann"].max_score > 0
        assert (scores["ben"].score, scores["cat"].score) == (0, 0)
