"""Looking at a set before it is handed out, and taking it back as long as nobody has answered it."""

import os
import pwd
import shutil
from collections.abc import Callable
from pathlib import Path

import nbformat
import pytest
from click.testing import CliRunner, Result

from calclib.class_files import class_folder
from calclib.cli.main import calclib
from calclib.collecting import collect
from calclib.errors import BadInput
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.records import history_of, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, release
from calclib.releasing.preview import preview
from calclib.releasing.take_back import take_back
from tests.models.own_model import OWN_MODEL
from tests.releasing.test_hand_out import rows, snapshot
from tests.small_class.started import BLUEPRINT, NOW

SET = "week-3"
HandIn = Callable[..., Path]


def run(*words: object) -> Result:
    """What the command prints."""
    return CliRunner().invoke(calclib, [str(word) for word in words])


def test_a_preview_writes_one_notebook_and_records_nothing(folder: Path, tmp_path: Path) -> None:
    """It holds every problem of the blueprint, also of a file of one's own; no row and no other file changes."""
    (tmp_path / "mine.toml").write_text(OWN_MODEL, encoding="utf-8")
    text = BLUEPRINT.replace(SET, "week-4") + '\n[[items]]\nitem = "mine.toml"\n'
    (tmp_path / "week-4.toml").write_text(text, encoding="utf-8")
    files, records = snapshot(folder), rows(folder)
    result = run("hand-out", folder, tmp_path / "week-4.toml", "--preview")
    assert result.exit_code == 0
    assert str(tmp_path / "week-4-preview.ipynb") in result.output
    assert (snapshot(folder), rows(folder)) == (files, records)
    nb = nbformat.read(tmp_path / "week-4-preview.ipynb", as_version=nbformat.NO_CONVERT)
    nbformat.validate(nb)
    stems = [cell.source for cell in nb.cells if cell.id.endswith("-stem")]
    assert len(stems) == 6
    # Two problems of one item model have numbers of their own.
    assert stems[0].splitlines()[1:] != stems[1].splitlines()[1:]


def test_a_preview_needs_no_set_and_says_where_there_is_one(folder: Path) -> None:
    """What was handed out stays as it is."""
    before = snapshot(folder)
    sample = preview(folder, SET)
    assert (sample.handed_out[:10], len(sample.problems)) == ("2026-11-25", 5)
    after = snapshot(folder)
    assert set(after) - set(before) == {f"blueprints/{SET}-preview.ipynb"}
    assert {name: after[name] for name in before} == before


def test_a_preview_that_is_handed_in_counts_for_nobody(folder: Path) -> None:
    """It is set aside."""
    path = class_folder(folder).submitted(SET, "ann")
    path.parent.mkdir(parents=True)
    shutil.copy(preview(folder, SET).notebook, path)
    assert [student.id for student, _ in mark(folder, SET, now=NOW).aside] == ["ann"]


def test_a_wrong_blueprint_is_refused_by_a_preview_too(folder: Path, tmp_path: Path) -> None:
    """The same sentence, and nothing is written."""
    (tmp_path / "x.toml").write_text(BLUEPRINT.replace("drop-rate", "drop-rat"), encoding="utf-8")
    with pytest.raises(BadInput, match="did you mean 'drop-rate'"):
        preview(folder, tmp_path / "x.toml")
    assert not list(tmp_path.glob("*.ipynb"))


def test_a_set_is_taken_back_and_its_name_is_free(folder: Path) -> None:
    """No row and no notebook of it is left; its blueprint and history are; another set takes its name."""
    with reading(class_folder(folder)) as connection:
        before = sealed_paper(connection, SET, pseudonyms(connection)["ann"])
    result = run("take-back", folder, SET, "--yes")
    assert result.exit_code == 0
    left = rows(folder)
    kept = {
        "calclib_history",
        "calclib_frozen_text",
        "calclib_person",
        "student",
        "course",
        "alembic_version",
        "calclib_schema_version",
    }
    assert not [name for name, found in left.items() if found and name not in kept]
    assert set(snapshot(folder)) == {
        ".gitignore", ".gradebook-lock", "class.toml", "course-secret.txt", "nbgrader_config.py", "roster.csv",
        f"blueprints/{SET}.toml",
    }  # fmt: skip
    (folder / "new.toml").write_text(BLUEPRINT.replace("drop-rate", "tablets-per-dose"), encoding="utf-8")
    assert hand_out(folder, folder / "new.toml", now=NOW).new == 3
    with reading(class_folder(folder)) as connection:
        after = sealed_paper(connection, SET, pseudonyms(connection)["ann"])
        events = [line.split("  ")[1].partition(":")[0] for line in history_of(connection, SET)]
    assert before is not None and after is not None and before.tag != after.tag
    assert events == ["handed out", "taken back", "handed out"]


def test_the_same_blueprint_draws_the_same_again(folder: Path) -> None:
    """So a notebook that a student has all the same still counts where nothing was changed."""
    before = snapshot(folder)
    take_back(folder, SET, now=NOW)
    hand_out(folder, SET, now=NOW)
    after = snapshot(folder)
    released = [name for name in before if name.startswith("release/")]
    assert len(released) == 3
    assert [after[name] for name in released] == [before[name] for name in released]


def test_a_notebook_of_a_set_taken_back_is_set_aside_by_a_changed_one(folder: Path, tmp_path: Path) -> None:
    """Its numbers are no longer recorded."""
    kept = class_folder(folder).rendered(SET, "ann").read_bytes()
    take_back(folder, SET, now=NOW)
    (tmp_path / "new.toml").write_text(BLUEPRINT.replace("drop-rate", "tablets-per-dose"), encoding="utf-8")
    hand_out(folder, tmp_path / "new.toml", now=NOW)
    path = class_folder(folder).submitted(SET, "ann")
    path.parent.mkdir(parents=True)
    path.write_bytes(kept)
    assert [student.id for student, _ in mark(folder, SET, now=NOW).aside] == ["ann"]


def test_rulings_go_with_it(folder: Path) -> None:
    """A new set of the name doesn't inherit them."""
    make_ruling(
        folder, SET, RulingRequest("rounding", {"policy": "tenths", "printed": "yes"}, "We teach tenths."), now=NOW
    )
    assert take_back(folder, SET, now=NOW).rulings == 1
    assert rows(folder)["calclib_rekeyed"] == rows(folder)["calclib_ruling"] == []


def test_nothing_is_taken_back_unasked(folder: Path) -> None:
    """Where nobody can be asked, nothing changes."""
    files, records = snapshot(folder), rows(folder)
    result = run("take-back", folder, SET)
    assert result.exit_code != 0
    assert "3 students" in result.output
    assert isinstance(result.exception, BadInput) and "--yes" in result.exception.message
    assert (snapshot(folder), rows(folder)) == (files, records)


@pytest.mark.parametrize("step", ["collected", "marked", "cleared"])
def test_what_was_handed_in_stays(folder: Path, hand_in: HandIn, step: str, tmp_path: Path) -> None:
    """Collected or marked, or with its files gone but its marks recorded: the set is kept, with one sentence."""
    hand_in("ann", {"answer_1": "12"})
    if step != "collected":
        mark(folder, SET, now=NOW)
    if step == "cleared":
        for kind in ("submissions", "autograded"):
            shutil.rmtree(folder / kind)
    records = rows(folder)
    with pytest.raises(BadInput, match="was handed in"):
        take_back(folder, SET, now=NOW)
    assert rows(folder) == records


def test_what_was_released_stays(folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Students of a hub may have fetched it; the history says when it was released, once for the same notebooks."""
    monkeypatch.setattr("pwd.getpwnam", lambda name: {"aash": pwd.getpwuid(os.getuid())}[name])
    monkeypatch.setattr("calclib.releasing.exchange_outbound._give", lambda *_: None)
    (tmp_path / "exchange").mkdir()
    assert len(release(folder, SET, tmp_path / "exchange", now=NOW).new) == 1
    with pytest.raises(BadInput, match="released in an exchange on 2026-11-25"):
        take_back(folder, SET, now=NOW)
    release(folder, SET, tmp_path / "exchange", now=NOW)
    with reading(class_folder(folder)) as connection:
        assert sum("released" in line for line in history_of(connection, SET)) == 1


def test_a_set_taken_back_is_no_set(folder: Path, tmp_path: Path) -> None:
    """Collecting, dropping and taking it back again say so."""
    take_back(folder, SET, now=NOW)
    for step in (
        lambda: collect(folder, SET, tmp_path, now=NOW),
        lambda: release(folder, SET, tmp_path, now=NOW),
        lambda: take_back(folder, SET, now=NOW),
    ):
        with pytest.raises(BadInput, match=f"No set '{SET}'"):
            step()


def test_an_interrupted_run_is_finished_by_another(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The records stay whole until the files are gone."""
    records = rows(folder)
    with monkeypatch.context() as patch:
        patch.setattr("calclib.releasing.take_back.shutil.rmtree", _stopped)
        with pytest.raises(KeyboardInterrupt):
            take_back(folder, SET, now=NOW)
    assert rows(folder) == records
    assert take_back(folder, SET, now=NOW).students == 3
    assert not list(folder.glob(f"release/*/{SET}"))


def _stopped(path: Path) -> None:
    raise KeyboardInterrupt
