"""Pages speak of parts, attempts and times as a student knows them."""

import datetime as dt
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, waiting
from calclib.records.part_letters import part_letters
from calclib.releasing import hand_out, start_class
from tests.judging_papers.test_changes import CONFIRMED
from tests.pages.test_rulings_on_pages import page_of
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]
DUE = "due = 2026-11-24T23:00:00-05:00\n"


def test_parts_have_the_letters_of_the_notebook(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """On the page, in the list of what waits and in the explanation; a problem with one part has none."""
    notebook = class_folder(folder).rendered("week-3", "ann").read_text(encoding="utf-8")
    assert re.findall(r"\*\*(3\w)\.\*\* \*\*(.*?)\*\*", notebook)[1][0] == "3b"
    asked = dict(re.findall(r"\*\*(\d\w)\.\*\* \*\*(.*?)\*\*", notebook))
    hand_in("ann", dict.fromkeys(keys["ann"], "about a lot"))
    mark(folder, "week-3", now=NOW)
    page, told, explained = (page_of(folder), waiting(folder, "week-3").text, explanation(folder, "week-3", "ann"))
    for place, question in asked.items():
        assert f"{place}. {question}" in page
        assert f"problem {place}, " in told
        assert f"Part {place}, " in explained
    assert "(ann), problem 1\n" in told
    assert "Part 1" not in explained


def test_a_ruling_takes_the_letter_of_a_part(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """As the notebook prints it, in place of the part's name."""
    hand_in("ann", {})
    mark(folder, "week-3", now=NOW)
    slot = set_results(class_folder(folder), "week-3").sealed.slots[2]
    names = list(slot.points)
    done = make_ruling(folder, "week-3", RulingRequest("credit", {}, "Unclear.", problem=3, part="B"), now=NOW)
    assert done.ruling.part == names[1]


@pytest.mark.parametrize(("parts", "letters"), [(1, [""]), (2, ["a", "b"]), (27, [*"abcdefghijklmnopqrstuvwxyz", ""])])
def test_letters_end_with_the_alphabet(parts: int, letters: list[str]) -> None:
    """One part alone needs none."""
    assert list(part_letters(map(str, range(parts))).values()) == letters


@pytest.fixture
def late(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """A class whose set was due at 23:00 five hours west of Greenwich; Ann and Ben hand in 4 hours later."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    text = BLUEPRINT.replace("cut_score", f'{DUE}late = "{request.param}"\ncut_score', 1)
    (tmp_path / "week-3.toml").write_text(text, encoding="utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    hand_out(tmp_path / "class", tmp_path / "week-3.toml", now=NOW - dt.timedelta(days=7))
    where = class_folder(tmp_path / "class")
    for student in ("ann", "ben"):
        path = where.submitted("week-3", student)
        path.parent.mkdir(parents=True)
        path.write_bytes(where.rendered("week-3", student).read_bytes())
        path.with_name("timestamp.txt").write_text("2026-11-25 08:00:00.000000 UTC", encoding="utf-8")
    mark(where.path, "week-3", now=NOW)
    return where.path


@pytest.mark.parametrize(
    ("late", "rule_in_words"),
    [
        ("10 percent a day", "each day begun takes 10% off"),
        ("zero", "a late hand-in gets no points"),
        ("accept", "takes nothing off"),
    ],
    indirect=["late"],
)
def test_a_late_hand_in_is_explained_in_the_time_of_the_blueprint(late: Path, rule_in_words: str) -> None:
    """08:00 UTC is 03:00 at an offset of -05:00; due time, extension and rule are said."""
    for text in (page_of(late), " ".join(explanation(late, "week-3", "ann").split())):
        assert "November 25, 2026, 03:00 (UTC-05:00)" in text
        assert "It was due on November 24, 2026, 23:00 (UTC-05:00), so it was late by less than a day." in text
        assert rule_in_words in text
    for text in (page_of(late, "ben"), " ".join(explanation(late, "week-3", "ben").split())):
        assert "with the extension of 1 day on November 25, 2026, 23:00 (UTC-05:00), so it came in time." in text
        assert rule_in_words not in text


def test_the_history_of_an_explanation_is_the_students_own(marked: Path) -> None:
    """Without hashes and counts of the class; these and the versions of the models stand once, at the end."""
    make_ruling(marked, "week-3", RulingRequest("credit", {}, "Unclear.", problem=1), now=NOW)
    text = explanation(marked, "week-3", "ben", 1)
    head, _, rest = text.partition("\nWhat was done, and when\n")
    history, _, record = rest.partition("\nFor the record\n")
    assert "November 25, 2026, 08:00 UTC: The notebook was handed out." in history
    assert "The notebook was marked: 0 points." in " ".join(history.split())
    assert "Ruling 1, on problem 1, drop rate: Everyone who handed in attempt 1 gets full points for it." in " ".join(
        history.split()
    )
    for word in ("basis", "models", "marked 2", "regraded", "library"):
        assert word not in head + history
    assert not re.search(r"\b[0-9a-f]{8,}\b", head + history)
    assert text.count("drop-rate") == 1
    assert "safe-dose-range" not in text
    assert re.search(r"problem 1: drop-rate, version \d+ \([0-9a-f]{12}\)", " ".join(record.split()))


def squeezed(text: str) -> str:
    """A text on one line."""
    return " ".join(text.split())


def test_an_explanation_says_first_that_an_error_fails_the_set(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """With the place of the error as the notebook prints it."""
    rate = int(keys["ann"]["answer_1"].split()[0])
    hand_in("ann", keys["ann"] | {"answer_1": f"{10 * rate} gtt/min"})
    mark(folder, "week-3", now=NOW)
    waits = "A person has yet to confirm whether an error in problem 1 fails the whole set"
    fails = "but an error in problem 1 fails the whole set by its marking policy, as a person confirmed"
    assert waits not in squeezed(explanation(folder, "week-3", "ann", 2))
    make_ruling(folder, "week-3", RulingRequest("marking", {"policy": "strict-exam"}, "It is an exam."), now=NOW)
    assert waits in squeezed(explanation(folder, "week-3", "ann", 2))
    make_ruling(folder, "week-3", CONFIRMED, now=NOW)
    assert fails in squeezed(explanation(folder, "week-3", "ann", 2))


def test_signs_that_turn_text_are_written_out(folder: Path, hand_in: HandIn) -> None:
    """Where faculty reads what was typed: in the list of what waits and in the explanation."""
    hand_in("ann", {"answer_1": "about \u202e a lot"})
    mark(folder, "week-3", now=NOW)
    for text in (waiting(folder, "week-3").text, explanation(folder, "week-3", "ann")):
        assert r"about \u202e a lot" in text
        assert "\u202e" not in text
