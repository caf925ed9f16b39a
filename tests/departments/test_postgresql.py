import datetime as dt
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from nbgrader.api import Gradebook
from sqlalchemy import func, select

from calclib.class_files import class_folder
from calclib.collecting import collect
from calclib.errors import CalclibError
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.models import item_model
from calclib.pages import explanation, waiting, write_feedback, write_report
from calclib.pages.export import export
from calclib.records import history_of, reading, rulings_of, sealed_paper
from calclib.records.people import pseudonyms
from calclib.records.tables import ANSWER, MARK, METADATA, REKEYED
from calclib.releasing import hand_out, start_class
from calclib.releasing.erasing.erase import erase
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.releasing.take_back import take_back
from tests.plugins.test_stock_autograde import autograde
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import BLUEPRINT, NOW

pytestmark = [
    pytest.mark.service("postgresql"),
    pytest.mark.filterwarnings("ignore:Object of type:sqlalchemy.exc.SAWarning"),
]

SET = "week-3"
# Due a day after handing out; Ben has a day more.
LIFE = BLUEPRINT.replace(
    "cut_score", 'due = 2026-11-26T08:00:00Z\nlate = "10 percent a day"\nattempts = 2\nkeep = "last"\ncut_score'
)
RULINGS = (
    RulingRequest("answer", {"points": "0.5"}, "Nearly.", problem=1, student="ben"),
    RulingRequest("take", {}, "Her file was made again.", student="cat"),
    RulingRequest("text", {"text": "about a lot"}, "As said in class.", problem=1),
    RulingRequest("within", {"amount": "1%"}, "Two syringes.", problem=2),
    RulingRequest("between", {"low": "1", "high": "2"}, "Her syringe.", problem=2, student="ann"),
    RulingRequest("credit", {}, "Unclear.", problem=5),
    RulingRequest("void", {}, "Not taught.", problem=4),
    RulingRequest("marking", {"policy": "strict-exam"}, "It is an exam."),
    RulingRequest("rounding", {"policy": "tenths", "printed": "yes"}, "We teach tenths."),
    RulingRequest(
        "model", {"model": "corrected.toml", "printed": "yes"}, "Our unit takes the added volume out of the bag first."
    ),
    RulingRequest("withdraw", {"number": "7"}, "It was taught after all."),
)
# The bag alone is infused; the volume added is then a number that isn't needed.
BANKS = item_model("secondary-infusion-entries")
CORRECTED = (
    BANKS.text.replace(f"\nversion = {BANKS.version}\n", f"\nversion = {BANKS.version + 1}\n", 1)
    .replace('kind = "sum"\nof = "bag + added"', 'kind = "product"\nof = "bag"')
    .replace('draw = "medicine.added"\n', 'draw = "medicine.added"\nrole = "distractor"\n')
)
Make = Callable[[], str]
MakeClass = Callable[..., Path]


def answers(folder: Path, student: str, attempt: int = 1) -> list[str]:
    """The right answers of one student, in order."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student], attempt)
        assert paper is not None
        return [part["answer"] for item in paper.items for part in item.record["parts"]]


def hand_in(folder: Path, incoming: Path, typed: dict[str, list[str]], day: int = 0) -> None:
    """Fill in the notebooks and collect them."""
    for minute, (student, texts) in enumerate(typed.items()):
        notebook = json.loads(class_folder(folder).rendered(SET, student).read_text(encoding="utf-8"))
        for number, text in enumerate(texts, start=1):
            for cell in notebook["cells"]:
                if "".join(cell["source"]).startswith(f'answer_{number} = ""'):
                    cell["source"] = f'answer_{number} = "{text}"'
        path = incoming / student / f"{SET}.ipynb"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(notebook), encoding="utf-8")
        # A time that several students share is that of unpacking, and is not believed.
        time = (NOW + dt.timedelta(days=day, minutes=minute)).timestamp()
        os.utime(path, (time, time))
    collect(folder, SET, incoming, now=NOW + dt.timedelta(days=9))


def by_hand(folder: Path) -> None:
    """Give a score and a comment as a person does."""
    with Gradebook(class_folder(folder).gradebook_url, "dosage") as gradebook:
        gradebook.find_grade(f"{SET}-q1-drops-check", SET, SET, "ben").manual_score = 0.5
        gradebook.find_comment(f"{SET}-q1-drops-answer", SET, SET, "ben").manual_comment = "Nearly."
        gradebook.db.commit()


def test_the_same_marks_as_on_sqlite(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Row for row after handing out, the first marking, a score by hand and a re-marking, by us and by nbgrader."""
    plain, server = make_class("plain"), make_class("server", postgresql())
    assert not (server / "gradebook.db").exists()
    key = {student: answers(plain, student) for student in ("ann", "ben", "cat")}
    typed = {"ann": key["ann"], "ben": ["about a lot", "", *key["ben"][2:]], "cat": key["ann"]}
    again = {"ben": key["ben"], "cat": ["1 mL", *key["cat"][1:]]}
    for folder in (plain, server):
        hand_in(folder, tmp_path / f"{folder.parent.name}-in", typed)
        mark(folder, SET, now=NOW)
        by_hand(folder)
        hand_in(folder, tmp_path / f"{folder.parent.name}-again", again, day=1)
        mark(folder, SET, now=NOW)
    rows = gradebook_rows(class_folder(plain))
    assert len(rows["grade"]) == 27
    assert gradebook_rows(class_folder(server)) == rows
    assert autograde(server, force=True) == [True, True, True]
    assert gradebook_rows(class_folder(server)) == rows


def calclib(*words: str) -> "subprocess.Popen[str]":
    """Start a command as a person would."""
    command = [sys.executable, "-c", "from calclib.cli import main; main()", *words]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.mark.parametrize("server", [True, False], ids=["postgresql", "sqlite"])
def test_two_markers_at_once(postgresql: Make, make_class: MakeClass, tmp_path: Path, server: bool) -> None:
    """Both come to their end, nothing is there twice, and the marks are those of one marker."""
    folder = make_class("class", postgresql() if server else None)
    alone = make_class("alone")
    for place in (folder, alone):
        key = {student: answers(place, student) for student in ("ann", "ben", "cat")}
        hand_in(place, tmp_path / f"{place.parent.name}-in", key)
    mark(alone, SET, now=NOW)
    markers = [calclib("mark", str(folder), SET) for _ in range(2)]
    for one in markers:
        out, err = one.communicate(timeout=120)
        assert one.returncode == 0, out + err
    assert gradebook_rows(class_folder(folder)) == gradebook_rows(class_folder(alone))


def both(plain: Path, server: Path, step: Callable[[Path], object]) -> list[object]:
    """Do the same in the class on SQLite and in the one on PostgreSQL; the gradebooks stay the same, row for row."""
    done = [step(plain), step(server)]
    assert gradebook_rows(class_folder(server)) == gradebook_rows(class_folder(plain))
    return done


def ruled(wish: RulingRequest) -> Callable[[Path], object]:
    """Makes a ruling, after a look at what it would lead to, and returns who gains and loses."""

    def step(folder: Path) -> object:
        tried = make_ruling(folder, SET, wish, now=NOW, preview=True).marked.changes
        done = make_ruling(folder, SET, wish, now=NOW).marked.changes
        assert tried == done
        return [(one.student.id, one.before, one.after, one.answers) for one in done]

    return step


def test_the_life_of_a_mark_is_the_same_as_on_sqlite(
    postgresql: Make, make_class: MakeClass, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Late hand-ins, review, every kind of ruling, re-keyed sets, attempts, export, explanation, history, erasure."""
    monkeypatch.setattr("tests.departments.conftest.BLUEPRINT", LIFE)
    (tmp_path / "corrected.toml").write_text(CORRECTED, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    plain, server = make_class("plain"), make_class("server", postgresql())
    key = {student: answers(plain, student) for student in ("ann", "ben", "cat")}
    assert key == {student: answers(server, student) for student in ("ann", "ben", "cat")}
    typed = {"ann": key["ann"], "ben": ["about a lot", "", *key["ben"][2:]], "cat": key["ann"]}

    def same(step: Callable[[Path], object]) -> object:
        """What a step gives, the same in both."""
        one, other = both(plain, server, step)
        assert one == other
        return one

    for folder in (plain, server):
        # Ann hands in three days late, of which two count against her: 20 per cent.
        hand_in(folder, tmp_path / f"{folder.parent.name}-in", typed, day=3)
    same(lambda folder: mark(folder, SET, now=NOW).waiting)
    results = set_results(class_folder(server), SET)
    assert {one.student.id: one.penalty for one in results.marked}["ann"] > 0
    for folder in (plain, server):
        by_hand(folder)
        notebook = class_folder(folder).submitted(SET, "cat")
        changed = json.loads(notebook.read_text(encoding="utf-8"))
        changed["metadata"].pop("calclib")
        notebook.write_text(json.dumps(changed), encoding="utf-8")
    assert same(lambda folder: [student.id for student, _ in mark(folder, SET, now=NOW).aside]) == ["cat"]
    assert same(lambda folder: waiting(folder, SET).answers) == 10
    for wish in RULINGS:
        same(ruled(wish))
    same(lambda folder: mark(folder, SET, now=NOW).changes)
    for student in ("ann", "ben", "cat"):
        texts = [explanation(folder, SET, student) for folder in (plain, server)]
        assert texts[0] == texts[1]
        assert "Re-keyed by ruling 9 and ruling 10" in texts[1]
    listed = [waiting(folder, SET).text.replace(str(folder), "CLASS") for folder in (plain, server)]
    assert listed[0] == listed[1]
    in_its_place = {5: "infusion-end-time"}
    again = same(lambda to: give_another_attempt(to, SET, now=NOW, students=["ben"], replace=in_its_place).given[0][1])
    assert again == 2
    again = {folder: answers(folder, "ben", 2) for folder in (plain, server)}
    assert again[plain] == again[server]
    for folder in (plain, server):
        hand_in(folder, tmp_path / f"{folder.parent.name}-again", {"ben": again[folder]}, day=4)
    same(lambda folder: mark(folder, SET, now=NOW).marked)
    assert {one.attempt for one in set_results(class_folder(server), SET).marked if one.student.id == "ben"} == {2}
    rows = [
        export(folder, SET, tmp_path / f"{folder.parent.name}.csv", answers=True).rows for folder in (plain, server)
    ]
    assert rows[0] == rows[1]
    assert len(rows[1]) == 27
    for folder in (plain, server):
        write_feedback(folder, SET)
        write_report(folder, SET)
    pages = [class_folder(folder).feedback(SET, "ben").read_bytes() for folder in (plain, server)]
    assert pages[0] == pages[1]
    with reading(class_folder(server)) as connection:
        name = pseudonyms(connection)["ann"]
    same(lambda folder: erase(folder, "ann", now=NOW).folders)
    same(lambda folder: mark(folder, SET, now=NOW).marked)
    with reading(class_folder(server)) as connection:
        assert "ann" not in pseudonyms(connection)
        typed_by_ann = select(func.count()).select_from(ANSWER).where(ANSWER.c.pseudonym == name)
        assert connection.execute(typed_by_ann).scalar() == 0
        assert connection.execute(select(func.count()).select_from(MARK).where(MARK.c.pseudonym == name)).scalar() == 9
        assert any("identity erased" in line for line in history_of(connection, SET, name))


def test_two_who_mark_and_rule_at_once(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Two rule and two mark in the same moment: each ruling has a number of its own, and all of them hold."""
    folder = make_class("class", postgresql())
    typed = {student: ["about a lot", *answers(folder, student)[1:]] for student in ("ann", "ben", "cat")}
    hand_in(folder, tmp_path / "in", typed)
    mark(folder, SET, now=NOW)
    words = ("rule", str(folder), SET, "--yes", "--reason", "Because.")
    jobs = [
        calclib(*words, "--problem", "1", "--credit-all"),
        calclib(*words, "--rounding", "tenths"),
        calclib(*words, "--problem", "2", "--void"),
        calclib("mark", str(folder), SET, "--yes"),
        calclib("mark", str(folder), SET, "--yes"),
    ]
    for one in jobs:
        out, err = one.communicate(timeout=180)
        assert one.returncode == 0, out + err
    with reading(class_folder(folder)) as connection:
        rulings = rulings_of(connection, SET)
        keyed = connection.execute(select(func.count()).select_from(REKEYED)).scalar()
    assert [one.number for one in rulings] == [1, 2, 3]
    assert {one.kind for one in rulings} == {"credit", "rounding", "void"}
    assert keyed == 15
    results = set_results(class_folder(folder), SET)
    assert [(one.earned, results.sealed.points) for one in results.marked] == [(11, 11)] * 3
    rows = gradebook_rows(class_folder(folder))
    assert len(rows["grade"]) == 27
    mark(folder, SET, now=NOW)
    assert gradebook_rows(class_folder(folder)) == rows


OPEN = """
import sys
from pathlib import Path
from calclib.gradebook.opening import open_gradebook, nbgrader_api
from calclib.class_files import class_folder
nbgrader_api()
print("ready", flush=True)
sys.stdin.readline()
with open_gradebook(class_folder(Path(sys.argv[1]))):
    pass
"""


@pytest.mark.parametrize("server", [True, False], ids=["postgresql", "sqlite"])
def test_the_first_opening_is_one_at_a_time(postgresql: Make, tmp_path: Path, server: bool) -> None:
    """Three that open an empty gradebook in the same moment all succeed, and its version is written once."""
    url = f'gradebook_url = "{postgresql()}"\n' if server else ""
    (tmp_path / "class.toml").write_text(f'course = "dosage"\n{url}', encoding="utf-8")
    command = [sys.executable, "-c", OPEN, str(tmp_path)]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    openers = [subprocess.Popen(command, text=True, **pipes) for _ in range(3)]
    for one in openers:
        assert one.stdout is not None
        assert one.stdout.readline() == "ready\n"
    with ThreadPoolExecutor(3) as pool:
        ended = list(pool.map(lambda one: one.communicate("go\n", timeout=60)[1], openers))
    assert [one.returncode for one in openers] == [0] * 3, ended
    rows = gradebook_rows(class_folder(tmp_path))
    assert (len(rows["alembic_version"]), len(rows["course"])) == (1, 1)


def test_nbgrader_can_change_its_own_tables(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Our tables don't stand in the way of `nbgrader db upgrade`, nor of removing a student there."""
    folder = make_class("class", postgresql())
    hand_in(folder, tmp_path / "in", {"ann": answers(folder, "ann")})
    mark(folder, SET, now=NOW)
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    command = [sys.executable, "-m", "nbgrader", "db", "upgrade"]
    done = subprocess.run(
        command, cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True, timeout=120
    )
    assert done.returncode == 0, done.stderr
    with Gradebook(class_folder(folder).gradebook_url, "dosage") as gradebook:
        gradebook.remove_student("ann")
    with reading(class_folder(folder)) as connection:
        assert connection.execute(select(func.count()).select_from(MARK)).scalar() == 9


def test_a_database_that_is_away_is_one_sentence(postgresql: Make, make_class: MakeClass, tmp_path: Path) -> None:
    """Also where it was never started, or where the address lacks its driver; and nothing is left half made."""
    url = postgresql()
    folder = make_class("class", url)
    wrong = folder / "class.toml"
    text = wrong.read_text(encoding="utf-8")
    for old, new in ((url.split("host=")[1], "/nowhere&port=1"), ("@/", "@/no"), ("+psycopg:", "+no:")):
        wrong.write_text(text.replace(old, new), encoding="utf-8")
        with pytest.raises(CalclibError) as caught:
            mark(folder, SET, now=NOW)
        assert "\n" not in str(caught.value)
    wrong.write_text(text.replace(url, postgresql()), encoding="utf-8")
    with pytest.raises(CalclibError, match="start the class first"), reading(class_folder(folder)) as connection:
        pseudonyms(connection)
    shutil.rmtree(tmp_path / "class" / "class")
    with pytest.raises(CalclibError):
        start_class(tmp_path / "other", tmp_path / "class" / "roster.csv", db_url=url.replace("@/", "@/no"))
    assert not (tmp_path / "other").exists()


def test_a_set_is_taken_back_as_on_sqlite(postgresql: Make, make_class: MakeClass) -> None:
    """The same rows are left, and the name takes another set."""
    plain, server = make_class("plain"), make_class("server", postgresql())
    for folder in (plain, server):
        make_ruling(folder, SET, RULINGS[8], now=NOW)
        assert take_back(folder, SET, now=NOW).students == 3
    with reading(class_folder(server)) as left, reading(class_folder(plain)) as right:
        for table in METADATA.sorted_tables:
            assert sorted(map(tuple, left.execute(select(table)))) == sorted(map(tuple, right.execute(select(table))))
    assert gradebook_rows(class_folder(server)) == gradebook_rows(class_folder(plain))
    assert [hand_out(folder, SET, now=NOW).new for folder in (plain, server)] == [3, 3]
