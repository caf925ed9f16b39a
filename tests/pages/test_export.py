import csv
import datetime as dt
import io
import zipfile
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from openpyxl import load_workbook

from calclib.class_files import class_folder
from calclib.errors import BadInput
from calclib.gradebook import set_results
from calclib.judging_papers import mark
from calclib.pages import write_feedback
from calclib.pages.export import Table, csv_bytes, export, student_table, xlsx_bytes
from calclib.releasing.zips import zip_each
from tests.small_class.started import NOW

HOSTILE = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "＝1+1", " =1", "=cmd|' /C calc'!A0"]


def read_csv(data: bytes) -> list[list[str]]:
    """The rows as a spreadsheet reads them."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_becomes_a_formula(text: str) -> None:
    """An apostrophe goes before it in CSV; in a workbook the cell is a text."""
    table = Table("answers", ("typed",), ((text,),))
    ((cell,),) = read_csv(csv_bytes(table))[1:]
    assert cell.startswith("'")
    sheet = load_workbook(io.BytesIO(xlsx_bytes((table,))))["answers"]
    assert sheet["A2"].data_type == "s"


def test_what_is_no_formula_is_left_as_it_is() -> None:
    """Quotes, commas, lines and other writing systems come back as they were."""
    text = 'say "5, mL"\nπ 数'
    assert read_csv(csv_bytes(Table("t", ("typed",), ((text,),))))[1] == [text]


def test_kinds_are_kept() -> None:
    """Numbers and times can be computed with in a workbook, truths are truths, and nothing stays empty."""
    table = Table("t", ("a", "b", "c", "d", "e"), ((Fraction(1, 3), 2, NOW, True, None),))
    sheet = load_workbook(io.BytesIO(xlsx_bytes((table,))))["t"]
    values = [cell.value for cell in sheet[2]]
    assert values == [0.3333, 2, NOW.replace(tzinfo=None), True, None]
    assert read_csv(csv_bytes(table))[1] == ["0.3333", "2", "2026-11-25 08:00:00", "yes", ""]


@pytest.mark.parametrize(
    ("typed", "shown"), [("5\a mL", r"5\u0007 mL"), ("5\u202e mL", r"5\u202e mL"), ("5\ufffe mL", "5\\ufffe mL")]
)
def test_characters_that_nobody_sees_are_written_out(typed: str, shown: str) -> None:
    """As on the pages; a bell in an answer doesn't stop the export, nor does a sign turn the text around it."""
    table = Table("t", ("a",), ((typed,),))
    assert load_workbook(io.BytesIO(xlsx_bytes((table,))))["t"]["A2"].value == shown
    assert read_csv(csv_bytes(table))[1] == [shown]


def test_a_set_is_exported_by_student_and_by_answer(marked: Path, tmp_path: Path) -> None:
    """Every student of the roster, every answer that was marked, with what was typed."""
    export(marked, "week-3", tmp_path / "r.xlsx")
    book = load_workbook(tmp_path / "r.xlsx")
    rows = list(book["students"].values)
    assert [row[0] for row in rows] == ["id", "ann", "ben", "cat"]
    assert all(len(row) == len(rows[0]) for row in rows)
    ann = dict(zip(rows[0], rows[1], strict=True))
    assert (ann["of"], ann["attempt"]) == (12, 1)
    assert dict(zip(rows[0], rows[3], strict=True))["note"] == "nothing handed in"
    answers = list(book["answers"].values)
    assert len(answers) == 1 + 2 * 9
    assert "<script>alert(1)</script>" in {row[6] for row in answers}
    export(marked, "week-3", tmp_path / "r.csv", answers=True)
    assert len(read_csv((tmp_path / "r.csv").read_bytes())) == 1 + 2 * 9
    assert (tmp_path / "r.csv").stat().st_mode & 0o077 == 0


def test_a_time_says_its_zone(marked: Path, tmp_path: Path) -> None:
    """A spreadsheet has no zones, so the head of the column does; a time is written as it reads there."""
    head = student_table(set_results(class_folder(marked), "week-3")).head
    assert "handed in (UTC)" in head
    assert "handed in" not in head
    west = dt.datetime(2026, 11, 24, 23, 0, tzinfo=dt.timezone(dt.timedelta(hours=-5)))
    table = Table("t", ("time",), ((west,),))
    assert read_csv(csv_bytes(table))[1] == ["2026-11-24 23:00:00"]
    assert load_workbook(io.BytesIO(xlsx_bytes((table,))))["t"]["A2"].value == west.replace(tzinfo=None)


def test_another_ending_or_a_missing_folder_is_refused(marked: Path, tmp_path: Path) -> None:
    """In one sentence."""
    with pytest.raises(BadInput, match="written as"):
        export(marked, "week-3", tmp_path / "r.ods")
    with pytest.raises(BadInput, match="no folder"):
        export(marked, "week-3", tmp_path / "there" / "r.csv")


def test_each_student_has_a_zip(marked: Path, tmp_path: Path) -> None:
    """Of the notebook or of the feedback page; the same files give the same zip."""
    notebooks = zip_each(marked, "week-3", tmp_path / "out", feedback=False)
    assert [path.name for path in notebooks.written] == [f"{one}-week-3.zip" for one in ("ann", "ben", "cat")]
    before = [path.read_bytes() for path in notebooks.written]
    zip_each(marked, "week-3", tmp_path / "out", feedback=False)
    assert [path.read_bytes() for path in notebooks.written] == before
    with zipfile.ZipFile(notebooks.written[0]) as archive:
        assert archive.read("week-3/week-3.ipynb") == (marked / "release/ann/week-3/week-3.ipynb").read_bytes()
    write_feedback(marked, "week-3")
    pages = zip_each(marked, "week-3", tmp_path / "back", feedback=True)
    assert [student.id for student in pages.without] == ["cat"]


def test_a_formula_that_a_student_typed_stays_text(folder: Path, hand_in: Callable[..., Path], tmp_path: Path) -> None:
    """From the notebook to the file."""
    hand_in("ann", {"answer_1": "=1+1"})
    mark(folder, "week-3", now=NOW)
    export(folder, "week-3", tmp_path / "r.csv", answers=True)
    typed = [row[6] for row in read_csv((tmp_path / "r.csv").read_bytes())]
    assert typed[1] == "'=1+1"
