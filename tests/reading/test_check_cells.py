import sys

import pytest

from calclib.reading import show_answer

CHECK = 'from calclib.reading import show_answer\n\nshow_answer("answer_1", asked="quantity")'


@pytest.mark.parametrize(
    ("cells", "shown"),
    [
        (['answer_1 = "125 mL/h"'], "Read as 125 mL/h"),
        (["answer_1 = 125 mL/h"], "Read as 125 mL/h"),
        (['answer_1 = "12 mL"', 'answer_1 = "13 mL"'], "Read as 13 mL"),
        (['answer_1 = "12 mL"', 'answer_2 = "13 mL"'], "Read as 12 mL"),
        (["125 mL/h"], "Read as 125 mL/h"),
        (['answer_2 = "13 mL"'], "No answer yet: run the cell with answer_1 above, then this one."),
        ([], "No answer yet: run the cell with answer_1 above, then this one."),
        (['answer_1 = ""\n# Type your answer between the quotes.'], "No answer yet."),
        (
            ['answer_1 = ""\n# 79 gtt/min'],
            "Not read: The answer comes after a #, where it isn't read; it belongs between the quotes.",
        ),
    ],
)
def test_the_latest_answer_is_shown_as_it_is_read(capsys, cells: list[str], shown: str) -> None:
    """What was run last under the answer's name counts, with quotes or without."""
    assert show_answer("answer_1", asked="quantity", history=["", *cells, CHECK]) is None
    assert capsys.readouterr().out == f"{shown}\n"


def test_unsafe_notation_is_told_and_nothing_of_right_or_wrong(capsys) -> None:
    """A trailing zero is read and explained."""
    show_answer("answer_1", asked="quantity", history=['answer_1 = "5.0 mL"'])
    first, second = capsys.readouterr().out.splitlines()
    assert first == "Read as 5 mL"
    assert second.startswith("Unsafe notation: ")


def test_what_cannot_be_read_is_told(capsys) -> None:
    """Nothing is guessed from code or words."""
    show_answer("answer_1", asked="quantity", history=["answer_1 = max(1, 2)"])
    show_answer("answer_1", asked="quantity", history=['answer_1 = "about a lot"'])
    told = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in told if "Not read" in line] == ["Not read", "Not read"]


@pytest.mark.parametrize(
    ("asked", "typed", "how"),
    [
        ("quantity", "5 mL (4.8)", "Write one number with its unit"),
        ("clock", "7", "Write four digits"),
        ("choice", "perhaps", "Write one of the choices"),
        ("setup", "D/H", "Write each number with its unit"),
    ],
)
def test_what_is_not_read_is_told_with_how_to_write_it(capsys, asked: str, typed: str, how: str) -> None:
    """The second line shows a way of writing that is read."""
    show_answer("answer_1", asked=asked, choices=["safe", "too high"], history=[f'answer_1 = "{typed}"'])
    first, second = capsys.readouterr().out.splitlines()
    assert first.startswith("Not read: ")
    assert second.startswith(how)


def test_a_choice_is_read_among_its_choices(capsys) -> None:
    """The words of a choice are compared with those printed."""
    show_answer("answer_1", asked="choice", choices=["safe", "too high"], history=['answer_1 = "Safe"'])
    assert capsys.readouterr().out == "Read as safe\n"


def test_grading_by_running_gives_no_points(monkeypatch) -> None:
    """Where nbgrader runs a check cell its value is 0: without a number nbgrader gives full marks."""
    monkeypatch.setenv("NBGRADER_EXECUTION", "autograde")
    assert show_answer("answer_1", asked="quantity", history=['answer_1 = "125 mL/h"']) == 0


def test_in_a_notebook_its_own_cells_are_looked_at(monkeypatch, capsys) -> None:
    """The kernel keeps the cells that were run in the main module; without a kernel there are none."""
    show_answer("answer_1", asked="quantity")
    monkeypatch.setattr(sys.modules["__main__"], "In", ["", 'answer_1 = "125 mL/h"', CHECK], raising=False)
    show_answer("answer_1", asked="quantity")
    assert [line[:9] for line in capsys.readouterr().out.splitlines()] == ["No answer", "Read as 1"]


@pytest.mark.parametrize(
    ("typed", "unit", "shown"),
    [
        ("25", "mL/h", "Read as 25: no unit. The question asks for mL/h."),
        ("25 mL", "mL/h", "Read as 25 mL: another unit. The question asks for mL/h."),
        ("25 gtt/min", "mL/h", "Read as 25 gtt/min: another unit. The question asks for mL/h."),
        ("25 mL/h", "mL/h", "Read as 25 mL/h"),
        ("25 mL per hour", "mL/h", "Read as 25 mL/h"),
        ("2", "tablets", "Read as 2: no unit. The question asks for tablets."),
        ("2 pills per dose", "tablets", "Read as 2 tab/dose"),
        ("70", "kg", "Read as 70: no unit. The question asks for kg."),
        ("3", "", "Read as 3"),
        ("3 mL", "", "Read as 3 mL: the question asks for a number without a unit."),
        ("3 mL", None, "Read as 3 mL"),
    ],
)
def test_a_missing_or_another_unit_is_said(capsys, typed: str, unit: str | None, shown: str) -> None:
    """Beside how the number is read, and without a word on whether it is right."""
    show_answer("answer_1", asked="quantity", unit=unit, about="tab", history=[f'answer_1 = "{typed}"'])
    assert capsys.readouterr().out == f"{shown}\n"
