"""One class for all hostile papers, made once and copied for each."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

import calclib.plots
from tests.hostile.hall import Hall, Outcome, copied_hall, started_hall


@pytest.fixture(scope="session")
def made_hall(tmp_path_factory: pytest.TempPathFactory) -> Hall:
    """The class with the honest papers in the inbox; never changed by a test."""
    return started_hall(tmp_path_factory.mktemp("hall"))


@pytest.fixture(scope="session")
def control(made_hall: Hall, tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    """What comes of the class when eve is honest too, with one right answer."""
    hall = copied_hall(made_hall, tmp_path_factory.mktemp("control"))
    hall.eve()
    return hall.run()


@pytest.fixture
def hall(made_hall: Hall, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Hall]:
    """The class, for one hostile paper; the working folder and the home lie beside it."""
    here = copied_hall(made_hall, tmp_path / "hall")
    for name in ("cwd", "home"):
        (here.root / name).mkdir()
    monkeypatch.chdir(here.root / "cwd")
    # The pictures on the report take most of the time and hold no word of a student's; the control run has them.
    for name in ("score_histogram", "item_difficulty_bars", "fault_bars"):
        monkeypatch.setattr(calclib.plots, name, lambda *_args, **_named: None)
    monkeypatch.setenv("HOME", str(here.root / "home"))
    yield here
    make_shallow(here.inbox / "a")


def make_shallow(folder: Path) -> None:
    """Take folders out of each other that lie deeper than the removal of temporary folders can go."""
    while (folder / "a").is_dir():
        (folder / "a").rename(folder.with_name("b"))
        folder.rmdir()
        folder.with_name("b").rename(folder)
