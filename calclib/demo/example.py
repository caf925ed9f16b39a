"""The example class: files that faculty may copy from, written out."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput


def write_example(folder: Path) -> tuple[Path, ...]:
    """Write the files of the example class into a folder that is new or empty.

    Args:
        folder: Where they go; it is made if need be.

    Returns:
        The files, in the order of their names.

    Raises:
        BadInput: the folder holds something already.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BadInput(f"{folder} isn't empty: choose a new folder for the example class.")
    written = []
    for file in sorted(files("calclib.demo").joinpath("example_class").iterdir(), key=lambda one: one.name):
        path = folder / file.name
        replace_file(path, file.read_bytes())
        written.append(path)
    return tuple(written)
