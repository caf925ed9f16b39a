import datetime as dt
import json
import os
import pwd
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from nbgrader.api import Gradebook

from calclib.class_files import class_folder
from calclib.collecting import collect
from calclib.collecting.can_accept import acceptance
from calclib.errors import BadInput
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, waiting, write_feedback
from calclib.plugins.stock_exchange import PrivateFetch
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.records.questioned import Question, QuestionKind, keep_questioned
from calclib.releasing import hand_out, release, start_class
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.wording import sentence
from tests.judging_papers.test_changes import CONFIRMED, tenfold
from tests.plugins.test_stock_autograde import autograde
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

FOUR_HOURS = dt.timedelta(hours=4)


@pytest.fixture(scope="session")
def several(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Makes a class whose set allows two attempts and keeps one of them by a rule."""
    place = tmp_path_factory.mktemp("several")
    (place / "roster.csv").write_text(ROSTER.replace("cat,Cat Cedar,,,", "cat,Cat Cedar,,,extra_attempts=1"))

    def make(keep: str) -> Path:
        folder = place / keep
        if not folder.exists():
            order = BLUEPRINT.replace("cut_score", f'attempts = 2\nkeep = "{keep}"\ncut_score')
            (place / f"{keep}.toml").write_text(order)
            start_class(folder, place / "roster.csv")
            hand_out(folder, place / f"{keep}.toml", now=NOW)
        return folder

    return make


@pytest.fixture
def folder(several: Callable[[str], Path], tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """A copy of such a class for one test."""
    return Path(shutil.copytree(several(getattr(request, "param", "best")), tmp_path / "class"))


def key(folder: Path, student: str, attempt: int) -> dict[str, str]:
    """The right answers of one attempt, by variable."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, "week-3", pseudonyms(connection)[student], attempt)
    assert paper is not None
    parts = [part for item in paper.items for part in item.record["parts"]]
    return {f"answer_{n}": part["answer"] for n, part in enumerate(parts, start=1)}


def filled(folder: Path, student: str, answers: Mapping[str, str]) -> bytes:
    """The notebook that the student has now, with answers typed in."""
    notebook: dict[str, Any] = json.loads(class_folder(folder).rendered("week-3", student).read_bytes())
    for cell in notebook["cells"]:
        for variable, text in answers.items():
            if "".join(cell["source"]).startswith(f'{variable} = ""'):
                cell["source"] = f'{variable} = "{text}"'
    return json.dumps(notebook).encode()


def hand_in(folder: Path, student: str, notebook: bytes, time: dt.datetime) -> None:
    """Let a notebook come in at a time, and collect it."""
    source = folder.parent / "incoming"
    path = source / student / "week-3.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(notebook)
    os.utime(path, (time.timestamp(), time.timestamp()))
    collect(folder, "week-3", source, now=NOW + 10 * FOUR_HOURS)


def score(folder: Path, student: str) -> float:
    """The score as nbgrader adds it up."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        return float(gradebook.find_submission("week-3", student).score)


def one_counts(folder: Path) -> str:
    """The rule of the blueprint as faculty wrote it."""
    text = class_folder(folder).blueprint("week-3").read_text(encoding="utf-8")
    return text.partition('keep = "')[2].partition('"')[0] or "best"


def twice(folder: Path, first: int, second: int) -> None:
    """Let Ann hand in two attempts with so many right answers each, and mark after each."""
    for attempt, right in ((1, first), (2, second)):
        answers = dict(list(key(folder, "ann", attempt).items())[:right])
        hand_in(folder, "ann", filled(folder, "ann", answers), NOW + attempt * FOUR_HOURS)
        mark(folder, "week-3", now=NOW + attempt * FOUR_HOURS)
        if attempt == 1:
            give_another_attempt(folder, "week-3", now=NOW + attempt * FOUR_HOURS, students=["ann"])


@pytest.mark.parametrize(
    ("folder", "first", "second", "kept"),
    [("best", 2, 1, 2), ("best", 1, 2, 2), ("last", 2, 1, 1), ("first", 1, 2, 1)],
    indirect=["folder"],
)
def test_one_attempt_counts_by_the_rule(folder: Path, first: int, second: int, kept: int) -> None:
    """The gradebook has its score and its time, and feedback and explanation speak of it."""
    twice(folder, first, second)
    number = 1 if kept == first else 2
    assert score(folder, "ann") == kept
    (one,) = set_results(class_folder(folder), "week-3").marked
    assert (one.attempt, one.time) == (number, NOW + number * FOUR_HOURS)
    assert one.earned == kept
    said = f"Attempt {number}, one of 2 that were marked. Of several attempts the {one_counts(folder)} counts."
    assert said in explanation(folder, "week-3", "ann", 1)
    write_feedback(folder, "week-3")
    page = class_folder(folder).feedback("week-3", "ann").read_text(encoding="utf-8")
    assert key(folder, "ann", number)["answer_1"] in page
    assert said in page


def test_an_attempt_that_fails_the_set_is_not_the_best(folder: Path) -> None:
    """One that earns less and fails nothing counts; of two that fail, or beside one without points, the better."""
    make_ruling(folder, "week-3", RulingRequest("marking", {"policy": "strict-exam"}, "It is an exam."), now=NOW)
    hand_in(folder, "ann", filled(folder, "ann", tenfold(key(folder, "ann", 1))), NOW + FOUR_HOURS)
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 11
    make_ruling(folder, "week-3", CONFIRMED, now=NOW)
    give_another_attempt(folder, "week-3", now=NOW + FOUR_HOURS, students=["ann"])
    hand_in(folder, "ann", filled(folder, "ann", {}), NOW + 2 * FOUR_HOURS)
    mark(folder, "week-3", now=NOW)
    assert score(folder, "ann") == 11
    answers = key(folder, "ann", 2) | {"answer_1": "", "answer_2": ""}
    hand_in(folder, "ann", filled(folder, "ann", answers), NOW + 3 * FOUR_HOURS)
    (resubmitted,) = mark(folder, "week-3", now=NOW).resubmitted
    assert (resubmitted.attempt, resubmitted.change.failed_before, resubmitted.change.failed_after) == (2, True, False)
    (one,) = set_results(class_folder(folder), "week-3").marked
    assert (score(folder, "ann"), one.attempt, one.failed_outright) == (10, 2, False)


def test_a_new_notebook_is_counted_though_another_attempt_counts(folder: Path) -> None:
    """A worse second attempt is new too, though nothing changes by it."""
    twice(folder, 2, 0)
    hand_in(folder, "ann", filled(folder, "ann", dict(list(key(folder, "ann", 2).items())[:1])), NOW + 3 * FOUR_HOURS)
    found = mark(folder, "week-3", now=NOW)
    assert (found.changed, found.changes, found.resubmitted) == (1, (), ())
    assert score(folder, "ann") == 2


def test_another_attempt_has_other_numbers(folder: Path) -> None:
    """The notebook that is given takes the place of the first, with another tag and other stems."""
    before = json.loads(class_folder(folder).rendered("week-3", "ann").read_bytes())
    twice(folder, 1, 1)
    after = json.loads(class_folder(folder).rendered("week-3", "ann").read_bytes())
    assert before["metadata"]["calclib"]["tag"] != after["metadata"]["calclib"]["tag"]
    assert before["cells"][2]["source"] != after["cells"][2]["source"]
    assert [cell["id"] for cell in before["cells"]] == [cell["id"] for cell in after["cells"]]
    assert hand_out(folder, "week-3", now=NOW).new == 0
    assert json.loads(class_folder(folder).rendered("week-3", "ann").read_bytes()) == after


def test_an_earlier_attempt_that_comes_in_later_is_marked_by_its_own_numbers(folder: Path) -> None:
    """The tag tells which attempt a notebook belongs to, not the time."""
    first = filled(folder, "ann", key(folder, "ann", 1))
    twice(folder, 1, 1)
    hand_in(folder, "ann", first, NOW + 3 * FOUR_HOURS)
    mark(folder, "week-3", now=NOW + 3 * FOUR_HOURS)
    assert score(folder, "ann") == 12


def test_nobody_gets_more_attempts_than_allowed(folder: Path) -> None:
    """The blueprint's number, the roster's extra ones on top; and only after the last one was handed in."""
    twice(folder, 1, 1)
    result = give_another_attempt(folder, "week-3", now=NOW)
    assert result.given == ()
    assert [sentence(reason) for _, reason in result.refused] == [
        "has had all 2 attempts",
        "hasn't handed in attempt 1, or it isn't marked yet",
        "hasn't handed in attempt 1, or it isn't marked yet",
    ]
    for attempt in (1, 2):
        hand_in(folder, "cat", filled(folder, "cat", {}), NOW + attempt * FOUR_HOURS)
        mark(folder, "week-3", now=NOW)
        given = give_another_attempt(folder, "week-3", now=NOW, students=["cat"]).given
        assert [number for _, number in given] == [attempt + 1]


def test_those_who_reach_the_cut_score_can_be_left_out(folder: Path) -> None:
    """A mastery rule: again until passed."""
    for student in ("ann", "ben"):
        answers = key(folder, student, 1) if student == "ann" else {}
        hand_in(folder, student, filled(folder, student, answers), NOW)
    mark(folder, "week-3", now=NOW)
    given = give_another_attempt(folder, "week-3", now=NOW, below_cut=True).given
    assert [student.id for student, _ in given] == ["ben"]


def test_marking_attempts_again_changes_nothing(folder: Path) -> None:
    """The same rows."""
    twice(folder, 2, 1)

    def rows() -> object:
        with reading(class_folder(folder)) as connection:
            return [
                sorted(map(tuple, connection.exec_driver_sql(question)), key=str)
                for question in ("select * from calclib_mark", "select * from grade", "select * from calclib_history")
            ]

    before = rows()
    found = mark(folder, "week-3", now=NOW + 5 * FOUR_HOURS)
    assert (found.changed, found.changes, rows()) == (0, (), before)


@pytest.mark.filterwarnings("ignore:Object of type:sqlalchemy.exc.SAWarning")  # from nbgrader's own session
@pytest.mark.parametrize("folder", ["best", "last", "first"], indirect=True)
def test_stock_and_ours_leave_the_same_rows_for_each_attempt(folder: Path, tmp_path: Path) -> None:
    """Row for row in our tables and nbgrader's, and the same notebook for the formgrader.

    After the first attempt, a worse second one, one with an answer that waits, and by force.
    """
    twin = Path(shutil.copytree(folder, tmp_path / "stock" / "class"))
    first = dict(list(key(folder, "ann", 1).items())[:3])

    def step(answers: Mapping[str, str], hours: int, *, force: bool = False) -> None:
        """Let the same notebook come in to both, mark each in its way, and compare."""
        for place in (folder, twin):
            hand_in(place, "ann", filled(place, "ann", answers), NOW + hours * FOUR_HOURS)
        mark(folder, "week-3", now=NOW)
        assert autograde(twin, force=force, students=("ann",)) == [True]
        assert gradebook_rows(class_folder(twin)) == gradebook_rows(class_folder(folder))
        shown = [class_folder(place).autograded("week-3", "ann").read_bytes() for place in (folder, twin)]
        assert shown[0] == shown[1]

    step(first, 1)
    for place in (folder, twin):
        given = give_another_attempt(place, "week-3", now=NOW, students=["ann"]).given
        assert [number for _, number in given] == [2]
    second = dict(list(key(folder, "ann", 2).items())[:1])
    assert key(folder, "ann", 2) == key(twin, "ann", 2)
    step(second, 2)
    kept = 1 if "last" in folder.joinpath("blueprints", "week-3.toml").read_text(encoding="utf-8") else 4
    assert score(twin, "ann") == score(folder, "ann") == kept
    step(second | {"answer_2": "about a lot"}, 3)
    step(key(folder, "ann", 2), 4, force=True)
    assert score(twin, "ann") == (4 if "first" in folder.joinpath("blueprints", "week-3.toml").read_text() else 12)


def untagged(folder: Path, answers: Mapping[str, str], *, stems: bool = True, lost: str = "metadata") -> bytes:
    """Ann's notebook without its metadata, as some programs save it, perhaps with its questions taken out.

    What is lost may also be the tag alone, or another stands there.
    """
    notebook = json.loads(filled(folder, "ann", answers))
    ours = notebook["metadata"]["calclib"]
    if lost == "metadata":
        del notebook["metadata"]["calclib"]
    elif lost == "tag":
        del ours["tag"]
    else:
        ours["tag"] = ours["tag"][::-1]
    if not stems:
        notebook["cells"] = [cell for cell in notebook["cells"] if not cell["id"].endswith("-stem")]
    return json.dumps(notebook).encode()


@pytest.mark.parametrize(
    ("given_before", "lost"),
    [
        pytest.param(False, "metadata", id="before the retake"),
        pytest.param(True, "metadata", id="after the retake was given"),
        pytest.param(False, "tag", id="its tag alone"),
        pytest.param(True, "another tag", id="with another tag after the retake was given"),
    ],
)
def test_what_has_no_tag_and_was_displaced_by_a_retake_can_be_taken(
    folder: Path, given_before: bool, lost: str
) -> None:
    """It waits beside the retake, is marked by the problems that it shows, and goes again when the ruling does."""
    first = untagged(folder, key(folder, "ann", 1), lost=lost)
    hand_in(folder, "ann", filled(folder, "ann", {}) if given_before else first, NOW + FOUR_HOURS)
    mark(folder, "week-3", now=NOW + FOUR_HOURS)
    give_another_attempt(folder, "week-3", now=NOW + 2 * FOUR_HOURS, students=["ann"])
    second = filled(folder, "ann", dict(list(key(folder, "ann", 2).items())[:2]))
    if given_before:
        hand_in(folder, "ann", second, NOW + 3 * FOUR_HOURS)
        hand_in(folder, "ann", first, NOW + 4 * FOUR_HOURS)
    else:
        hand_in(folder, "ann", second, NOW + 3 * FOUR_HOURS)
    mark(folder, "week-3", now=NOW + 5 * FOUR_HOURS)
    assert score(folder, "ann") == 2
    can = acceptance(folder, "week-3")
    text = waiting(folder, "week-3", notebook_fits=can.notebook, hand_in_fits=can.hand_in).text
    sign = text.partition("--take-hand-in ")[2].partition(" ")[0]
    wish = RulingRequest("hand_in", {"sign": sign, "outcome": "taken"}, "Her editor lost it.", student="ann")
    make_ruling(folder, "week-3", wish, now=NOW + 6 * FOUR_HOURS, preview=True)
    assert score(folder, "ann") == 2
    make_ruling(folder, "week-3", wish, now=NOW + 6 * FOUR_HOURS)
    mark(folder, "week-3", now=NOW + 7 * FOUR_HOURS)
    assert score(folder, "ann") == 12
    (one,) = set_results(class_folder(folder), "week-3").marked
    assert (one.attempt, one.aside) == (1, None)
    gone = RulingRequest("withdraw", {"number": "1"}, "It was Ben's editor.")
    make_ruling(folder, "week-3", gone, now=NOW + 8 * FOUR_HOURS)
    assert score(folder, "ann") == 2


def test_another_students_notebook_is_taken_by_no_ruling(folder: Path) -> None:
    """One that says whose it is isn't anybody else's, whatever is ruled."""
    hand_in(folder, "ann", filled(folder, "ann", {}), NOW + FOUR_HOURS)
    keep_questioned(
        class_folder(folder), "week-3", "ann", filled(folder, "ben", {}), Question(QuestionKind.NOT_OWN), NOW
    )
    (path,) = folder.glob("questioned/ann/week-3/*.json")
    wish = RulingRequest("hand_in", {"sign": path.stem, "outcome": "taken"}, "It is hers.", student="ann")
    with pytest.raises(BadInput, match="isn't the notebook that was handed out to ann"):
        make_ruling(folder, "week-3", wish, now=NOW + FOUR_HOURS)


def test_what_has_no_tag_belongs_to_the_attempt_of_its_time(folder: Path) -> None:
    """A first notebook that lost its metadata isn't judged by the numbers of a second that was given out later."""
    hand_in(folder, "ann", untagged(folder, key(folder, "ann", 1), stems=False), NOW + FOUR_HOURS)
    assert mark(folder, "week-3", now=NOW + FOUR_HOURS).aside
    give_another_attempt(folder, "week-3", now=NOW + 2 * FOUR_HOURS, students=["ann"])
    assert mark(folder, "week-3", now=NOW + 2 * FOUR_HOURS).changed == 0
    wish = RulingRequest("take", {}, "It is hers.", student="ann")
    make_ruling(folder, "week-3", wish, now=NOW + 2 * FOUR_HOURS)
    assert score(folder, "ann") == 12


def test_another_attempt_goes_through_the_exchange(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Released again it takes the place of the first; fetched into a new folder, each counts as itself."""
    exchange = tmp_path / "exchange"
    (exchange / "dosage" / "inbound").mkdir(parents=True)
    account = pwd.getpwuid(os.getuid())
    monkeypatch.setattr("pwd.getpwnam", lambda name: {"aash": account}[name])
    monkeypatch.setattr("calclib.releasing.exchange_outbound._give", lambda *_: None)
    monkeypatch.setattr("calclib.collecting.exchange_inbound._owner", lambda _state: "aash")
    own = exchange / "dosage" / "private" / "aash" / "week-3"
    home = tmp_path / "home"
    fetched: list[bytes] = []
    for attempt, right in ((1, 3), (2, 1)):
        assert [one.id for one in release(folder, "week-3", exchange, now=NOW).new] == ["ann"]
        local = home / f"week-3 {attempt}"
        PrivateFetch.do_copy(None, str(own), str(local))  # type: ignore[arg-type]
        fetched.append((local / "week-3.ipynb").read_bytes())
        answers = dict(list(key(folder, "ann", attempt).items())[:right])
        time = f"{NOW + attempt * FOUR_HOURS:%Y-%m-%d %H:%M:%S.%f} UTC"
        hand_in_folder = exchange / "dosage" / "inbound" / f"aash+week-3+{time}+x1"
        hand_in_folder.mkdir()
        (hand_in_folder / "week-3.ipynb").write_bytes(filled(folder, "ann", answers))
        assert [one.id for one in collect(folder, "week-3", exchange, now=NOW + 3 * FOUR_HOURS).new] == ["ann"]
        mark(folder, "week-3", now=NOW)
        if attempt == 1:
            give_another_attempt(folder, "week-3", now=NOW, students=["ann"])
    assert fetched[0] != fetched[1]
    (one,) = set_results(class_folder(folder), "week-3").marked
    assert (one.attempt, one.earned, one.time) == (1, 4, NOW + FOUR_HOURS)
    assert (home / "week-3 1" / "week-3.ipynb").read_bytes() == fetched[0]


def test_an_unknown_student_is_refused(folder: Path) -> None:
    """By the id."""
    with pytest.raises(BadInput, match="id 'zoe'"):
        give_another_attempt(folder, "week-3", now=NOW, students=["zoe"])
