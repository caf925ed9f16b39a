"""A ruling at the desk is the ruling of the command: shown first, recorded once, never from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling
from calclib.pages import explanation
from calclib.records import reading, rulings_of
from tests.desk.served import Answer, Desk, Window
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import NOW

ANSWER = "sets/week-3/students/ben/answers/2/drops"
REASON = "She said 23 in words."


def rulings(folder: Path) -> list[tuple[int, str, str, str]]:
    """Number, kind, reason and author of each ruling."""
    with reading(class_folder(folder)) as connection:
        return [(one.number, one.kind, one.reason, one.by) for one in rulings_of(connection, "week-3")]


def points(folder: Path) -> dict[str, str]:
    """Each student's points."""
    return {one.student.id: str(one.earned) for one in set_results(class_folder(folder), "week-3").students}


def shown(window: Window, **more: str) -> Answer:
    """Who gains and who loses if the answer that waits gets a point."""
    form = window.get(ANSWER).fields()
    return window.post("sets/week-3/preview", {**form, "do": "answer", "points": "1", **more})


def state(window: Window) -> dict[str, str]:
    """What every form of the set brings back by now."""
    return window.get("sets/week-3/whole").fields()


def record(window: Window, preview: Answer, **more: str) -> Answer:
    """The ruling recorded, as the page that shows its effect sends it."""
    return window.post("sets/week-3/rule", {**preview.fields(), "reason": REASON, "by": "Dr. Elm", **more})


def test_a_case_is_settled_as_the_command_settles_it(desk: Desk, marked_class: Path) -> None:
    """First who gains is shown and nothing is written; then the same rows stand there as after the command."""
    before = gradebook_rows(class_folder(desk.folder))
    window = desk.window()
    preview = shown(window)
    assert "Ben Birch (ben): 9 of 12 (75%) to 10 of 12 (83.3%)" in preview.words
    assert "problem 2, drop rate: 0 to 1" in preview.words
    assert gradebook_rows(class_folder(desk.folder)) == before and rulings(desk.folder) == []
    done = record(window, preview)
    assert done.status == 200
    assert "Ruling 1 is recorded" in done.words and REASON in done.words
    assert rulings(desk.folder) == [(1, "answer", REASON, "Dr. Elm")]
    request = RulingRequest("answer", {"points": "1"}, REASON, 2, "drops", "ben", "Dr. Elm")
    make_ruling(marked_class, "week-3", request, now=NOW)
    without = frozenset({"at"})
    ruled = gradebook_rows(class_folder(desk.folder), without=without)
    assert ruled == gradebook_rows(class_folder(marked_class), without=without)
    assert "Dr. Elm" in explanation(desk.folder, "week-3", "ben", 2)


def test_a_ruling_needs_its_reason(desk: Desk) -> None:
    """Blank space is none: the effect is shown again, with nothing recorded."""
    window = desk.window()
    again = record(window, shown(window), reason=" \n ")
    assert again.status == 400
    assert "Write the reason first" in again.words and "Who gains and who loses" in again.words
    assert rulings(desk.folder) == []


def test_two_windows_never_rule_twice(desk: Desk) -> None:
    """Both show the effect; the second to record is refused and shows what holds by now, and so does a second click."""
    one, other = desk.window(), desk.window()
    first, second = shown(one), shown(other)
    assert record(one, first).status == 200
    refused = record(other, second)
    assert refused.status == 409
    assert "Marks or rulings of this set changed since you looked" in refused.words
    assert "Ruling 2" in refused.words and "Nobody's marks change." in refused.words
    assert record(one, first).status == 409
    assert [number for number, *_ in rulings(desk.folder)] == [1]


def test_a_stale_window_is_refused_and_shows_the_newest_state(desk: Desk) -> None:
    """What was ruled elsewhere meanwhile, by the command too, stands there; nothing was done."""
    window = desk.window()
    form = window.get(ANSWER).fields()
    make_ruling(desk.folder, "week-3", RulingRequest("credit", {}, "Unclear.", 2), now=NOW)
    late = window.post("sets/week-3/preview", {**form, "do": "answer", "points": "0"})
    assert late.status == 409
    assert "Something changed since this page was made" in late.words
    assert late.fields()["state"] != form["state"]
    plans = window.post("sets/week-3/remediation", {**late.fields(), "state": form["state"]})
    assert plans.status == 409 and not (desk.folder / "plans").exists()
    assert [number for number, *_ in rulings(desk.folder)] == [1]


@pytest.mark.parametrize(
    ("headers", "token"),
    [
        ({}, ""),
        ({}, "2|0|0|0"),
        ({"Origin": "https://elsewhere.example"}, "own"),
        ({"Origin": "null"}, "own"),
        ({"Sec-Fetch-Site": "cross-site"}, "own"),
        ({"Sec-Fetch-Site": "same-site"}, "own"),
    ],
)
def test_another_site_can_send_nothing(desk: Desk, headers: Mapping[str, str], token: str) -> None:
    """Without the token of our own page, or from another origin, a form is refused though the person is logged in."""
    window = desk.window()
    fields = {**shown(window).fields(), "reason": REASON}
    fields["_xsrf"] = fields["_xsrf"] if token == "own" else token
    refused = window.post("sets/week-3/rule", fields, headers=headers)
    assert refused.status == 403
    assert "Traceback" not in refused.text
    assert rulings(desk.folder) == []


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"do": ""}, "Choose what you decide"),
        ({"do": "erase"}, "Choose what you decide"),
        ({"do": "answer", "points": "1; drop"}, "takes a number such as 0.5"),
        ({"do": "answer", "points": "2"}, "at most 1"),
        ({"do": "answer", "points": "1", "student": "../ann"}, "No student of the class has the id"),
        ({"do": "answer", "points": "1", "problem": "9" * 9}, "The set has no problem"),
        ({"do": "answer", "points": "1", "part": "nothing"}, "has no part"),
        ({"do": "marking", "marking": "/etc/policy.toml"}, "There is no policy"),
        ({"do": "hand_in-taken", "sign": "../.."}, "No hand-in ../.."),
        ({"do": "time-known", "time": "yesterday"}, "is no date and time"),
        ({"do": "withdraw", "number": "7"}, "No ruling 7 holds"),
        ({"do": "model", "model": "/etc/passwd"}, "Choose what you decide"),
    ],
)
def test_a_form_is_trusted_with_nothing(desk: Desk, fields: Mapping[str, str], told: str) -> None:
    """What no page offers is refused in a sentence, whatever a form holds; a form names no file."""
    window = desk.window()
    refused = shown(window, **{"points": "", **fields})
    assert refused.status in (400, 404)
    assert told in refused.words, refused.words[:400]
    assert rulings(desk.folder) == []


def test_a_ruling_is_taken_back_and_plans_are_written(desk: Desk) -> None:
    """Taking back shows the way back first; plans are those of the command, and lead to each student's page."""
    window = desk.window()
    record(window, shown(window))
    form = window.get("sets/week-3").fields()
    assert form["do"] == "withdraw"
    preview = window.post("sets/week-3/preview", form)
    assert "10 of 12 (83.3%) to 9 of 12 (75%)" in preview.words
    record(window, preview, reason="A slip of mine.")
    assert points(desk.folder)["ben"] == "9"
    written = window.post("sets/week-3/pages", window.get("sets/week-3").fields(-1))
    assert written.status == 200 and (desk.folder / "reports" / "week-3.html").is_file()
    assert window.get("sets/week-3/students/ben/feedback").status == 200
    page = window.get("sets/week-3/remediation")
    refused = window.post("sets/week-3/remediation", {**page.fields(), "until": "2020-01-01"})
    assert refused.status == 400 and "must lie after today" in refused.words
    early = window.post("sets/week-3/remediation", page.fields())
    assert "Too early to say for Ben Birch (ben): answers wait for you." in early.words
    for problem, part in (("2", "drops"), ("3", "volume")):
        wrong = {"do": "answer", "student": "ben", "problem": problem, "part": part, "points": "0"}
        record(window, window.post("sets/week-3/preview", {**state(window), **wrong}))
    done = window.post("sets/week-3/remediation", state(window))
    assert done.status == 200 and "Plan after attempt 1" in done.words
    assert "Ben Birch" in window.get("sets/week-3/students/ben/plan?attempt=1").words
