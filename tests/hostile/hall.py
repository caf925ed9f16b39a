"""A class of three with a set handed out: ann and ben are honest, eve hands in what a test plants."""

from __future__ import annotations

import base64
import datetime as dt
import hashlib
import json
import os
import re
import shutil
import sqlite3
import stat
import time
import zipfile
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from calclib.class_files import class_folder
from calclib.collecting import collect
from calclib.judging_papers import mark
from calclib.pages import write_feedback, write_report
from calclib.pages.templating import own_script
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class

Notebook = dict[str, Any]
Change = Callable[[Notebook], object]

SET = "week-3"
NOW = dt.datetime(2026, 11, 25, 8, 0, tzinfo=dt.UTC)
ROSTER = """id,name,hub_user,lms_name,accommodations
ann,Ann Ash,,"Ash, Ann",
ben,Ben Birch,,"Birch, Ben",
eve,Eve Elm,,"Elm, Eve",
"""
ITEMS = """title = "Infusions"
rounding = "tenths-and-wholes"
marking = "homework"

[[items]]
item = "drop-rate"
"""
BLUEPRINT = f"""set = "{SET}"
{ITEMS}
[[items]]
item = "secondary-infusion-entries"
points = 3

[[items]]
item = "infusion-end-time"
"""
OTHER_BLUEPRINT = f"""set = "week-4"
{ITEMS}"""
ANSWERS = 5

# What marking may write into the class folder, and nothing else.
WRITTEN = (
    "submissions",
    "earlier",
    "questioned",
    "autograded",
    "feedback",
    "reports",
    "gradebook.db",
    ".gradebook-lock",
)


@dataclass(frozen=True)
class Outcome:
    """What came of a run: collected, marked, and all pages written.

    Attributes:
        grades: By student and check cell, what nbgrader's gradebook holds: automatic score, the score that a person
            gave, extra points, and whether a person has to look.
        worth: What nbgrader's gradebook says each check cell is worth.
        sentences: What a person is told by collecting, by marking, and under "What needs a person" on the class report.
        pages: Every page in the class folder, by its path there.
        seconds: How long it took.
    """

    grades: Mapping[str, Mapping[str, tuple[float | None, float | None, float | None, bool]]]
    worth: Mapping[str, float]
    sentences: tuple[str, ...]
    pages: Mapping[str, str]
    seconds: float

    def points(self, student: str) -> float:
        """Points of a student; a check cell without a score would count in full, as nbgrader counts it."""
        rows = self.grades.get(student, {})
        return sum(self.worth[cell] if auto is None else auto for cell, (auto, *_) in rows.items())


@dataclass(frozen=True)
class Hall:
    """Where it happens: `root` holds the class folder, the inbox with what came in, and things to be left alone."""

    root: Path

    @property
    def folder(self) -> Path:
        """The class folder."""
        return self.root / "class"

    @property
    def inbox(self) -> Path:
        """What came in."""
        return self.root / "inbox"

    @property
    def outside(self) -> Path:
        """A folder that is nobody's business here."""
        return self.root / "outside"

    def paper(self, student: str, *, set_name: str = SET) -> Notebook:
        """The notebook as it was handed out."""
        path = class_folder(self.folder).rendered(set_name, student)
        notebook: Notebook = json.loads(path.read_text(encoding="utf-8"))
        return notebook

    def key(self, student: str) -> dict[int, str]:
        """The right answers, by their number."""
        with reading(class_folder(self.folder)) as connection:
            paper = sealed_paper(connection, SET, pseudonyms(connection)[student])
        assert paper is not None
        parts = [part for item in paper.items for part in item.record["parts"]]
        return {number: part["answer"] for number, part in enumerate(parts, start=1)}

    def answered(self, student: str, answers: Mapping[int, str]) -> Notebook:
        """The student's notebook with answers typed between the quotes."""
        notebook = self.paper(student)
        for number, text in answers.items():
            answer_cell(notebook, number)["source"] = [
                f'answer_{number} = "{text}"\n',
                "# Type your answer between the quotes.",
            ]
        return notebook

    def put(self, path: str, content: Notebook | bytes, *, hours: int = 0) -> Path:
        """Write a file into the inbox as it came in so many hours after the others."""
        return written(self.inbox / path, content, hours=hours)

    def submit(self, student: str, content: Notebook | bytes, *, name: str = f"{SET}.ipynb") -> Path:
        """Write a file into the submissions of the class, where nbgrader's own collecting puts it."""
        return written(self.folder / "submissions" / student / SET / name, content)

    def eve(self, change: Change = lambda notebook: None) -> Path:
        """Hand in eve's notebook, whose first answer is right, changed at will."""
        notebook = self.answered("eve", {1: self.key("eve")[1]})
        change(notebook)
        return self.put(f"eve/{SET}.ipynb", notebook)

    def run(self) -> Outcome:
        """Collect, mark, and write all pages."""
        begun = time.monotonic()
        collected = collect(self.folder, SET, self.inbox, now=NOW + dt.timedelta(days=1))
        marked = mark(self.folder, SET, now=NOW + dt.timedelta(days=1))
        write_feedback(self.folder, SET)
        report = write_report(self.folder, SET)
        seconds = time.monotonic() - begun
        pages = {str(p.relative_to(self.folder)): p.read_text("utf-8") for p in sorted(self.folder.rglob("*.html"))}
        needs = Page(report.read_text(encoding="utf-8")).items
        grades, worth = gradebook(self.folder / "gradebook.db")
        return Outcome(grades, worth, (*collected.notes, *marked.notes, *needs), pages, seconds)


def started_hall(root: Path) -> Hall:
    """Make the class, hand out two sets, and put the honest papers into the inbox."""
    hall = Hall(root)
    for name, text in (("roster.csv", ROSTER), ("week-3.toml", BLUEPRINT), ("week-4.toml", OTHER_BLUEPRINT)):
        (root / name).write_text(text, encoding="utf-8")
    start_class(hall.folder, root / "roster.csv")
    hand_out(hall.folder, root / "week-3.toml", now=NOW)
    hand_out(hall.folder, root / "week-4.toml", now=NOW)
    hall.outside.mkdir()
    (hall.outside / "week-3.ipynb").write_text("not to be read or changed", encoding="utf-8")
    right = hall.key("ann")
    hall.put(f"ann/{SET}.ipynb", hall.answered("ann", right))
    hall.put(f"ben/{SET}.ipynb", hall.answered("ben", hall.key("ben") | {1: "1 gtt/min", 5: ""}))
    return hall


def copied_hall(hall: Hall, root: Path) -> Hall:
    """A copy for one test."""
    shutil.copytree(hall.root, root, dirs_exist_ok=True)
    return Hall(root)


def written(path: Path, content: Notebook | bytes, *, hours: int = 0) -> Path:
    """Write a file with a fixed time."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
    stamp = (NOW + dt.timedelta(hours=hours)).timestamp()
    os.utime(path, (stamp, stamp))
    return path


def zipped(path: Path, *entries: tuple[str | zipfile.ZipInfo, bytes]) -> Path:
    """Write a zip with entries as given."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in entries:
            entry = zipfile.ZipInfo(name, (2026, 11, 26, 12, 0, 0)) if isinstance(name, str) else name
            archive.writestr(entry, data, zipfile.ZIP_DEFLATED if isinstance(name, str) else None)
    return path


def cell(notebook: Notebook, ending: str) -> Notebook:
    """The first cell whose id ends so."""
    found: Notebook = next(cell for cell in notebook["cells"] if cell["id"].endswith(ending))
    return found


def answer_cell(notebook: Notebook, number: int) -> Notebook:
    """The answer cell of a number."""
    found: Notebook = next(c for c in notebook["cells"] if "".join(c["source"]).startswith(f"answer_{number} "))
    return found


def check_cells(notebook: Notebook) -> list[Notebook]:
    """All check cells."""
    return [cell for cell in notebook["cells"] if cell["id"].endswith("-check")]


def own_cell(kind: str, source: str, **more: Any) -> Notebook:
    """A cell that the student added."""
    extra: Notebook = {"execution_count": None, "outputs": []} if kind == "code" else {}
    return {"cell_type": kind, "id": "own", "metadata": {}, "source": source, **extra, **more}


def gradebook(
    path: Path,
) -> tuple[dict[str, dict[str, tuple[float | None, float | None, float | None, bool]]], dict[str, float]]:
    """Grades of the set in nbgrader's own tables, and what each check cell is worth."""
    query = """
        select submitted_assignment.student_id, base_cell.name, grade.auto_score, grade.manual_score,
               grade.extra_credit, grade.needs_manual_grade, grade_cells.max_score
        from grade
        join submitted_notebook on submitted_notebook.id = grade.notebook_id
        join submitted_assignment on submitted_assignment.id = submitted_notebook.assignment_id
        join assignment on assignment.id = submitted_assignment.assignment_id
        join base_cell on base_cell.id = grade.cell_id
        join grade_cells on grade_cells.id = grade.cell_id
        where assignment.name = ?
    """
    grades: dict[str, dict[str, tuple[float | None, float | None, float | None, bool]]] = {}
    worth: dict[str, float] = {}
    with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as connection:
        for student, name, auto, manual, extra, flag, most in connection.execute(query, (SET,)):
            grades.setdefault(student, {})[name] = (auto, manual, extra, bool(flag))
            worth[name] = most
    return grades, worth


def tree(root: Path, *, without: Path) -> dict[str, tuple[object, ...]]:
    """Everything below a folder, without following links: kind, rights, size, time and content."""
    found: dict[str, tuple[object, ...]] = {}
    pending = [root]
    while pending:
        for path in pending.pop().iterdir():
            if path == without:
                continue
            state = path.lstat()
            if stat.S_ISDIR(state.st_mode):
                pending.append(path)
            plain = stat.S_ISREG(state.st_mode)
            content = hashlib.sha256(path.read_bytes()).hexdigest() if plain and state.st_size < 1e6 else ""
            # The time of a folder would tell of a file that was made and removed again.
            found[str(path.relative_to(root))] = (state.st_mode, state.st_size, state.st_mtime_ns, content)
    return found


class Page(HTMLParser):
    """A page taken apart: its tags with their attributes, and what it lists as needing a person."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.comments: list[str] = []
        self.items: tuple[str, ...] = ()
        self.scripts: list[str] = []
        self._item: str | None = None
        self._needs_a_person = False
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag."""
        self.tags.append((tag, dict(attrs)))
        if tag == "section":
            self._needs_a_person = dict(attrs).get("aria-labelledby") == "person"
        if tag == "li" and self._needs_a_person:
            self._item = ""

    def handle_endtag(self, tag: str) -> None:
        """End an item of a list."""
        if tag == "li" and self._item is not None:
            self.items += (" ".join(self._item.split()),)
            self._item = None

    def handle_data(self, data: str) -> None:
        """Collect the words of an item."""
        if self._item is not None:
            self._item += data
        if self.cdata_elem == "script":
            self.scripts.append(data)

    def handle_comment(self, data: str) -> None:
        """Note a comment: our pages have none."""
        self.comments.append(data)


OUR_SCRIPT = own_script("report.js")["script"]
OUR_LINK = re.compile(rf"\.\./feedback/[a-z]+/{SET}/{SET}\.html(#q[0-9]+)?")
_SCRIPTED = {"script", "iframe", "object", "embed", "form", "base", "link", "frame", "audio", "video", "svg", "math"}


def live_parts(text: str) -> list[str]:
    """What in a page runs, loads something from elsewhere, or leads there; nothing of it belongs in ours.

    One script of ours sorts the class report, and its links lead to students' pages beside it.
    """
    page = Page(text)
    found = [f"<!--{comment}-->" for comment in page.comments]
    one_script = sum(tag == "script" for tag, _ in page.tags) == 1
    ours = one_script and "".join(page.scripts) == OUR_SCRIPT
    for tag, attributes in page.tags:
        if tag in _SCRIPTED and not (tag == "script" and ours and not attributes):
            found.append(tag)
        for name, value in attributes.items():
            words = "".join((value or "").split()).casefold()
            leads = name in (
                "href",
                "src",
                "srcset",
                "action",
                "formaction",
                "data",
                "poster",
                "background",
                "xlink:href",
            )
            harmless = words.startswith(("#", "data:image/svg+xml;base64,")) or OUR_LINK.fullmatch(value or "")
            if name.startswith("on") or "javascript:" in words or (leads and not harmless) or "url(" in words:
                found.append(f"{tag} {name}={value}")
            if words.startswith("data:") and b"<script" in base64.b64decode((value or "").partition(",")[2]).lower():
                found.append("a picture with script")
    return found
