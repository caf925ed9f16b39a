"""The check cell of an open practice set judges and explains, and Validate says the truth."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from nbgrader.validator import Validator

from calclib.errors import BadInput
from calclib.memory import practice_file, read_memory
from calclib.plugins import check_answer
from calclib.plugins.practice_checks import NotRightYet
from calclib.releasing.practice_set import practice_items, practice_sets

RELEASED = Path(__file__).parents[2] / "exercises"
NAME = "practice-pump-rates"
KEY = "47 mL/h"  # 750 mL in 16 h
"""The answer to the first problem, worked out by hand from its stem."""


@pytest.fixture(autouse=True)
def forgotten(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Each test starts without earlier tries, and with a memory of its own."""
    monkeypatch.setattr("calclib.plugins.practice_checks._wrong", {})
    monkeypatch.setenv("CALCLIB_PRACTICE_FILE", str(tmp_path / "practice.json"))


def checked(text: str, capsys: pytest.CaptureFixture[str]) -> list[str]:
    """The lines that a check prints of the first problem."""
    assert check_answer(NAME, 1, "rate", history=[f'answer_1 = "{text}"']) is None
    return capsys.readouterr().out.splitlines()


def hint_in(lines: list[str]) -> str:
    """The heading of the hint among the lines of a check."""
    return next((line for line in lines if line.startswith("Hint ")), "")


def test_the_first_problem_is_as_it_was() -> None:
    """The key below belongs to these numbers."""
    assert "750 mL" in practice_items(NAME)[0].stem
    assert "16 h" in practice_items(NAME)[0].stem


def test_a_right_answer_is_called_right_and_nothing_more(capsys: pytest.CaptureFixture[str]) -> None:
    """No hint follows it."""
    assert checked(KEY, capsys) == ["Read as 47 mL/h", "\u2713 Right."]


def test_unsafe_notation_is_told_beside_the_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    """A right number written unsafely is right, and how to write it is said."""
    assert checked("47.0 mL/h", capsys)[2].startswith("Notation: ")


def test_a_wrong_answer_is_explained_and_each_other_one_brings_the_next_hint(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Verdict, cause, hints one by one, then the worked solution; the same answer again brings the same hint."""
    first = checked("2.6 mL/h", capsys)
    assert first[:2] == ["Read as 2.6 mL/h", "\u2717 Not right yet."]
    assert "2.6 mL/h is not right" in first[2]
    assert hint_in(first) == "Hint 1 of 3:"
    assert not any("47" in line for line in first)
    assert hint_in(checked("2.6 mL/h", capsys)) == "Hint 1 of 3:"
    assert [hint_in(checked(f"{n} mL/h", capsys)) for n in (12, 13)] == ["Hint 2 of 3:", "Hint 3 of 3:"]
    last = checked("14 mL/h", capsys)
    assert hint_in(last) == ""
    assert "How it goes:" in last
    assert " ".join(last).endswith("Answer: 47 mL/h.")


def test_what_a_wrong_rate_would_do_is_told_by_the_stem_alone(capsys: pytest.CaptureFixture[str]) -> None:
    """750 mL in 16 h: at 40 mL/h 640 mL by then, empty after 18 h 45 min; the key isn't told."""
    told = " ".join(checked("40 mL/h", capsys))
    assert "At 40 mL/h only 640 mL of 750 mL would have run in after the ordered 16 h;" in told
    assert "the bag would be empty after 18 h 45 min. A model for learning: " in told
    assert "47" not in told


def test_a_missing_or_other_unit_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    """Beside how the number was read."""
    assert checked("47", capsys)[0] == "Read as 47: no unit. The question asks for mL/h."
    assert checked("47 mL", capsys)[0] == "Read as 47 mL: another unit. The question asks for mL/h."


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ([], "No answer yet: run the cell with answer_1 above, then this one."),
        (['answer_1 = ""'], "No answer yet."),
        (["answer_1 = max(1, 2)"], "Not read: Type the answer itself between quotes; code is not run."),
    ],
)
def test_what_is_no_answer_is_not_judged(cells: list[str], told: str, capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence, no hint, and nobody is promised that a person will look."""
    check_answer(NAME, 1, "rate", history=cells)
    assert capsys.readouterr().out == f"{told}\n"


def test_grading_gives_the_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nbgrader runs the notebook to grade it, the value of the check cell is the points."""
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    assert check_answer(NAME, 1, "rate", history=[f'answer_1 = "{KEY}"']) == 1
    assert check_answer(NAME, 1, "rate", history=['answer_1 = "2.6 mL/h"']) == 0
    assert check_answer(NAME, 1, "rate", history=[]) == 0


def test_validate_refuses_what_is_not_right(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A right answer passes, any other doesn't, and the words are short enough for nbgrader."""
    monkeypatch.setenv("NBGRADER_EXECUTION", "validate")
    check_answer(NAME, 1, "rate", history=[f'answer_1 = "{KEY}"'])
    for cells in ([], ['answer_1 = ""'], ['answer_1 = "2.6 mL/h"'], ["answer_1 = max(1)"]):
        with pytest.raises(NotRightYet) as caught:
            check_answer(NAME, 1, "rate", history=cells)
        assert all(len(line) <= 90 for line in str(caught.value).splitlines())
    assert capsys.readouterr().out == ""


def test_a_notebook_with_other_numbers_is_not_judged(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It was drawn by another version: its right answer would be called wrong."""
    check_answer(NAME, 1, "rate", text="00000000", history=['answer_1 = "5 mL/h"'])
    assert capsys.readouterr().out.startswith("Not judged: ")
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    with pytest.raises(NotRightYet, match="Not judged"):
        check_answer(NAME, 1, "rate", text="00000000", history=['answer_1 = "5 mL/h"'])


@pytest.mark.parametrize(("first", "unaided"), [(KEY, True), ("100 mL/h", False)])
def test_what_a_check_finds_is_kept_once(first: str, unaided: bool, capsys: pytest.CaptureFixture[str]) -> None:
    """The first judged answer tells whether the kind was done unaided; later runs of the page tell nothing new."""
    checked("", capsys)
    assert read_memory(practice_file()).memory.skills == {}
    for text in (first, KEY, KEY):
        checked(text, capsys)
    (skill,) = read_memory(practice_file()).memory.skills.items()
    assert skill[0] == "pump-rate"
    assert [one.unaided for one in skill[1].practiced] == [unaided]


def test_a_later_part_is_judged_by_ones_own_earlier_answer(capsys: pytest.CaptureFixture[str]) -> None:
    """4.73 h taken for 473 min is wrong; 473 min are 28,380 s all the same, and without the minutes that is wrong."""
    minutes, seconds = 'answer_6 = "473 min"', 'answer_7 = "28,380 s"'
    check_answer("practice-measures", 6, "minutes", history=[minutes, seconds])
    assert "\u2717 Not right yet." in capsys.readouterr().out
    check_answer("practice-measures", 6, "seconds", history=[minutes, seconds])
    assert "\u2713 Right from your earlier answer." in capsys.readouterr().out
    check_answer("practice-measures", 6, "seconds", history=[seconds])
    assert "\u2717 Not right yet." in capsys.readouterr().out


def test_what_is_not_in_the_set_is_refused() -> None:
    """One sentence that says what there is."""
    for place in (("practice-else", 1, "rate"), (NAME, 0, "rate"), (NAME, 99, "rate"), (NAME, 1, "volume")):
        with pytest.raises(BadInput):
            check_answer(*place, history=[])


def test_nbgraders_validate_passes_the_right_answers_alone(tmp_path: Path) -> None:
    """In the released notebook, run by nbgrader itself: all answers right pass, and of one wrong it says so."""
    path = tmp_path / f"{NAME}.ipynb"
    shutil.copy(RELEASED / NAME / path.name, path)
    notebook = json.loads(path.read_text(encoding="utf-8"))
    answers = [part.answer for item in practice_items(NAME) for part in item.parts]
    cells = [cell for cell in notebook["cells"] if cell["metadata"]["nbgrader"]["solution"]]
    for number, (cell, text) in enumerate(zip(cells, answers, strict=True), start=1):
        cell["source"] = f'answer_{number} = "{text}"' if number > 1 else "answer_1 = 47 mL/h"
    path.write_text(json.dumps(notebook), encoding="utf-8")
    assert Validator().validate(str(path)) == {}

    cells[0]["source"] = 'answer_1 = "2.6 mL/h"'
    path.write_text(json.dumps(notebook), encoding="utf-8")
    (failed,) = Validator().validate(str(path))["failed"]
    assert "2.6 mL/h is not right" in failed["raw_error"]


@pytest.mark.parametrize("name", sorted(practice_sets()))
def test_every_key_of_every_set_is_right(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each check cell of each set finds its own problem, part and answer."""
    notebook = json.loads((RELEASED / name / f"{name}.ipynb").read_text(encoding="utf-8"))
    checks = ["".join(c["source"]) for c in notebook["cells"] if c["metadata"]["nbgrader"]["grade"]]
    parts = [(n, part) for n, item in enumerate(practice_items(name), start=1) for part in item.parts]
    assert len(checks) == len(parts)
    for count, (source, (number, part)) in enumerate(zip(checks, parts, strict=True), start=1):
        called = re.fullmatch(rf'(?s).*\n\ncheck_answer\("{name}", {number}, "{part.name}", text="(\w{{8}})"\)', source)
        assert called is not None
        check_answer(name, number, part.name, text=called[1], history=[f'answer_{count} = "{part.answer}"'])
        assert "\u2713 Right." in capsys.readouterr().out
