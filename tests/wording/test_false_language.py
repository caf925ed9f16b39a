"""Nothing decides by a sentence: a class that is taught in a language that nobody can read has the same marks.

Nor is any sentence left in code: what is printed of that class has no English word but those of data.
"""

from __future__ import annotations

import datetime as dt
import html
import json
import re
import shutil
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from calclib.answers import hint, marking_policies
from calclib.class_files import class_folder
from calclib.class_files.standing_rules import presets
from calclib.cli.main import calclib as command_line
from calclib.faults.fault import KINDS
from calclib.formulary.catalogue import drug_text
from calclib.gradebook import set_results
from calclib.items import item_from_record
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.judging_papers.changes import Change
from calclib.lessons.where_taught import sections
from calclib.models import bank
from calclib.models.papers import KINDS as KINDS_OF_PAPER
from calclib.models.papers import Paper
from calclib.pages import explanation, waiting, write_anonymous_report, write_feedback, write_report
from calclib.pages.accommodations import accommodation_lines
from calclib.pages.changed_marks import change_lines
from calclib.pages.export import export
from calclib.plots.infusion_text import describe
from calclib.quantity import rounding_policies
from calclib.reading import notation_rules
from calclib.records import marks_of, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class
from calclib.releasing.erasing.erase import erase
from calclib.timeline import Bag, Entered, Flush, Hanging, Primary, Secondary, Timeline, infusion_timeline
from tests.small_class.started import BLUEPRINT, NOW, ROSTER
from tests.wording.false_language import false_words, speak_it

SET = "week-3"
# What students, the rulings and the blueprint of this class say, and the signs of times and of what is hashed.
WRITTEN = "about a lot or cc A slip of ours. Half. Quince within seven days Write to her November UTC SHA csv None"


@dataclass(frozen=True)
class Taught:
    """What is left of a class after a term: the records of what was handed out, the marks, and all that was printed."""

    papers: Mapping[str, Any]
    marks: Mapping[str, Any]
    scores: Mapping[str, Fraction]
    printed: Mapping[str, str]
    students: tuple[str, ...]


@pytest.fixture
def started(tmp_path: Path) -> Path:
    """A class before its first set: what is drawn depends on its secret, which both languages must have."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    rules = 'minutes = 60\nattempts = 2\ndue = 2026-11-24T08:00:00Z\nlate = "10 percent a day"\ncut_score'
    appeal = '\n[appeal]\nto = "Prof. Quince"\nby = "within seven days"\nhow = "Write to her"\n'
    (tmp_path / "week-3.toml").write_text(BLUEPRINT.replace("cut_score", rules, 1) + appeal, encoding="utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    return tmp_path


def taught(place: Path, name: str, *, commands: bool) -> Taught:
    """A term: handed out, answered in many ways, marked, ruled on, explained, and one student erased.

    With `commands` also what the commands print once all is marked.
    """
    folder = Path(shutil.copytree(place / "class", place / name))
    hand_out(folder, place / "week-3.toml", now=NOW - dt.timedelta(days=7))
    where = class_folder(folder)
    papers = _papers(folder)
    for student, answer in {"ann": _wrong, "ben": _unclear, "cat": _right}.items():
        _hand_in(folder, student, papers[student], answer)
    marked = mark(folder, SET, now=NOW)
    half = RulingRequest("within", {"amount": "50%"}, "A slip of ours.", problem=1)
    one = RulingRequest("answer", {"points": "0.5"}, "Half.", problem=2, student="ben")
    changes = [make_ruling(folder, SET, each, now=NOW).marked.changes for each in (half, one)]
    notebook = json.loads(where.rendered(SET, "ann").read_text(encoding="utf-8"))
    printed = {
        "rules of the notebook": "".join(notebook["cells"][0]["source"]),
        "hints": "\n".join(_hints(papers["ann"])),
        "notes of marking": "\n".join(marked.notes),
        "changes": "\n".join(map(_shown, changes)),
        "review": re.sub(r'calclib rule .*? --reason "\.\.\."', "", waiting(folder, SET).text),
        "accommodations": "\n".join(accommodation_lines(folder, SET)),
        "report": _text(write_report(folder, SET)),
        "report without names": _text(write_anonymous_report(folder, SET)),
        **{f"explanation for {student}": explanation(folder, SET, student) for student in ("ann", "ben")},
        "infusions": "\n".join(map(describe, _infusions())),
        "papers": "\n".join(Paper(kind, "", (), line=None).alt for kind in KINDS_OF_PAPER),
        **{f"feedback for {one}": _text(page) for one, page in write_feedback(folder, SET).pages.items()},
    }
    for answers in (False, True):
        table = export(folder, SET, folder / f"{answers}.csv", answers=answers)
        printed[f"export, {'answers' if answers else 'students'}"] = "\n".join(
            " ".join(str(value) for value in row if isinstance(value, str)) for row in (table.head, *table.rows)
        )
    marks, scores = _marks(folder), _scores(folder)
    printed |= _commands(place, folder) if commands else {}
    erase(folder, "ann", now=NOW)
    return Taught(papers, marks, scores, printed, tuple(sorted(_papers(folder))))


COMMANDS = (
    "hand-out {class} {place}/week-3.toml --preview",
    "sign-off {class} {place}/week-3.toml --by Quince",
    "mark {class} week-3",
    "report {class} week-3",
    "explain {class} week-3 ben 1",
    "coached {class} week-3 ben --by Quince --note Half.",
    "appeal {class} week-3 ben --by Quince --note Half.",
    "standing {class}",
    "standing {class} --presets",
    "remedy {class} week-3",
    "again {class} week-3",
    "again {class} week-3 --how-parallel",
    "zip {class} week-3 --to {class}/zips",
    "student-record {class} ben --to {class}/ben.zip",
    "export {class} week-3 --to {class}/out.xlsx",
    "history {class} week-3",
    "items drop-rate secondary-infusion-entries --page {class}/catalogue.html",
    "items --faults",
    "draw drop-rate --faults",
    "judge drop-rate --answer 3",
    "formulary vancomycin",
    "formulary vancomycin --page {class}/formulary.html",
    "policies",
    "accommodations {class} week-3",
    "collect {class} week-3 {place}",
    "exam-machine {class}/machine",
)


def _commands(place: Path, folder: Path) -> dict[str, str]:
    """What the commands print and the pages that they write, without the commands and paths that are printed."""
    found = {}
    for line in COMMANDS:
        words = line.format_map({"class": folder, "place": place}).split()
        ended = CliRunner().invoke(command_line, words)
        assert ended.exception is None or isinstance(ended.exception, SystemExit), line
        found[line] = _without_commands(ended.output)
    for page in (place / "week-3-preview.html", folder / "catalogue.html", folder / "formulary.html"):
        found[page.name] = _without_commands(_text(page))
    for page in (*sorted((folder / "plans").rglob("*.html")), *sorted((folder / "reports").rglob("*.html"))):
        found[page.relative_to(folder).as_posix()] = _without_commands(_text(page))
    return found


def _infusions() -> Iterator[Timeline]:
    """By a pump and by gravity: primed with some loss and back-primed, rinsed and flushed, till nothing flows."""
    by_pump = Primary(Bag(300), Entered(125, 200))
    lossy = Secondary(Bag(100, drug=500), Entered(200, 80), tubing_volume=15, primed_out=5)
    yield infusion_timeline(Hanging(primary=by_pump, secondary=lossy, keep_open_rate=5), until=1500)
    by_gravity = Primary(Bag(300), Entered(125))
    rinsed = Secondary(Bag(100, drug=500), Entered(200), tubing_volume=15, back_primed=20, rinse=10)
    hung = Hanging(primary=by_gravity, secondary=rinsed, mode="gravity", clamp_reset_after=5, flush=Flush(30, 100))
    yield infusion_timeline(hung, until=1500)


def _without_commands(text: str) -> str:
    """A text without paths, and without commands as they are to be typed."""
    text = re.sub(r"calclib [a-z-]+( --?[a-z-]+| [A-Z=]+\b|( |\n)(/|week-3|ben|ann|cat)\S*)*", " ", text)
    return re.sub(r"\S*/\S+|\S+\.(html|toml|xlsx|zip|ipynb|csv)\b", " ", text)


def _shown(changes: Sequence[Change]) -> str:
    return "\n".join(change_lines(changes))


def _hints(items: list[Any]) -> Iterator[str]:
    for record in items:
        item = item_from_record(record)
        for part in item.parts:
            yield from (hint(item, part.name, rung) for rung in (1, 2, 3))


def _text(page: Path) -> str:
    """The words of a page: without tags, styles, scripts and pictures."""
    left_out = r"<style>.*?</style>|<script>.*?</script>|<figure>.*?</figure>|<svg.*?</svg>"
    text = re.sub(left_out, " ", page.read_text("utf-8"), flags=re.DOTALL)
    labels = " ".join(re.findall(r'aria-label="([^"]*)"', text))
    return html.unescape(f"{re.sub(r'<[^>]*>', ' ', text)} {labels}")


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


@pytest.fixture
def both(started: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Taught, Taught]:
    """The same class in English and in a language that nobody reads."""
    english = taught(started, "english", commands=False)
    speak_it(monkeypatch)
    return english, taught(started, "false", commands=True)


def _words(text: str) -> set[str]:
    """The words of a text, but for what is hashed or a name by chance: letters and digits without a sense."""
    plain = re.sub(r"\b(?=\w*[0-9])\w{6,}\b|\b[0-9a-f]{8,}\b", " ", text.casefold())
    return set(re.findall(r"[a-z]{3,}", plain))


def _data(taught: Taught) -> set[str]:
    """The words that stand in files of data, or that a person wrote: none of them is said by the program."""
    policies = (rounding_policies(), marking_policies(), notation_rules())
    names = (*bank(), *(f"{one.title} {one.skill}" for one in bank().values()))
    cited = resources.files("calclib.sources").joinpath("sources.toml").read_text("utf-8")
    shipped = (
        *(bank()[name].text for name in ("drop-rate", "secondary-infusion-entries")),
        *map(drug_text, ("vancomycin", "aztreonam", "magnesium sulfate")),
    )
    chosen = (presets(), KINDS, sections())
    return _words(
        " ".join(map(str, (taught.papers, policies, names, cited, shipped, chosen, BLUEPRINT, ROSTER, WRITTEN)))
    )


def test_a_class_in_a_language_that_nobody_reads_has_the_same_marks(both: tuple[Taught, Taught]) -> None:
    """Handed out, marked, ruled on, explained and erased alike: records, verdicts, scores; only the words differ."""
    english, false = both
    rules, false_rules = _rules(english.papers), _rules(false.papers)
    assert not {*rules} & {*false_rules}
    assert _facts(false.papers, false_rules) == _facts(english.papers, rules)
    assert _facts(false.marks, false_rules) == _facts(english.marks, rules)
    assert false.scores == english.scores
    assert false.students == english.students
    assert "wrong with cause" in english.printed["explanation for ann"]

    known = false_words() | _data(english)
    assert {name: left for name, text in false.printed.items() if (left := _words(text) - known)} == {}
