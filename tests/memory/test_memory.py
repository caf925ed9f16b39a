"""What a student can do, kept across lessons and days."""

from __future__ import annotations

import json
import stat
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from calclib.errors import BadInput
from calclib.memory import (
    Memory,
    Practiced,
    Skill,
    is_mastered,
    kept_in,
    read_memory,
    today,
    with_practice,
    with_problem_of_set,
    write_memory,
)
from calclib.memory.record import memory_from_record
from calclib.memory.scheduling import due_at

MONDAY = datetime(2026, 11, 30, 9, tzinfo=UTC)


def practiced(days: float = 0, *, unaided: bool = True, mixed: bool = True) -> Practiced:
    """A problem that ended so many days after Monday morning."""
    at = MONDAY + timedelta(days=days)
    return Practiced(at, at.date(), unaided, mixed)


def remembered(*problems: Practiced, skill: str = "pump-rate", memory: Memory | None = None) -> Memory:
    """A memory of problems of one skill."""
    memory = memory or Memory()
    for one in problems:
        memory = with_practice(memory, skill, at=one.at, day=one.day, unaided=one.unaided)
    return memory


def test_what_is_kept_is_read_back(tmp_path: Path) -> None:
    """Problems, due time, the scheduler's card and the day of the exam come back as they were."""
    memory = remembered(practiced(), practiced(1, unaided=False))._replace(exam=date(2026, 12, 15))
    write_memory(tmp_path / "folder" / "practice.json", memory)
    assert read_memory(tmp_path / "folder" / "practice.json") == (memory, "", True)


def test_the_file_is_for_its_owner_alone(tmp_path: Path) -> None:
    """Nobody else on a shared machine can read file or folder."""
    path = tmp_path / "folder" / "practice.json"
    write_memory(path, Memory())
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700
    assert [one.name for one in path.parent.iterdir()] == ["practice.json"]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        '{"version": 1}',
        '{"version": 1, "skills": {"a": {"practiced": [["yesterday", "2026-11-30", true, true]], "due": null}}}',
        '{"version": 1, "skills": {"a": {"practiced": [["no time", "no day", 1, 0]], "due": null, "card": {}}}}',
        '{"version": 1, "skills": {"a": {"practiced": [], "due": null, "card": 3}}}',
        "[" * 100_000,
    ],
)
def test_a_damaged_file_is_kept_aside_and_said(tmp_path: Path, text: str) -> None:
    """One sentence names the file that holds what was there, and practice starts over."""
    path = tmp_path / "practice.json"
    path.write_text(text)
    opened = read_memory(path)
    assert opened.memory == Memory()
    assert opened.notice.endswith("kept as practice-damaged-1.json.")
    assert (tmp_path / "practice-damaged-1.json").read_text() == text
    assert not path.exists()


def test_a_file_of_a_newer_version_is_left_as_it_is(tmp_path: Path) -> None:
    """An older program neither reads nor replaces what a newer one wrote."""
    path = tmp_path / "practice.json"
    path.write_text('{"version": 99, "skills": {}}')
    opened = kept_in(path, lambda memory: remembered(practiced(), memory=memory))
    assert "newer version" in opened.notice
    assert path.read_text() == '{"version": 99, "skills": {}}'


def test_what_another_lesson_wrote_meanwhile_is_kept(tmp_path: Path) -> None:
    """Two lessons that are open at once add to the same file."""
    path = tmp_path / "practice.json"
    kept_in(path, lambda memory: remembered(practiced(), memory=memory))
    kept_in(path, lambda memory: remembered(practiced(), skill="drop-rate", memory=memory))
    assert set(json.loads(path.read_text())["skills"]) == {"pump-rate", "drop-rate"}


def test_a_place_that_cant_be_written_is_one_sentence(tmp_path: Path) -> None:
    """The sentence says where, and that practice goes on."""
    (tmp_path / "file").write_text("")
    with pytest.raises(BadInput, match="could not be kept in"):
        write_memory(tmp_path / "file" / "practice.json", Memory())


def test_right_answers_put_a_skill_off_longer_and_longer_and_a_miss_brings_it_back() -> None:
    """Intervals grow with each unaided problem; after a miss the skill is due within a day."""
    memory, at, waits = Memory(), 0.0, []
    for _ in range(4):
        memory = remembered(practiced(at), memory=memory)
        due = memory.skills["pump-rate"].due
        assert due is not None
        wait = (due - MONDAY).total_seconds() / 86_400 - at
        waits.append(wait)
        at += wait
    assert waits == sorted(waits)
    assert waits[-1] > 7
    missed = remembered(practiced(at, unaided=False), memory=memory).skills["pump-rate"].due
    assert missed is not None
    assert missed <= MONDAY + timedelta(days=at + 1)


@pytest.mark.parametrize(
    ("exam", "expected"),
    [(None, 30), (date(2027, 3, 1), 30), (date(2026, 12, 10), 9), (date(2026, 12, 1), 30), (date(2026, 11, 1), 30)],
)
def test_nothing_is_put_off_past_the_eve_of_the_exam(exam: date | None, expected: int) -> None:
    """A longer interval ends on the day before; on the eve itself and after the exam the schedule goes on."""
    midnight = datetime(2026, 11, 30, tzinfo=UTC)
    skill = Skill((practiced(),), midnight + timedelta(days=30), {})
    assert due_at(skill, exam) == midnight + timedelta(days=expected)


@pytest.mark.parametrize(
    ("problems", "expected"),
    [
        ([practiced(), practiced(0.1), practiced(1)], True),
        ([practiced(), practiced(0.1), practiced(0.2)], False),
        ([practiced(), practiced(1)], False),
        ([practiced(), practiced(1, mixed=False), practiced(2)], False),
        ([practiced(mixed=False), practiced(1), practiced(2)], True),
        ([practiced(), practiced(1), practiced(2), practiced(3, unaided=False)], False),
        ([practiced(0, unaided=False), practiced(1), practiced(2), practiced(3)], True),
    ],
)
def test_a_skill_holds_when_its_last_three_were_unaided_mixed_and_on_two_days(
    problems: list[Practiced], expected: bool
) -> None:
    """One day, one kind alone, or one miss among the last three isn't mastery; what came before them is nothing."""
    assert is_mastered(Skill(tuple(problems))) is expected


def test_another_kind_in_any_box_comes_between() -> None:
    """The last problem of one day is what comes before the first of the next, whichever page it stood on."""
    memory = remembered(practiced(), practiced(0.1))
    memory = remembered(practiced(0.2), skill="drop-rate", memory=memory)
    memory = remembered(practiced(1), memory=memory)
    assert [one.mixed for one in memory.skills["pump-rate"].practiced] == [False, False, True]
    assert [one.mixed for one in memory.skills["drop-rate"].practiced] == [True]


def test_a_problem_of_a_set_counts_once() -> None:
    """Its numbers are the same each time, so to run the page again on another day proves nothing; a file keeps that."""
    first, again = practiced(), practiced(1)
    memory = with_problem_of_set(Memory(), "a-set/1", "pump-rate", at=first.at, day=first.day, unaided=False)
    kept = memory_from_record(json.loads(json.dumps(memory.to_record())))
    assert with_problem_of_set(kept, "a-set/1", "pump-rate", at=again.at, day=again.day, unaided=True) == kept
    other = with_problem_of_set(kept, "a-set/2", "pump-rate", at=again.at, day=again.day, unaided=True)
    assert [one.unaided for one in other.skills["pump-rate"].practiced] == [False, True]


def test_today_is_what_was_missed_then_what_is_due_and_no_more_than_ten_minutes_hold() -> None:
    """What was missed comes first; what isn't due stays out; five problems are ten minutes."""
    memory = remembered(practiced(unaided=False), skill="missed")
    memory = remembered(practiced(), skill="due", memory=memory)
    memory = remembered(practiced(29.9), skill="fresh", memory=memory)
    found = today(memory, MONDAY + timedelta(days=30))
    assert (found.missed, found.due, found.plan) == (("missed",), ("due",), ("missed", "due"))
    for name in "abcdef":
        memory = remembered(practiced(unaided=False), skill=name, memory=memory)
    assert len(today(memory, MONDAY + timedelta(days=30)).plan) == 5
