"""Nothing decides by a sentence: a class that is taught in a language that nobody can read has the same marks."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, write_feedback, write_report
from calclib.records import marks_of, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class
from calclib.releasing.erasing.erase import erase
from tests.small_class.started import BLUEPRINT, NOW, ROSTER
from tests.wording.false_language import speak_it

SET = "week-3"


@dataclass(frozen=True)
class Taught:
    """What is left of a class after a term: the records of what was handed out, the marks, and a page of words."""

    papers: Mapping[str, Any]
    marks: Mapping[str, Any]
    scores: Mapping[str, Fraction]
    page: str
    students: tuple[str, ...]


@pytest.fixture
def started(tmp_path: Path) -> Path:
    """A class before its first set: what is drawn depends on its secret, which both languages must have."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (tmp_path / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    return tmp_path


def taught(place: Path, name: str) -> Taught:
    """A term: handed out, answered in many ways, marked, ruled on, explained, and one student erased."""
    folder = Path(shutil.copytree(place / "class", place / name))
    hand_out(folder, place / "week-3.toml", now=NOW)
    papers = _papers(folder)
    for student, answer in {"ann": _wrong, "ben": _unclear, "cat": _right}.items():
        _hand_in(folder, student, papers[student], answer)
    mark(folder, SET, now=NOW)
    make_ruling(folder, SET, RulingRequest("within", {"amount": "50%"}, "A slip of ours.", problem=1), now=NOW)
    make_ruling(folder, SET, RulingRequest("answer", {"points": "0.5"}, "Half.", problem=2, student="ben"), now=NOW)
    page = explanation(folder, SET, "ann")
    write_feedback(folder, SET)
    write_report(folder, SET)
    marks, scores = _marks(folder), _scores(folder)
    erase(folder, "ann", now=NOW)
    return Taught(papers, marks, scores, str(page), tuple(sorted(_papers(folder))))


def _papers(folder: Path) -> dict[str, Any]:
    found = {}
    with reading(class_folder(folder)) as connection:
        for student, name in pseudonyms(connection).items():
            paper = sealed_paper(connection, SET, name)
            if paper is not None:
                found[student] = [item.record for item in paper.items]
    return found


def _facts(found: Any, rules: Collection[str]) -> Any:
    """What is recorded, worked solutions and all, but for the rules that are printed beside the questions."""
    if isinstance(found, Mapping):
        return {name: _facts(value, rules) for name, value in found.items()}
    if isinstance(found, list | tuple):
        return [_facts(one, rules) for one in found]
    return "the printed rule" if found in rules else found


def _rules(papers: Mapping[str, Any]) -> list[str]:
    return [
        part["rule_text"] for items in papers.values() for item in items for part in item["parts"] if part["rule_text"]
    ]


def _marks(folder: Path) -> dict[str, Any]:
    with reading(class_folder(folder)) as connection:
        by_name = marks_of(connection, SET)
        return {
            student: [
                (one.slot, one.part, one.verdict, one.score, one.critical, one.needs_person, one.causes, one.notices)
                for one in by_name.get(name, ())
            ]
            + [{key: value for key, value in one.detail.items() if key != "rulings"} for one in by_name.get(name, ())]
            for student, name in pseudonyms(connection).items()
        }


def _scores(folder: Path) -> dict[str, Fraction]:
    results = set_results(class_folder(folder), SET)
    return {one.student.id: results.percent(one) for one in results.judged}


def _hand_in(folder: Path, student: str, items: list[Any], answer: Callable[[Mapping[str, Any], int], str]) -> None:
    where = class_folder(folder)
    notebook = json.loads(where.rendered(SET, student).read_text(encoding="utf-8"))
    parts = [part for item in items for part in item["parts"] if part["rule_text"]]
    for cell in notebook["cells"]:
        source = "".join(cell["source"])
        for number, part in enumerate(parts, start=1):
            if source.startswith(f'answer_{number} = ""'):
                text = answer(part, number)
                cell["source"] = [f'answer_{number} = "{text}"\n', "# Type your answer between the quotes."]
    path = where.submitted(SET, student)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), encoding="utf-8")


def _right(part: Mapping[str, Any], number: int) -> str:
    return str(part["answer"])


def _wrong(part: Mapping[str, Any], number: int) -> str:
    """What a listed mistake leads to, or another choice."""
    if part["choices"]:
        return next(str(choice) for choice in part["choices"] if choice != part["accepted_choice"])
    fault = part["faults"][number % len(part["faults"])]
    value = Fraction(fault[5]) if fault[5] else Fraction(7)
    return f"{round(value, 2)} {part['unit']}" if part["kind"] == "quantity" else "0000"


def _unclear(part: Mapping[str, Any], number: int) -> str:
    return ("about a lot", "5.0 or 6", f"{part['answer'].split()[0]} cc", part["answer"].split()[0], "")[number % 5]


def test_a_class_in_a_language_that_nobody_reads_has_the_same_marks(
    started: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Handed out, marked, ruled on, explained and erased alike: records, verdicts, scores; only the words differ."""
    english = taught(started, "english")
    speak_it(monkeypatch)
    false = taught(started, "false")

    rules, false_rules = _rules(english.papers), _rules(false.papers)
    assert not {*rules} & {*false_rules}
    assert _facts(false.papers, false_rules) == _facts(english.papers, rules)
    assert _facts(false.marks, false_rules) == _facts(english.marks, rules)
    assert false.scores == english.scores
    assert false.students == english.students
    assert "wrong with cause" in english.page
    assert "Verdict:" in english.page and "Verdict:" not in false.page
