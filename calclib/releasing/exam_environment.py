"""The small environment of an exam: what a check cell needs to read an answer, without item models and keys."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.wording.facts import fact

_ENDINGS = (".py", ".toml", ".typed")


def write_exam_environment(folder: Path) -> Path:
    """Write the part of this library that an exam notebook needs into a folder, and return that folder.

    On the exam's machines Python finds it through the environment variable PYTHONPATH, where this library itself isn't
    installed. It needs Python alone; the notebook server and its kernel are installed as usual.

    Args:
        folder: A new folder, an empty one, or one that was written before.

    Raises:
        BadInput: the folder holds something else.
    """
    refuse_kept(folder)
    if folder.exists() and (not folder.is_dir() or any(one.name != "calclib" for one in folder.iterdir())):
        raise BadInput(fact("errors_releasing.folder_in_use", folder=str(folder)))
    ours = files("calclib")
    _copy(ours.joinpath("__init__.py"), folder / "calclib" / "__init__.py")
    for room in ("reading", "wording"):
        _copy_folder(ours.joinpath(room), folder / "calclib" / room)
    return folder


def _copy_folder(source: Traversable, target: Path) -> None:
    for one in source.iterdir():
        if one.is_dir() and one.name != "__pycache__":
            _copy_folder(one, target / one.name)
        elif one.name.endswith(_ENDINGS):
            _copy(one, target / one.name)


def _copy(source: Traversable, target: Path) -> None:
    replace_file(target, source.read_bytes())
