"""A set's results as tables for a spreadsheet, a row a student and a row an answer; no text becomes a formula."""

from __future__ import annotations

import csv
import datetime as dt
import io
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from calclib.class_files import class_folder
from calclib.class_files.kept_files import refuse_kept
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput
from calclib.errors.unseen import unseen_shown
from calclib.gradebook import PartResult, SetResults, StudentResult, set_results
from calclib.gradebook.attempt_results import AttemptResult, attempt_results
from calclib.gradebook.standing import failing_places, standing_of
from calclib.quantity.writing import write_number
from calclib.records import Slot, reading, sealed_paper
from calclib.records.part_marks import Fails
from calclib.records.set_aside_facts import for_faculty
from calclib.records.set_times import zone_of
from calclib.wording import Fact, fact, fact_from_record, of_kind, said, sentence

Value = str | int | Fraction | dt.datetime | bool | None

_LONGEST_CELL = 32_000
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
_SECONDS_SHOWN = "%Y-%m-%d %H:%M:%S"
_ID = (fact("export.id"), fact("export.name"))
_SCORE = (fact("export.points"), fact("export.of"), fact("export.percent"), fact("export.result"))


@dataclass(frozen=True)
class Table:
    """A table with a head line."""

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[Value, ...], ...]


def export(folder: Path, set_name: str, target: Path, *, answers: bool = False) -> Table:
    """Write a set's results to a file for a spreadsheet.

    Args:
        folder: The class folder.
        set_name: The set.
        target: A file that ends in .csv (one table) or in .xlsx (all, each on a sheet of its own: also every attempt).
        answers: In a .csv, a row an answer in place of a row a student.

    Returns:
        The table that was written, in an .xlsx the one by student.

    Raises:
        BadInput: no such set, or the file has another ending or lies in a folder that isn't there.
    """
    refuse_kept(target)
    kind = target.suffix.casefold()
    if kind not in (".csv", ".xlsx"):
        raise BadInput(fact("errors_pages.csv_or_xlsx"), where=str(target))
    if not target.absolute().parent.is_dir():
        raise BadInput(fact("errors_pages.no_folder", folder=str(target.absolute().parent)), where=str(target))
    where = class_folder(folder)
    results = set_results(where, set_name)
    students = student_table(results)
    with reading(where) as connection:
        tries = attempt_table(results, attempt_results(connection, results))
    if kind == ".csv":
        table = answer_table(results, keys_of(folder, results)) if answers else students
        replace_file(target, csv_bytes(table), mode=0o600)
        return table
    replace_file(target, xlsx_bytes((students, answer_table(results, keys_of(folder, results)), tries)), mode=0o600)
    return students


def keys_of(folder: Path, results: SetResults) -> Mapping[tuple[str, int, str], str]:
    """Return the right answers by pseudonym, problem and part."""
    keys: dict[tuple[str, int, str], str] = {}
    with reading(class_folder(folder)) as connection:
        for one in results.marked:
            paper = sealed_paper(connection, results.sealed.name, one.pseudonym, one.attempt)
            for item in () if paper is None else paper.items:
                for part in item.record["parts"]:
                    keys[one.pseudonym, item.slot, part["name"]] = part["answer"]
    return keys


def student_table(results: SetResults) -> Table:
    """Return a row a student, with the points of each problem."""
    slots = results.sealed.slots
    head = (
        *_ID,
        fact("export.note"),
        *_SCORE,
        fact("export.attempt"),
        fact("export.handed_in", zone=_zone_name(results)),
        fact("export.lost"),
        fact("export.awaiting_answers"),
        *(
            fact("export.problem_points", number=slot.number, title=said("export.titles", titles=slot.titles))
            for slot in slots
        ),
    )
    return Table("students", tuple(map(sentence, head)), tuple(_student(results, one) for one in results.students))


def _student(results: SetResults, one: StudentResult) -> tuple[Value, ...]:
    if not one.parts:
        empty = (None,) * (6 + len(results.sealed.slots))
        return (one.student.id, one.student.name, said("export.nothing_handed_in"), None, results.sealed.points, *empty)
    problems: dict[int, Fraction] = {}
    for part in one.parts:
        problems[part.mark.slot] = problems.get(part.mark.slot, Fraction(0)) + part.earned
    return (
        one.student.id,
        one.student.name,
        said("export.notes", notes=tuple(_notes(results, one))),
        one.earned,
        results.sealed.points,
        results.percent(one),
        sentence(of_kind("standing", standing_of(results, one).value)),
        one.attempt,
        one.time.astimezone(zone_of(results.sealed)) if one.time else None,
        one.penalty,
        sum(part.open for part in one.parts),
        *(problems.get(slot.number) for slot in results.sealed.slots),
    )


def attempt_table(results: SetResults, attempts: Mapping[str, tuple[AttemptResult, ...]]) -> Table:
    """Return a row an attempt, those among them that don't count."""
    head = (*_ID, fact("export.attempt"), fact("export.counts"), *_SCORE, fact("export.lost"))
    rows = [
        (
            one.student.id,
            one.student.name,
            one.attempt,
            one.counts,
            one.earned,
            results.sealed.points,
            one.percent,
            sentence(of_kind("standing", one.standing.value)),
            one.penalty,
        )
        for student in results.students
        for one in attempts.get(student.student.id, ())
    ]
    return Table("attempts", tuple(map(sentence, head)), tuple(rows))


def _zone_name(results: SetResults) -> str:
    return dt.datetime.now(zone_of(results.sealed)).tzname() or "UTC"


def _notes(results: SetResults, one: StudentResult) -> Iterator[Fact]:
    if one.aside:
        yield for_faculty(one.aside)
        return
    if places := failing_places(results, one, Fails.EXAM):
        yield fact("standing.exported_fails", places=places)
    if places := failing_places(results, one, Fails.EXAM_WAITS):
        yield fact("standing.exported_may_fail", places=places)


def answer_table(results: SetResults, keys: Mapping[tuple[str, int, str], str]) -> Table:
    """Return a row an answer: what was typed, how it was read and judged, and the points.

    Args:
        results: The results of the set.
        keys: The right answers, see `keys_of`.
    """
    head = (
        *_ID,
        fact("export.problem"),
        fact("export.title"),
        fact("export.skill"),
        fact("export.part"),
        fact("export.typed"),
        fact("export.read_as"),
        fact("export.right_answer"),
        fact("export.verdict"),
        fact("export.points"),
        fact("export.of"),
        fact("export.by_hand"),
        fact("export.awaiting"),
        fact("export.critical"),
        fact("export.mistakes"),
        fact("export.unsafe_notation"),
        fact("export.rulings"),
    )
    slots = {slot.number: slot for slot in results.sealed.slots}
    rows: list[tuple[Value, ...]] = []
    for one in results.marked:
        for part in one.parts:
            slot = slots[part.mark.slot].of_attempt(one.pseudonym, one.attempt)
            key = keys.get((one.pseudonym, slot.number, part.mark.part), "")
            rows.append(
                (one.student.id, one.student.name, slot.number, slot.title, slot.skill, *_answer(part, key, slot))
            )
    return Table("answers", tuple(map(sentence, head)), tuple(rows))


def _answer(part: PartResult, key: str, slot: Slot) -> tuple[Value, ...]:
    mark = part.mark
    read = mark.detail.get("reading") or {}
    return (
        slot.words(mark.part),
        mark.typed,
        str(read.get("shown") or ""),
        key,
        sentence(of_kind("verdict_name", mark.verdict)),
        part.earned,
        mark.points,
        part.manual is not None or bool(part.extra),
        part.open,
        mark.critical,
        said("export.notes", notes=tuple(map(_cause, mark.causes))),
        said("export.notes", notes=tuple(of_kind("notation_name", notice["rule"]) for notice in mark.notices)),
        "; ".join(str(ruling["number"]) for ruling in mark.detail.get("rulings", ())),
    )


def _cause(cause: Mapping[str, Any]) -> Fact:
    clause = fact_from_record(cause["what"])
    return clause if cause["certain"] else fact("export.perhaps", clause=clause)


def csv_bytes(table: Table) -> bytes:
    """Return a table as CSV that spreadsheets open as UTF-8; a text that would be a formula has an apostrophe first."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_harmless(name) for name in table.head])
    for row in table.rows:
        writer.writerow([_csv(value) for value in row])
    return out.getvalue().encode("utf-8-sig")


def _csv(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return said("export.yes" if value else "export.no")
    if isinstance(value, dt.datetime):
        return value.strftime(_SECONDS_SHOWN)
    if isinstance(value, int | Fraction):
        return write_number(Fraction(value), 4).replace(",", "")
    return _harmless(value)


def _fit(text: str) -> str:
    return unseen_shown(text)[:_LONGEST_CELL]


def _harmless(text: str) -> str:
    """A spreadsheet takes a text for a formula by its first sign, some even by its wide form or behind blanks."""
    fit = _fit(text)
    first = unicodedata.normalize("NFKC", fit).lstrip(" ")[:1]
    return f"'{fit}" if {fit[:1], text[:1], first} & set(_FORMULA) else fit


def xlsx_bytes(tables: Sequence[Table]) -> bytes:
    """Return tables as a workbook, each on a sheet; numbers, times and texts keep their kind."""
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    book.remove(book.active)
    for table in tables:
        sheet: Any = book.create_sheet(table.name)
        for line, row in enumerate((table.head, *table.rows), start=1):
            for place, value in enumerate(row, start=1):
                _fill(sheet.cell(line, place), value)
        for cell in sheet[1]:
            cell.font = Font(bold=True)
        sheet.freeze_panes = "C2"
        for place, wide in enumerate(_widths(table), start=1):
            sheet.column_dimensions[sheet.cell(1, place).column_letter].width = wide
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fill(cell: Any, value: Value) -> None:
    if isinstance(value, str):
        cell.value = _fit(value)
        # A text stays one, whatever it begins with; the mark tells so to whoever edits the cell.
        cell.data_type = "s"
        cell.quotePrefix = cell.value[:1] in _FORMULA
    elif isinstance(value, dt.datetime):
        cell.value = value.replace(tzinfo=None)
        cell.number_format = "yyyy-mm-dd hh:mm"
    elif isinstance(value, Fraction):
        # Points and percent, rounded to where a spreadsheet shows them.
        cell.value = float(write_number(value, 4).replace(",", ""))
        cell.number_format = "0.##"
    elif value is not None:
        cell.value = value


def _widths(table: Table) -> Iterator[int]:
    for place, name in enumerate(table.head):
        longest = max((len(str(row[place] or "")) for row in table.rows), default=0)
        yield min(max(len(name), longest, 6) + 2, 48)
