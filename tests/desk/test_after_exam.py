"""After an exam at the desk: retests, talks, appeals and standing are recorded as by the commands, once, from here."""

from __future__ import annotations

import datetime as dt
import re
import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest
from sqlalchemy import select

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import waiting
from calclib.records import reading
from calclib.records.handed_out import latest_attempts
from calclib.records.history import EventKind
from calclib.records.sealed import sealed_set
from calclib.records.tables import HISTORY
from calclib.releasing import hand_out
from calclib.releasing.coached import record_talk
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.remediation.signing import sign_standing
from tests.desk.served import UNREAD, Desk, Window
from tests.releasing.further_attempts.test_attempts import FOUR_HOURS, filled, hand_in, key
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import BLUEPRINT, NOW

BEN = "sets/week-3/students/ben"
TALK = {"by": "Dr. Elm", "note": "Drop rates, step by step.", "agreed": "Practice by Friday."}
WITHOUT = frozenset({"at"})


@pytest.fixture(scope="module")
def failed_once(made_class: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The set allows two attempts; Ann has all right, and Ben fails the first."""
    place = tmp_path_factory.mktemp("failed")
    folder = Path(shutil.copytree(made_class, place / "class"))
    (place / "week-3.toml").write_text(BLUEPRINT.replace("cut_score", "attempts = 2\ncut_score"), encoding="utf-8")
    hand_out(folder, place / "week-3.toml", now=NOW)
    for student, answers in (("ann", key(folder, "ann", 1)), ("ben", {"answer_1": "1 gtt/min"})):
        path = class_folder(folder).submitted("week-3", student)
        path.parent.mkdir(parents=True)
        path.write_bytes(filled(folder, student, answers))
    mark(folder, "week-3", now=NOW)
    return folder


@pytest.fixture
def by_command(failed_once: Path, tmp_path: Path) -> Path:
    """Such a class for the commands."""
    return Path(shutil.copytree(failed_once, tmp_path / "by-command"))


@pytest.fixture
def two_tries(served: Desk, failed_once: Path) -> Desk:
    """The same class at the desk."""
    shutil.rmtree(served.folder)
    shutil.copytree(failed_once, served.folder)
    return served


def history(folder: Path) -> list[tuple[str, str, str, str]]:
    """The lines of the history, without their times."""
    columns = (HISTORY.c.event, HISTORY.c.set_name, HISTORY.c.pseudonym, HISTORY.c.detail)
    with reading(class_folder(folder)) as connection:
        return [tuple(row) for row in connection.execute(select(*columns).order_by(HISTORY.c.id))]


def same(desk: Desk, other: Path) -> None:
    """Both classes hold the same rows and the same history but for the times at which they were written."""
    here, there = class_folder(desk.folder), class_folder(other)
    assert gradebook_rows(here, without=WITHOUT) == gradebook_rows(there, without=WITHOUT)
    assert history(desk.folder) == history(other)


def form(window: Window, place: str, number: int = -1) -> dict[str, str]:
    """The hidden fields of a form of a page."""
    return window.get(place).fields(number)


def attempts(folder: Path) -> Mapping[str, int]:
    """The last attempt that each student was handed."""
    with reading(class_folder(folder)) as connection:
        return latest_attempts(connection, "week-3")


def test_talks_and_appeals_are_those_of_the_commands(two_tries: Desk, by_command: Path) -> None:
    """Coached, appealed, settled: the same lines; an appeal that isn't open can't be settled, nor one opened twice."""
    window = two_tries.window()
    for do in ("coached", "appealed", "appeal_settled"):
        page = window.post(f"{BEN}/talks", {**form(window, BEN), **TALK, "do": do})
        assert page.status == 200 and TALK["note"] in page.words
        record_talk(by_command, "week-3", "ben", kind=EventKind(do), now=NOW, **TALK)
    same(two_tries, by_command)
    assert "Practice by Friday." in window.get("standing").words
    early = window.post(f"{BEN}/talks", {**form(window, BEN), **TALK, "do": "appeal_settled"})
    assert early.status == 400 and "none can be settled" in early.words
    for missing in ("by", "note"):
        refused = window.post(f"{BEN}/talks", {**form(window, BEN), **TALK, "do": "coached", missing: " "})
        assert refused.status == 400 and "Say who, and what it was about" in refused.words
    assert window.post(f"{BEN}/talks", {**form(window, BEN), **TALK, "do": "erase"}).status == 400
    same(two_tries, by_command)


def test_a_retest_is_drawn_as_by_the_command(two_tries: Desk, by_command: Path) -> None:
    """Who may have one and who not is shown first; the attempt is that of `calclib again --below-cut`."""
    window = two_tries.window()
    page = window.get("sets/week-3/again")
    assert "Ben Birch (ben) : attempt 2; no remediation on record" in page.words
    assert "1 student, who passes" in page.words and "Cat Cedar (cat)" in page.words
    done = window.post("sets/week-3/again", {**page.fields(), "due": "2099-12-01T12:00"})
    assert "1 student has another attempt" in done.words and "December 2, 2099, 12:00 UTC" in done.words
    due = dt.datetime(2099, 12, 1, 12, tzinfo=dt.UTC)
    give_another_attempt(by_command, "week-3", now=NOW, below_cut=True, due=due)
    same(two_tries, by_command)
    here, there = (class_folder(one).rendered("week-3", "ben").read_bytes() for one in (two_tries.folder, by_command))
    assert here == there
    parallel = window.get("sets/week-3/parallel")
    assert "attempt 2 against attempt 1" in parallel.words
    assert "retest booked" in window.get("standing").words


def test_the_school_s_rule_holds_at_the_desk_too(two_tries: Desk) -> None:
    """Where remediation must come first, a retest is refused until it is on record since the attempt was marked."""
    (two_tries.folder / "standing.toml").write_text("remediation = true\n", encoding="utf-8")
    window = two_tries.window()
    page = window.get("sets/week-3/again")
    assert "has no remediation on record since attempt 1" in page.words
    fields = {**page.fields(), "only": "ben"}
    assert "has no remediation on record" in window.post("sets/week-3/again", fields).words
    assert attempts(two_tries.folder)["ben"] == 1
    window.post(f"{BEN}/talks", {**form(window, BEN), **TALK, "do": "coached"})
    assert window.post("sets/week-3/again", form(window, "sets/week-3/again")).status == 200
    assert attempts(two_tries.folder)["ben"] == 2


def test_standing_is_signed_by_a_named_person(two_tries: Desk, by_command: Path) -> None:
    """As by the command; what was signed is told apart from what has changed since; nothing says safe or cleared."""
    window = two_tries.window()
    page = window.get("standing")
    assert not {"safe", "cleared", "competent"} & set(page.words.casefold().split())
    nameless = window.post("standing", {**page.fields(), "by": " "})
    assert nameless.status == 400 and "Who signs?" in nameless.words
    signed = window.post("standing", {**page.fields(), "by": "Dr. Elm", "only": "ann"})
    assert "Dr. Elm read and signed where 1 student stands" in signed.words
    sign_standing(by_command, by="Dr. Elm", students=("ann",), now=NOW)
    same(two_tries, by_command)
    assert signed.words.count("Read and signed by Dr. Elm on") == 1
    make_ruling(two_tries.folder, "week-3", RulingRequest("void", {}, "Unclear.", 1), now=NOW)
    credit = RulingRequest("answer", {"points": "0"}, "A slip.", 4, "verdict", "ann")
    make_ruling(two_tries.folder, "week-3", credit, now=NOW)
    assert "it has changed since" in window.get("standing").words


def test_an_answer_of_an_attempt_that_does_not_count_is_ruled_on(two_tries: Desk) -> None:
    """What waits in a retest is listed though the first attempt counts; a ruling on it makes the retest the best."""
    folder = two_tries.folder
    for attempt in (1, 2):
        answers = {"answer_1": key(folder, "cat", attempt)["answer_1"]}
        unread = {"answer_2": UNREAD} if attempt == 2 else {}
        hand_in(folder, "cat", filled(folder, "cat", answers | unread), NOW + attempt * FOUR_HOURS)
        mark(folder, "week-3", now=NOW + attempt * FOUR_HOURS)
        if attempt == 1:
            give_another_attempt(folder, "week-3", now=NOW + FOUR_HOURS, students=["cat"])
    listed = waiting(folder, "week-3").text
    assert "Cat Cedar (cat), attempt 2, problem 2" in listed
    assert '--student cat --attempt 2 --problem 2 --points 1 --reason "..."' in listed
    window = two_tries.window()
    page = window.get("sets/week-3")
    assert "Cat Cedar (cat), attempt 2, problem 2" in page.words
    assert "1 attempt that doesn't count as it stands has answers that wait" in page.words
    fields = window.get("sets/week-3/students/cat/answers/2/drops?attempt=2").fields()
    assert fields["attempt"] == "2"
    for wrong in ("9", "two"):
        refused = window.post("sets/week-3/preview", {**fields, "attempt": wrong, "do": "answer", "points": "1"})
        assert refused.status == 400
    preview = window.post("sets/week-3/preview", {**fields, "do": "answer", "points": "1"})
    assert re.search(r"Cat Cedar \(cat\):.* 1 of 12 \(8.3%\) to .*2 of 12 \(16.6%\)", preview.words), preview.words
    done = window.post("sets/week-3/rule", {**preview.fields(), "reason": "She said 23.", "by": ""})
    assert done.status == 200 and "attempt 2, problem 2" not in done.words
    assert set_results(class_folder(folder), "week-3").students[2].attempt == 2


FORMS = {
    "talks": (BEN, f"{BEN}/talks", {**TALK, "do": "coached"}),
    "again": ("sets/week-3/again", "sets/week-3/again", {}),
    "standing": ("standing", "standing", {"by": "Dr. Elm"}),
}


@pytest.mark.parametrize("name", FORMS)
def test_a_form_is_sent_once_and_from_here_alone(two_tries: Desk, name: str) -> None:
    """From another site nothing is done; of two windows the second is shown the newest state, and so is a stale one."""
    page, place, typed = FORMS[name]
    window = two_tries.window()
    before = history(two_tries.folder)
    fields = {**form(window, page), **typed}
    for headers in ({"Origin": "https://elsewhere.example"}, {"Sec-Fetch-Site": "cross-site"}):
        assert window.post(place, fields, headers=headers).status == 403
    assert window.post(place, {**fields, "_xsrf": ""}).status == 403
    forged = {key: value for key, value in fields.items() if key not in ("state", "seen")}
    assert window.post(place, forged).status == 409
    assert history(two_tries.folder) == before
    other = two_tries.window()
    theirs = {**form(other, page), **typed}
    assert window.post(place, fields).status == 200
    once = history(two_tries.folder)
    assert once != before
    late = other.post(place, theirs)
    assert late.status == 409 and re.search("since th(is|e) page was made", late.words)
    assert history(two_tries.folder) == once


def test_what_took_the_place_of_a_problem_is_named_beside_it(two_tries: Desk) -> None:
    """On the page of the set, and where faculty rule on the problem for everyone."""
    folder = two_tries.folder
    make_ruling(folder, "week-3", RulingRequest("credit", {}, "Unclear.", problem=1), now=NOW)
    give_another_attempt(folder, "week-3", now=NOW + FOUR_HOURS, students=("ben",))
    with reading(class_folder(folder)) as connection:
        sealed = sealed_set(connection, "week-3")
    assert sealed is not None
    first, other = sealed.slots[0].titles
    for page in ("sets/week-3", "sets/week-3/problems/1"):
        assert f"{first} (in later attempts: {other})" in two_tries.window().get(page).words
