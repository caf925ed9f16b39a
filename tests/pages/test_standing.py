"""Where each student stands, by which rule; talks, appeals, copies and what holds an erasure back."""

from __future__ import annotations

import datetime as dt
import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import select

from calclib.class_files import class_folder
from calclib.class_files.standing_rules import presets, standing_rules_from_text
from calclib.errors import BadInput
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages.after_exam.accreditation import write_accreditation
from calclib.pages.after_exam.standing_page import rule_of, signed_told, write_standing
from calclib.pages.after_exam.student_record import write_student_record
from calclib.records import reading
from calclib.records.history import EventKind
from calclib.records.tables import HISTORY
from calclib.releasing import hand_out
from calclib.releasing.coached import record_talk
from calclib.releasing.erasing.erase import erase
from calclib.releasing.erasing.holds import Despite
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.remediation.signing import StandingChangedError, sign_standing
from calclib.wording import sentence
from calclib.wording.facts import ERASED_NAME, ERASED_TEXT
from tests.small_class.started import BLUEPRINT, NOW

LATER = NOW + dt.timedelta(days=10)
RULES = """preset = "three-attempts-tutoring"
required = ["week-3"]
remediation_days = 7
keep_years = 5
"""


def told(folder: Path) -> dict[str, tuple[str, str, list[str]]]:
    """By student: the requirement, where the student stands, and the rules."""
    written = write_standing(folder, now=LATER)
    found = {}
    for one in written.students:
        (each,) = one.sets
        rules = [sentence(rule) for rule in rule_of(each, written.rules)]
        found[one.student.id] = (one.requirement.value, each.after.value, rules)
    return found


def signed(folder: Path) -> dict[str, str]:
    """By student: who signed."""
    return {one.student.id: signed_told(one) for one in write_standing(folder, now=LATER).students}


def details(folder: Path, kind: EventKind) -> list[dict[str, str]]:
    """What was recorded of events of a kind."""
    with reading(class_folder(folder)) as connection:
        rows = connection.execute(select(HISTORY.c.detail).where(HISTORY.c.event == kind.value)).scalars().all()
    return [json.loads(row) for row in rows]


def test_each_student_stands_by_a_rule_that_is_told(
    folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]], tmp_path: Path
) -> None:
    """Passed, failed with a retest open, booked, then out of tries; a copy on request, and an erasure that is held."""
    (tmp_path / "week-3.toml").write_text(BLUEPRINT.replace("cut_score", "attempts = 2\ncut_score"), encoding="utf-8")
    hand_out(folder, tmp_path / "week-3.toml", now=NOW)
    (folder / "standing.toml").write_text(RULES, encoding="utf-8")
    hand_in("ann", keys["ann"])
    hand_in("ben", {"answer_9": "1 mL"})
    mark(folder, "week-3", now=NOW)

    stands = told(folder)
    assert stands["ann"][:2] == ("met", "passed")
    assert stands["ann"][2] == ["attempt 1 of 2: 100%, cut score 90% (blueprint)"]
    assert stands["ben"][:2] == ("open", "retest_open")
    assert stands["ben"][2][1:] == ["your rules ask for remediation before the retest, and none is recorded"]
    assert stands["cat"][:2] == ("open", "not_handed_in")
    page = (folder / "reports" / "standing.of-class.html").read_text("utf-8")
    assert "overdue since December 2, 2026" in page
    assert "Check your handbook" in page
    assert not {"safe", "cleared", "competent"} & set(page.casefold().split())

    assert sign_standing(folder, by="Dr. Elm", now=LATER, students=("ann",))[0].name == "Ann Ash"
    refused = give_another_attempt(folder, "week-3", now=LATER, students=("ben",))
    assert refused.given == ()
    ((_, why),) = refused.refused
    assert sentence(why).startswith("has no remediation on record since attempt 1, which standing.toml asks for")
    talk = {"by": "Cy Cole", "note": "Conversions, with Ann Ash and cat.", "agreed": "Practice on Friday."}
    record_talk(folder, "week-3", "ben", kind=EventKind.COACHED, now=LATER, **talk)
    give_another_attempt(folder, "week-3", now=LATER, students=("ben",), due=LATER + dt.timedelta(days=4))
    # The due time with the day that the roster gives Ben.
    booked = "0%, cut score 90%; attempt 2 of 2 was given (blueprint), due December 10, 2026, 08:00 UTC"
    assert told(folder)["ben"][1:] == ("booked", [booked])
    hand_in("ben", {"answer_9": "1 mL"})
    mark(folder, "week-3", now=LATER)
    ben = told(folder)["ben"]
    assert ben[:2] == ("not_met", "out_of_tries")
    assert "your rules then ask for failure of the clinical course" in ben[2][0]

    page = (folder / "reports" / "standing.of-class.html").read_text("utf-8")
    assert "December 5, 2026, Cy Cole: Conversions, with Ann Ash and cat.; agreed: Practice on Friday." in page
    assert page.count("Read and signed by Dr. Elm on December 5, 2026") == 1
    assert not re.search(r"\d{4}-\d\d-\d\d", page)
    with pytest.raises(StandingChangedError):
        sign_standing(folder, by="Dr. Elm", now=LATER, seen="another")
    sign_standing(folder, by="Dr. Elm", now=LATER, students=("ben",))
    assert signed(folder)["ben"] == "Read and signed by Dr. Elm on December 5, 2026"
    give_back = RulingRequest("credit", {}, "Unclear.", 1)
    make_ruling(folder, "week-3", give_back, now=LATER)
    assert signed(folder)["ben"] == "Signed by Dr. Elm on December 5, 2026; it has changed since"

    names = write_student_record(folder, "ben", tmp_path / "ben.zip")
    with zipfile.ZipFile(tmp_path / "ben.zip") as archive:
        rows = json.loads(archive.read("records.json"))
        held = b"".join(archive.read(name) for name in names if not name.startswith(("release", "submissions")))
    assert {row["typed"] for row in rows["calclib_answer"]} >= {"1 mL"}
    assert rows["calclib_item"]
    assert "record" not in rows["calclib_item"][0]
    assert b"Cat Cedar" not in held

    with pytest.raises(BadInput, match="keep records for 5 years after week-3 went out, until November 25, 2031"):
        erase(folder, "ben", now=LATER)
    (folder / "standing.toml").write_text(RULES.replace("keep_years = 5", ""), encoding="utf-8")
    record_talk(folder, "week-3", "ben", kind=EventKind.APPEALED, by="Cy Cole", note="Problem 3.", now=LATER)
    with pytest.raises(BadInput, match="an appeal in week-3 is open"):
        erase(folder, "ben", now=LATER)
    erase(folder, "cat", now=LATER)
    (line,) = details(folder, EventKind.COACHED)
    assert line["note"] == f"Conversions, with Ann Ash and {ERASED_NAME}."
    erase(folder, "ben", now=LATER, despite=Despite("Di Dean", "The court ordered it."))
    (line,) = details(folder, EventKind.COACHED)
    assert set(line.values()) == {ERASED_TEXT}
    assert {"by": "Di Dean", "note": "The court ordered it."} in details(folder, EventKind.IDENTITY_ERASED)


def test_small_cells_are_not_shown(folder: Path, tmp_path: Path) -> None:
    """Of a class of three no number is told, and nobody is named."""
    tables = write_accreditation([folder], tmp_path / "folder.csv")
    assert [table.name for table in tables] == ["sets", "skills", "problems"]
    text = (tmp_path / "folder.csv").read_text("utf-8-sig")
    assert text.splitlines()[1].count("not shown (fewer than 10 on a side)") == 3
    assert not {"Ann", "ann", "Ben", "ben"} & set(text.replace(",", " ").split())


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ('preset = "x"', 1, "there is no preset 'x'"),
        ("\nkeep_years = -1", 2, "keep_years takes a whole number up to 100"),
        ('required = "exam-1"', 1, "required takes a list of sets"),
        ("remedation = true", 1, "there is no key 'remedation'"),
        ("after = 3", 1, "after takes"),
    ],
)
def test_a_wrong_rule_is_refused_with_its_line(text: str, line: int, says: str) -> None:
    """One sentence that says where and how to mend it."""
    with pytest.raises(BadInput, match=says) as error:
        standing_rules_from_text(text)
    assert f"standing.toml, line {line}" in str(error.value)


def test_presets_name_no_school_and_have_a_source() -> None:
    """Each says what it asks and where that was read; figures are as they were printed."""
    assert {name: (one.cut_score, one.attempts) for name, one in presets().items()} == {
        "two-attempts-withdrawn": (None, 2),
        "three-attempts-tutoring": (90, 3),
        "agreement-after-second": (95, 2),
        "two-more-by-week-3": (90, 3),
        "three-attempts-dismissed": (None, 3),
        "perfect-score": (100, None),
    }
    assert all(one.source and one.says for one in presets().values())
