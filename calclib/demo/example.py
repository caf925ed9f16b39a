"""The example class: files that faculty may copy from, written out."""

from __future__ import annotations

from collections.abc import Set
from importlib.resources import files
from pathlib import Path

from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.text_files import UNFINISHED, replace_file, sweep_unfinished
from calclib.errors import BadInput
from calclib.wording.facts import fact


def write_example(folder: Path) -> tuple[Path, ...]:
    """Write the files of the example class into a folder that is new or empty.

    Args:
        folder: Where they go; it is made if need be.

    Returns:
        The files, in the order of their names.

    Raises:
        BadInput: the folder holds something already.
    """
    refuse_kept(folder)
    ours = sorted(files("calclib.demo").joinpath("example_class").iterdir(), key=lambda one: one.name)
    if folder.exists() and (not folder.is_dir() or _holds_more(folder, {file.name for file in ours})):
        raise BadInput(fact("errors_demo.example_not_empty", folder=str(folder)))
    sweep_unfinished(folder)
    written = []
    for file in ours:
        path = folder / file.name
        if not path.exists():
            replace_file(path, file.read_bytes())
        written.append(path)
    return tuple(written)


def _holds_more(folder: Path, names: Set[str]) -> bool:
    """Whether a folder holds all of the example, or anything else than what an interrupted run wrote of it."""
    found = {path.name for path in folder.iterdir() if not path.name.startswith(UNFINISHED)}
    return found >= names or bool(found - names)
