"""Very many notices are one line and a file."""

import os
import shutil
from pathlib import Path

import pytest

from calclib.cli.notices import MOST_PRINTED
from calclib.releasing.erasing.erase import erase
from tests.cli.test_words_given import calclib
from tests.small_class.started import NOW, folder, made_class

__all__ = ["folder", "made_class"]


def test_twenty_thousand_notices_are_one_line_and_a_file(folder: Path, tmp_path: Path) -> None:
    """The line names the file, which has a line each; a run with few removes it, and erasing a student does too."""
    inbox = tmp_path / "in"
    inbox.mkdir()
    first = inbox / "nobody 0.ipynb"
    first.write_text("{}")
    for number in range(1, 20_000):
        os.link(first, inbox / f"nobody {number}.ipynb")
    code, text = calclib("collect", folder, "week-3", inbox)
    assert code == 0
    assert len(text.splitlines()) < 10
    path = folder / "notices" / "week-3-collect.txt"
    assert f"20,000 notices, too many to print, are in {path}" in text
    assert len(path.read_text(encoding="utf-8").splitlines()) == 20_000
    erase(folder, "cat", now=NOW)
    assert not path.exists()


@pytest.mark.parametrize("number", [MOST_PRINTED])
def test_fewer_are_printed(folder: Path, tmp_path: Path, number: int) -> None:
    """A hundred are printed, and leave no file, also not an older one."""
    path = folder / "notices" / "week-3-collect.txt"
    path.parent.mkdir()
    path.write_text("old")
    inbox = tmp_path / "in"
    inbox.mkdir()
    for one in range(number):
        (inbox / f"nobody {one}.ipynb").write_text("{}")
    _, text = calclib("collect", folder, "week-3", inbox)
    assert sum("nobody" in line for line in text.splitlines()) >= number
    assert not path.exists()
    shutil.rmtree(inbox)
