"""A source notebook as `nbgrader generate_assignment` releases it, without a gradebook."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from calclib.class_files.text_files import replace_file
from calclib.errors import CalclibError
from calclib.gradebook.config_file import practice_config
from calclib.gradebook.opening import nbgrader_api
from calclib.wording.facts import fact


def generated_release(source: Path) -> bytes:
    """Return what nbgrader makes of a source notebook; the gradebook of that run is thrown away.

    Args:
        source: The notebook; its folder has the name of the set.

    Raises:
        CalclibError: nbgrader refuses it.
    """
    with TemporaryDirectory() as place:
        root = Path(place)
        name = source.parent.name
        target = root / "solutions" / name / source.name
        target.parent.mkdir(parents=True)
        target.write_bytes(source.read_bytes())
        with _quiet():
            done = _api(root).generate_assignment(name)
        if not done["success"]:
            raise CalclibError(
                fact("errors_gradebook.refused_by_nbgrader", reason=str(done.get("error") or done.get("log"))[-300:]),
                where=name,
            )
        return (root / "exercises" / name / source.name).read_bytes()


def _api(root: Path) -> Any:
    nbgrader_api()
    from nbgrader.apps import NbGraderAPI
    from nbgrader.converters import GenerateAssignment
    from traitlets.config.loader import PyFileConfigLoader

    replace_file(root / "nbgrader_config.py", practice_config().encode())
    config = PyFileConfigLoader("nbgrader_config.py", path=str(root)).load_config()
    config.CourseDirectory.root = str(root)
    config.GenerateAssignment.no_database = True
    # Saving the cells is all that would need a database.
    steps = GenerateAssignment.preprocessors.default()
    config.GenerateAssignment.preprocessors = [step for step in steps if step.__name__ != "SaveCells"]
    return NbGraderAPI(config=config)


@contextmanager
def _quiet() -> Iterator[None]:
    before = logging.root.manager.disable
    logging.disable(logging.ERROR)
    try:
        yield
    finally:
        logging.disable(before)
