import datetime as dt
import json
import os
import pwd
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.class_files import class_folder
from calclib.cli.main import calclib
from calclib.collecting import collect, exchange_inbound
from calclib.errors import BadInput
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import waiting
from calclib.records import in_force, questioned_hand_ins, reading, rulings_of
from calclib.records.people import pseudonyms
from calclib.releasing import release
from calclib.releasing.erasing.erase import erase
from tests.plugins.test_stock_autograde import formgrader
from tests.small_class.started import NOW

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


def test_an_account_that_two_students_have_is_nobodys(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys
) -> None:
    """In a class of old that has such a roster the hand-in is named with both and left alone."""
    (folder / "roster.csv").write_text("id,name,hub_user\nann,Ann Ash,ben\nben,Ben Birch,\n", encoding="utf-8")
    submit(exchange, hand_in("ben", keys["ben"]), "ben", NOW)
    shutil.rmtree(folder / "submissions")
    found = collect(folder, SET, exchange, now=LATER)
    assert found.new == ()
    (note,) = found.notes
    assert "could be Ann Ash (ann) or Ben Birch (ben), who have one account in the roster: it was left alone" in note


def signs(folder: Path, student: str) -> list[str]:
    """The hand-ins in a student's name that wait for a person."""
    with reading(class_folder(folder)) as connection:
        rulings, names = in_force(rulings_of(connection, SET)), pseudonyms(connection)
    found = questioned_hand_ins(class_folder(folder), SET, rulings, names)
    return [one.sign for one in found if one.student == student]


def test_a_forged_hand_in_is_listed_until_a_person_decides(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys
) -> None:
    """With the account, the time, the file and the commands; left out it is gone from the list, and no mark changes."""
    submit(exchange, hand_in("ann", keys["ann"]), "aash", NOW)
    forged = hand_in("ann", {}).read_bytes()
    submit(exchange, hand_in("ann", {}), "aash", NOW + DAY, owner="ben")
    shutil.rmtree(folder / "submissions")
    for _ in range(2):
        collect(folder, SET, exchange, now=LATER)
    assert mark(folder, SET, now=NOW).waiting == 0
    (sign,) = signs(folder, "ann")
    kept = folder / "questioned" / "ann" / SET / f"{sign}.ipynb"
    assert kept.read_bytes() == forged
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    said = waiting(folder, SET).text
    assert said.startswith("1 hand-in in a student's name waits for a person.")
    for words in ("In the name of Ann Ash (ann)", "Made by the account 'ben', not by aash.", f"--leave-hand-in {sign}"):
        assert words in said
    wish = RulingRequest("hand_in", {"sign": sign, "outcome": "left"}, "Ann knows nothing of it.", student="ann")
    assert make_ruling(folder, SET, wish, now=NOW).marked.changes == ()
    collect(folder, SET, exchange, now=LATER)
    assert signs(folder, "ann") == []
    said = waiting(folder, SET).text
    assert said.startswith("Nothing waits for a person.")
    assert f"The hand-in {sign} in this name was left out. Reason: Ann knows nothing of it." in said
    assert set_results(class_folder(folder), SET).marked[0].earned == 12


def test_a_hand_in_from_anothers_account_can_be_taken(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys
) -> None:
    """Where a student worked at somebody else's computer; a notebook that isn't the student's own can't be."""
    submit(exchange, hand_in("ann", keys["ann"]), "aash", NOW + DAY, owner="ben")
    submit(exchange, hand_in("cat", keys["ben"], of="ben"), "cat", NOW + DAY, owner="ben")
    shutil.rmtree(folder / "submissions")
    collect(folder, SET, exchange, now=LATER)
    mark(folder, SET, now=NOW)
    (of_ann,), (of_cat,) = signs(folder, "ann"), signs(folder, "cat")
    taken = RulingRequest("hand_in", {"sign": of_ann, "outcome": "taken"}, "She sat at Ben's computer.", student="ann")
    tried = make_ruling(folder, SET, taken, now=NOW, preview=True).marked.changes
    assert [(one.student.id, one.before, one.after, len(one.answers)) for one in tried] == [("ann", 0, 12, 9)]
    assert not (folder / "submissions").exists()
    done = make_ruling(folder, SET, taken, now=NOW).marked
    assert (done.marked, done.changes) == (1, tried)
    (one,) = set_results(class_folder(folder), SET).marked
    assert (one.student.id, one.earned) == ("ann", 12)
    with pytest.raises(BadInput, match="isn't the notebook that was handed out to cat"):
        make_ruling(
            folder, SET, RulingRequest("hand_in", {"sign": of_cat, "outcome": "taken"}, "No.", student="cat"), now=NOW
        )
    with pytest.raises(BadInput, match="in the name of ann waits"):
        make_ruling(folder, SET, taken, now=NOW)


@pytest.mark.parametrize(("day", "after"), [(5, 11), (1, 12)], ids=["later", "earlier"])
def test_a_preview_shows_the_mark_of_a_hand_in_beside_the_students_own(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys, day: int, after: int
) -> None:
    """A later one with a mistake costs a point, an earlier one changes nothing; and until then no file is touched."""
    submit(exchange, hand_in("ann", keys["ann"]), "aash", NOW + 3 * DAY)
    submit(exchange, hand_in("ann", keys["ann"] | {"answer_1": "1 gtt/min"}), "aash", NOW, owner="ben")
    shutil.rmtree(folder / "submissions")
    collect(folder, SET, exchange, now=LATER)
    mark(folder, SET, now=NOW)
    (sign,) = signs(folder, "ann")
    # The file system tells when a forged one came in; here it is the test.
    about = folder / "questioned" / "ann" / SET / f"{sign}.json"
    time = (NOW + day * DAY).isoformat()
    about.write_text(json.dumps({**json.loads(about.read_text("utf-8")), "time": time}), encoding="utf-8")

    def files() -> dict[Path, bytes]:
        return {path: path.read_bytes() for path in folder.rglob("*") if path.suffix in (".ipynb", ".txt")}

    before = files()
    taken = RulingRequest("hand_in", {"sign": sign, "outcome": "taken"}, "She sat at Ben's computer.", student="ann")
    tried = make_ruling(folder, SET, taken, now=NOW, preview=True).marked.changes
    assert [(one.before, one.after) for one in tried] == ([(12, 11)] if after == 11 else [])
    assert files() == before
    words = ["rule", str(folder), SET, "--student", "ann", "--take-hand-in", sign, "--reason", "Hers."]
    run = CliRunner().invoke(calclib, [*words, "--preview"])
    assert ("0 students gain, 1 loses:" in run.output) == (after == 11), run.output
    assert ("Nobody's marks change." in run.output) == (after == 12)
    assert make_ruling(folder, SET, taken, now=NOW).marked.changes == tried
    assert set_results(class_folder(folder), SET).marked[0].earned == after


def test_a_folder_of_submissions_that_is_a_link_takes_no_hand_in(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys, tmp_path: Path
) -> None:
    """Marking would not look there: nothing is ruled, and the sentence says what to do."""
    submit(exchange, hand_in("ann", keys["ann"]), "aash", NOW + DAY, owner="ben")
    shutil.rmtree(folder / "submissions")
    collect(folder, SET, exchange, now=LATER)
    (sign,) = signs(folder, "ann")
    (folder / "submissions").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (folder / "submissions" / "ann").symlink_to(tmp_path / "elsewhere")
    taken = RulingRequest("hand_in", {"sign": sign, "outcome": "taken"}, "Hers.", student="ann")
    with pytest.raises(BadInput, match="is a link: remove it, and rule again"):
        make_ruling(folder, SET, taken, now=NOW)
    assert signs(folder, "ann") == [sign]


def test_a_notebook_in_anothers_name_from_a_folder_is_listed_too(
    folder: Path, tmp_path: Path, hand_in: HandIn, keys: Keys
) -> None:
    """Where no account tells, the notebook does: the student's own stands, the other waits."""
    other = hand_in("ann", keys["ben"], of="ben").read_bytes()
    own = hand_in("ann", keys["ann"]).read_bytes()
    shutil.rmtree(folder / "submissions")
    place = tmp_path / "in" / "ann"
    place.mkdir(parents=True)
    for data in (own, other):
        (place / f"{SET}.ipynb").write_bytes(data)
        collect(folder, SET, place.parent, now=LATER)
    assert class_folder(folder).submitted(SET, "ann").read_bytes() == own
    (sign,) = signs(folder, "ann")
    assert (folder / "questioned" / "ann" / SET / f"{sign}.ipynb").read_bytes() == other


def test_a_flood_in_anothers_name_is_bounded_and_erased(
    folder: Path, exchange: Path, hand_in: HandIn, keys: Keys
) -> None:
    """Twenty are kept; erasing the student removes them, erasing who made them takes the name out."""
    for number in range(25):
        submit(exchange, hand_in("ann", {"answer_1": str(number)}), "aash", NOW + number * DAY / 30, owner="ben")
    shutil.rmtree(folder / "submissions")
    collect(folder, SET, exchange, now=LATER)
    assert len(signs(folder, "ann")) == 20
    erase(folder, "ben", now=NOW)
    assert "Made by another account, not by aash." in waiting(folder, SET).text
    erase(folder, "ann", now=NOW)
    assert not (folder / "questioned" / "ann").exists()


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
    assert stored == {f"{SET}.ipynb", "timestamp.txt", "times.json", "submission_secret.txt"}
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


def test_each_notebook_is_released_to_its_student(
    folder: Path, exchange: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Private folders that nobody can list, a skeleton without numbers, and nothing else of the class folder."""
    (folder / "solutions" / SET / "key.txt").write_text("the key")
    given: list[tuple[str, str]] = []
    monkeypatch.setattr("pwd.getpwnam", lambda name: {"aash": pwd.getpwuid(os.getuid())}[name])
    monkeypatch.setattr(
        "calclib.releasing.exchange_outbound._give",
        lambda path, _user, account, rights: given.append((account, rights)),
    )
    found = release(folder, SET, exchange, now=NOW)
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
    assert [s.id for s in release(folder, SET, exchange, now=NOW).unchanged] == ["ann"]


def test_an_exchange_that_isnt_there_is_one_sentence(folder: Path, tmp_path: Path) -> None:
    """It says whom to ask."""
    with pytest.raises(BadInput, match="ask the person who runs the hub"):
        release(folder, SET, tmp_path / "nowhere", now=NOW)
