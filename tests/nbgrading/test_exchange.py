import datetime as dt
import os
import pwd
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.errors import BadInput
from calclib.nbgrading import collect, drop, exchange_inbound, mark
from calclib.records import class_folder
from tests.nbgrading.conftest import NOW
from tests.nbgrading.test_stock_autograde import formgrader

SET = "week-3"
ME = pwd.getpwuid(os.getuid()).pw_name
HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]


@pytest.fixture
def exchange(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An exchange with the course in it; each file in it belongs to the account that its folder's mark names."""
    (tmp_path / "exchange" / "dosage" / "inbound").mkdir(parents=True)
    owners = {}

    def owner(state: os.stat_result) -> str:
        return owners.get(state.st_ino, ME)

    monkeypatch.setattr(exchange_inbound, "_owner", owner)
    monkeypatch.setattr(exchange_inbound, "_OWNERS", owners, raising=False)
    return tmp_path / "exchange"


def submit(
    exchange: Path,
    notebook: Path,
    account: str,
    time: dt.datetime,
    *,
    owner: str | None = None,
    files: str | None = None,
) -> Path:
    """Lay a hand-in into the exchange as `nbgrader submit` does."""
    place = exchange / "dosage" / "inbound" / f"{account}+{SET}+{time:%Y-%m-%d %H:%M:%S.%f} UTC+x1y2"
    place.mkdir()
    shutil.copy(notebook, place / f"{SET}.ipynb")
    (place / "timestamp.txt").write_text(f"{time:%Y-%m-%d %H:%M:%S.%f} UTC")
    (place / "submission_secret.txt").write_text(f"secret of {time:%d}")
    owners = exchange_inbound._OWNERS  # type: ignore[attr-defined]
    owners[place.stat().st_ino] = owner or account
    for file in place.iterdir():
        owners[file.stat().st_ino] = files or owner or account
    return place


DAY = dt.timedelta(days=1)
LATER = NOW + 9 * DAY


def test_hand_ins_are_collected_by_their_owner(folder: Path, exchange: Path, hand_in: HandIn, keys: Keys) -> None:
    """The latest counts with its time and secret, earlier ones are kept, accounts are mapped to ids."""
    where = class_folder(folder)
    first, second = hand_in("ann", {}).read_bytes(), hand_in("ann", keys["ann"]).read_bytes()
    shutil.rmtree(folder / "submissions")
    for data, day in ((second, 2), (first, 1)):
        path = exchange / "data.ipynb"
        path.write_bytes(data)
        submit(exchange, path, "aash", NOW + day * DAY)
    found = collect(folder, SET, exchange, now=LATER)
    assert [student.id for student in found.new] == ["ann"]
    stored = where.submitted(SET, "ann")
    assert stored.read_bytes() == second
    assert stored.with_name("timestamp.txt").read_text().startswith("2026-11-27 08:00:00.000000 UTC")
    assert stored.with_name("submission_secret.txt").read_text() == "secret of 27"
    assert [path.read_bytes() for path in where.earlier(SET, "ann").iterdir()] == [first]
    assert collect(folder, SET, exchange, now=LATER).new == ()


def test_a_hand_in_in_anothers_name_goes_before_a_person(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys
) -> None:
    """Forged as a whole or within somebody's own folder, it is named with the account, and the real one stands."""
    real = submit(exchange, hand_in("ann", keys["ann"]), "aash", NOW)
    submit(exchange, hand_in("ann", {}), "aash", NOW + DAY, owner="ben")
    submit(exchange, hand_in("cat", {}), "cat", NOW + DAY, files="ben")
    submit(exchange, hand_in("cat", {}), "stranger", NOW)
    expected = (real / f"{SET}.ipynb").read_bytes()
    shutil.rmtree(folder / "submissions")
    found = collect(folder, SET, exchange, now=LATER)
    assert [student.id for student in found.new] == ["ann"]
    assert class_folder(folder).submitted(SET, "ann").read_bytes() == expected
    forged = [note for note in found.notes if "was made by the account 'ben'" in note]
    assert sorted(note.split("(")[1].split(")")[0] for note in forged) == ["ann", "cat"]
    assert any("isn't on the roster" in note for note in found.notes)


def test_what_lies_in_a_hand_in_is_not_trusted(folder: Path, exchange: Path, hand_in: HandIn) -> None:
    """Links are left alone, other files stay where they are, and a time that can't be true is pointed out."""
    path = hand_in("ben", {})
    old = submit(exchange, path, "ben", dt.datetime(2020, 1, 1, tzinfo=dt.UTC))
    (old / "more").mkdir()
    (old / "data.csv").write_text("1")
    linked = submit(exchange, path, "cat", NOW)
    (linked / f"{SET}.ipynb").unlink()
    (linked / f"{SET}.ipynb").symlink_to(folder / "course-secret.txt")
    (linked / "submission_secret.txt").unlink()
    (linked / "submission_secret.txt").symlink_to(folder / "course-secret.txt")
    (exchange / "dosage" / "inbound" / f"aash+{SET}+file").write_text("x")
    shutil.rmtree(folder / "submissions")
    notes = " ".join(collect(folder, SET, exchange, now=LATER).notes)
    assert "isn't a plain file" in notes
    assert "isn't a folder" in notes
    assert "lies in the exchange since" in notes
    stored = {path.name for path in (folder / "submissions").rglob("*") if path.is_file()}
    assert stored == {f"{SET}.ipynb", "timestamp.txt", "submission_secret.txt"}
    assert not (folder / "submissions" / "cat").exists()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # nbgrader leaves a file open
def test_nbgraders_own_collect_and_release_go_the_same_way(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys
) -> None:
    """With the class folder's configuration; our page reaches the name that only the hand-in's secret leads to."""
    from nbgrader.utils import notebook_hash

    from calclib.pages import write_feedback

    submit(exchange, hand_in("ann", keys["ann"]), "aash", NOW)
    submit(exchange, hand_in("ann", {}), "aash", NOW + DAY, owner="ben")
    shutil.rmtree(folder / "submissions")
    exchange.chmod(0o777)
    api = formgrader(folder)
    api.config.Exchange.root = str(exchange)
    done = api.collect(SET, update=True)
    assert done["success"], done
    assert "was made by the account 'ben'" in done["log"]
    mark(folder, SET, now=NOW)
    page = write_feedback(folder, SET).pages["ann"]
    assert api.release_feedback(SET)["success"]
    (released,) = (exchange / "dosage" / "feedback").iterdir()
    assert released.stem == notebook_hash(secret="secret of 25", notebook_id=SET)  # noqa: S106 (made up here)
    assert released.read_bytes() == page.read_bytes()


def test_each_notebook_is_dropped_for_its_student(
    folder: Path, exchange: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Private folders that nobody can list, a skeleton without numbers, and nothing else of the class folder."""
    (folder / "solutions" / SET / "key.txt").write_text("the key")
    given: list[tuple[str, str]] = []
    monkeypatch.setattr("pwd.getpwnam", lambda name: {"aash": pwd.getpwuid(os.getuid())}[name])
    monkeypatch.setattr(
        "calclib.nbgrading.dropping._give", lambda path, _user, account, rights: given.append((account, rights))
    )
    found = drop(folder, SET, exchange)
    assert ([s.id for s in found.new], [s.id for s in found.without_account]) == (["ann"], ["ben", "cat"])
    course = exchange / "dosage"
    own = course / "private" / "aash" / SET / f"{SET}.ipynb"
    assert own.read_bytes() == class_folder(folder).rendered(SET, "ann").read_bytes()
    modes = {
        path: stat.S_IMODE(path.stat().st_mode) for path in (own, own.parent, own.parent.parent, course / "private")
    }
    assert list(modes.values()) == [0o600, 0o700, 0o700, 0o711]
    assert given == [("aash", "rx"), ("aash", "rx"), ("aash", "r")]
    assert {p.name for p in course.rglob("*") if p.is_file()} == {f"{SET}.ipynb"}
    assert "made_for" not in (course / "outbound" / SET / f"{SET}.ipynb").read_text(encoding="utf-8")
    assert [s.id for s in drop(folder, SET, exchange).unchanged] == ["ann"]


def test_an_exchange_that_isnt_there_is_one_sentence(folder: Path, tmp_path: Path) -> None:
    """It says whom to ask."""
    with pytest.raises(BadInput, match="ask the person who runs the hub"):
        drop(folder, SET, tmp_path / "nowhere")
