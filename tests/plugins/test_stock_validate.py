"""nbgrader's Validate on a notebook that was handed out: it never says that an answer passes which nobody judged."""

from __future__ import annotations

import io
import shutil
from pathlib import Path

import pytest
from nbgrader.validator import Validator

from calclib.class_files import class_folder
from calclib.reading import show_answer
from calclib.reading.check_cells import NotJudgedHere
from tests.small_class.started import folder, made_class

__all__ = ["folder", "made_class"]


def validated(path: Path, *, invert: bool = False) -> str:
    """What `nbgrader validate` prints of a notebook."""
    stream = io.StringIO()
    validator = Validator(invert=invert, ignore_checksums=True)
    validator.stream = stream
    validator.validate_and_print(str(path))
    return stream.getvalue()


def test_validate_says_that_nothing_was_judged(folder: Path, tmp_path: Path) -> None:
    """Each check cell says why it can't tell; none counts as passed, and no traceback is shown."""
    path = Path(shutil.copy(class_folder(folder).rendered("week-3", "ann"), tmp_path / "week-3.ipynb"))
    said = " ".join(validated(path).split())

    assert "passes all the tests" not in said
    assert said.count("This answer isn't judged here: Validate can't tell") == 9
    assert "Traceback" not in said
    assert "does not pass any tests" in validated(path, invert=True)


def test_a_check_cell_run_by_a_student_is_no_failure(monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    """Only Validate is told; the student reads how the answer is read, and what can cost points."""
    history = ['answer_1 = "125 mL/h"']
    monkeypatch.setenv("NBGRADER_EXECUTION", "validate")
    with pytest.raises(NotJudgedHere):
        show_answer("answer_1", asked="quantity", history=history)
    monkeypatch.delenv("NBGRADER_EXECUTION")
    show_answer("answer_1", asked="quantity", costs="no unit: no points; late: nothing off", history=history)
    assert capsys.readouterr().out == (
        "Read as 125 mL/h\nWhat can cost points:\n  no unit: no points\n  late: nothing off\n"
    )
