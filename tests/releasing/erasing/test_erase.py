import datetime as dt
import hashlib
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from nbgrader.api import Gradebook
from sqlalchemy import Text, create_engine

from calclib.class_files import class_folder
from calclib.class_files.names import visible
from calclib.class_files.text_files import read_text_file
from calclib.collecting import collect
from calclib.errors import BadInput
from calclib.gradebook import set_results
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, waiting, write_feedback, write_report
from calclib.pages.after_exam.plans import write_plans
from calclib.pages.after_exam.standing_page import write_standing
from calclib.pages.after_exam.student_record import write_student_record
from calclib.records import history_of, reading
from calclib.records.history import EventKind
from calclib.records.people import pseudonyms
from calclib.records.rulings.ruling import rulings_of, typed_hash
from calclib.records.tables import METADATA
from calclib.releasing import hand_out, start_class
from calclib.releasing.coached import record_talk
from calclib.releasing.erasing.erase import erase
from calclib.releasing.erasing.holds import Despite
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.releasing.sign_off import sign_off
from calclib.wording.facts import ERASED_NAME, ERASED_TEXT
from tests.small_class.started import BLUEPRINT, NOW, ROSTER


def test_nothing_that_names_or_quotes_the_student_is_left(
    folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]]
) -> None:
    """Neither in a file, nor in a row, nor in what the database keeps of deleted rows."""
    hand_in("ann", keys["ann"] | {"answer_1": "ninety nine whispers"})
    hand_in("ben", {}, of="ann")
    mark(folder, "week-3", now=NOW)
    make_ruling(
        folder, "week-3", RulingRequest("answer", {"points": "1"}, "Ann was ill.", problem=1, student="ann"), now=NOW
    )
    write_feedback(folder, "week-3")
    write_report(folder, "week-3")
    erased = erase(folder, "ann", now=NOW)
    assert erased.reports == ("week-3.html",)
    left = b"".join(path.read_bytes() for path in folder.rglob("*") if path.is_file())
    for word in (b"ninety nine whispers", b"Ann Ash", b"Ash, Ann", b"aash", b"Ann was ill", b"student ann"):
        assert word not in left
    assert not list(folder.rglob("ann"))


def test_a_reason_that_names_the_student_goes_too(folder: Path, hand_in: Callable[..., Path], keys) -> None:
    """Also of a ruling on everybody or on another; one that doesn't name the student stays."""
    for student in ("ann", "ben"):
        hand_in(student, keys[student])
    mark(folder, "week-3", now=NOW)
    for reason, request in (
        ("As Ann (ann) showed.", {"kind": "credit", "value": {}, "problem": 1}),
        ("See what ANN typed.", {"kind": "answer", "value": {"points": "1"}, "problem": 2, "student": "ben"}),
        ("An annoying label.", {"kind": "credit", "value": {}, "problem": 3}),
    ):
        make_ruling(folder, "week-3", RulingRequest(reason=reason, **request), now=NOW)
    erase(folder, "ann", now=NOW)
    with reading(class_folder(folder)) as connection:
        found = rulings_of(connection, "week-3")
    assert [one.reason for one in found] == [ERASED_TEXT, ERASED_TEXT, "An annoying label."]
    assert [one.names for one in found] == [(), (), ()]
    write_report(folder, "week-3")
    page = class_folder(folder).report("week-3").read_text(encoding="utf-8")
    assert page.count("Reason: (erased)") == 2


def test_who_is_erased_is_recorded_as_a_sign_and_told_in_words(
    folder: Path, hand_in: Callable[..., Path], keys
) -> None:
    """No sentence of any language is written into a record: who ruled is a sign there, and words where it is told."""
    hand_in("ben", keys["ben"])
    mark(folder, "week-3", now=NOW)
    how = {"value": {"points": "1"}, "problem": 1, "student": "ben", "by": "Ann Ash"}
    make_ruling(folder, "week-3", RulingRequest("answer", reason="Looked at it.", **how), now=NOW)
    erase(folder, "ann", now=NOW)
    with reading(class_folder(folder)) as connection:
        (ruling,) = rulings_of(connection, "week-3")
    assert (ruling.by, ruling.reason) == (ERASED_NAME, "Looked at it.")
    told = " ".join(explanation(folder, "week-3", "ben", 1).split())
    assert "by a former student, problem 1" in told


@pytest.mark.parametrize("sign", [f"{ERASED_NAME}{ERASED_TEXT}", "\uffff"])
def test_what_a_person_types_is_never_read_as_such_a_sign(
    folder: Path, hand_in: Callable[..., Path], tmp_path: Path, sign: str
) -> None:
    """As an answer, as a comment, in a file, as a name, in a talk and at the command line; faculty's are refused."""
    hand_in("ben", {"answer_1": f"about {sign} 25", "answer_2": f"{sign}"})
    mark(folder, "week-3", now=NOW)
    record_talk(folder, "week-3", "ben", kind=EventKind.COACHED, by="Cy Cole", note=f"With {sign}.", now=NOW)
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        comment = gradebook.find_submission("week-3", "ben").notebooks[0].comments[0]
        comment.manual_comment = f"As {sign} said."
        gradebook.db.commit()
    write_feedback(folder, "week-3")
    write_report(folder, "week-3")
    with reading(class_folder(folder)) as connection:
        lines = "".join(history_of(connection, "week-3"))
    pages = "".join(path.read_text(encoding="utf-8") for path in folder.rglob("*.html"))
    told = (waiting(folder, "week-3").text, explanation(folder, "week-3", "ben", 1), lines, pages)
    assert not [text for text in told if "a former student" in text or "(erased)" in text or sign in text]
    assert "about" in told[0]
    for name, text in (
        ("roster.csv", f"{ROSTER}dan,Dan {sign},,,\n"),
        ("week-4.toml", f'set = "week-4"\ntitle = "{sign}"'),
    ):
        (tmp_path / name).write_text(text, encoding="utf-8")
        with pytest.raises(BadInput, match="stands for no letter") as found:
            read_text_file(tmp_path / name)
        assert found.value.line == (5 if name == "roster.csv" else 2)
    with pytest.raises(BadInput, match="printable"):
        record_talk(folder, "week-3", "ben", kind=EventKind.COACHED, by=f"C{sign}", note="Talked.", now=NOW)
    with pytest.raises(BadInput, match="printable"):
        make_ruling(folder, "week-3", RulingRequest("credit", {}, f"As {sign} said.", problem=1), now=NOW)
    assert "\\u" in visible(f"{sign}.ipynb")


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("Ann Ash", "give the id in the roster, ann."),
        ("Ash, Ann", "give the id in the roster, ann."),
        ("Carla Núñez", "'Carla Núñez' is not a student's id: give the id in the roster."),
        ("zoe", "give the id in the roster."),
    ],
)
def test_a_name_in_place_of_an_id_is_refused_with_the_id(folder: Path, given: str, words: str) -> None:
    """Where the roster has the name."""
    with pytest.raises(BadInput) as found:
        erase(folder, given, now=NOW)
    assert words in str(found.value)


def test_adding_the_id_again_brings_nothing_back(
    folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]], tmp_path: Path
) -> None:
    """The same roster gives the id a fresh pseudonym, other numbers, and no marks; also after a second erasure."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    names = set()
    for _ in range(3):
        with reading(class_folder(folder)) as connection:
            names.add(pseudonyms(connection)["ann"])
        paper = class_folder(folder).rendered("week-3", "ann").read_bytes()
        erase(folder, "ann", now=NOW)
        (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
        start_class(folder, tmp_path / "roster.csv")
        assert hand_out(folder, "week-3", now=NOW).new == 1
        assert class_folder(folder).rendered("week-3", "ann").read_bytes() != paper
        assert hand_out(folder, "week-3", now=NOW).new == 0
        ann = next(one for one in set_results(class_folder(folder), "week-3").students if one.student.id == "ann")
        assert ann.parts == ()
    assert len(names) == 3
    assert mark(folder, "week-3", now=NOW).marked == 0


def test_no_ruling_keeps_what_was_typed(
    folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]]
) -> None:
    """Neither the text that was accepted nor a hash of it, in the ruling and in the history: none of the file's bytes;
    and the id isn't among them as a plain hash."""
    hand_in("ann", keys["ann"] | {"answer_1": "ninety nine whispers"})
    mark(folder, "week-3", now=NOW)
    wishes = (
        RulingRequest("text", {"text": "ninety nine whispers"}, "Said so.", problem=1, student="ann"),
        RulingRequest("answer", {"points": "1"}, "Said so.", problem=1, student="ann"),
    )
    for wish in wishes:
        make_ruling(folder, "week-3", wish, now=NOW)
    with reading(class_folder(folder)) as connection:
        typed = typed_hash(pseudonyms(connection)["ann"], "ninety nine whispers")
    erase(folder, "ann", now=NOW)
    left = (folder / "gradebook.db").read_bytes()
    for word in (b"ninety nine whispers", typed.encode(), hashlib.sha256(b"ann").hexdigest().encode()):
        assert word not in left


def test_pseudonymous_rows_stay_and_the_class_goes_on(
    folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]]
) -> None:
    """Marks and draws stay for statistics; the others are marked and reported as before."""
    for student in ("ann", "ben"):
        hand_in(student, keys[student])
    mark(folder, "week-3", now=NOW)
    erase(folder, "ann", now=NOW)
    with reading(class_folder(folder)) as connection:
        marks = connection.exec_driver_sql("select count(*) from calclib_mark").scalar()
        history = connection.exec_driver_sql("select event, detail from calclib_history order by id").all()
    assert marks == 18
    assert (history[-1].event, json.loads(history[-1].detail)) == ("identity_erased", {})
    found = mark(folder, "week-3", now=NOW)
    assert (found.marked, found.changed, found.notes) == (1, 0, ())
    assert [one.student.id for one in set_results(class_folder(folder), "week-3").students] == ["ben", "cat"]
    assert hand_out(folder, "week-3", now=NOW).new == 0


def test_an_unknown_student_is_refused(folder: Path) -> None:
    """Also one who was erased before."""
    with pytest.raises(BadInput, match="no record of a student"):
        erase(folder, "zoe", now=NOW)
    erase(folder, "cat", now=NOW)
    with pytest.raises(BadInput, match="no record of a student"):
        erase(folder, "cat", now=NOW)


def test_the_gradebook_keeps_no_free_pages(folder: Path) -> None:
    """What was deleted stays readable in pages that are free, until the file is packed."""
    url = class_folder(folder).gradebook_url
    engine = create_engine(url)
    with engine.begin() as connection:
        connection.exec_driver_sql("CREATE TABLE passing (text)")
        connection.exec_driver_sql("INSERT INTO passing VALUES (?)", ("typed " * 10_000,))
        connection.exec_driver_sql("DROP TABLE passing")
    with engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA freelist_count").scalar_one() > 10
    engine.dispose()
    erase(folder, "ann", now=NOW)
    with create_engine(url).connect() as connection:
        assert connection.exec_driver_sql("PRAGMA freelist_count").scalar_one() == 0


def test_notices_of_every_set_and_command_go(folder: Path) -> None:
    """They name students and quote file names; the folder is emptied whoever is erased, and others' files stay."""
    notices = class_folder(folder).notices
    notices.mkdir()
    for name in ("week-3-collect.txt", "week-3-mark.txt", "exam-1-collect.txt", ".new-half"):
        (notices / name).write_text("Ann Ash (ann) handed in 120 notebooks.\n", encoding="utf-8")
    kept = class_folder(folder).rendered("week-3", "ben").read_bytes()
    erase(folder, "ann", now=NOW)
    assert not notices.exists()
    assert class_folder(folder).rendered("week-3", "ben").read_bytes() == kept


# What of each table a person of the faculty writes, about anybody: nothing of a student is left in it.
WRITTEN_BY_FACULTY = {
    "calclib_ruling": {"reason", "ruled_by"},
    "calclib_history": {"detail"},
    "comment": {"manual_comment", "auto_comment"},
}
# What programs write there of a student by name.
TOLD_BY_PROGRAMS = {"calclib_set_aside": {"reason"}, "calclib_answer": {"verdict"}}
# Of the student's own, what is deleted with the student; others' own words stay as they were handed in.
OWN = {"calclib_person": {"student_id"}, "calclib_answer": {"typed"}}
# What faculty write for a whole class before anybody hands in, and what is about a problem.
OF_A_SET = {
    "calclib_set": {"title", "blueprint", "slots"},
    "calclib_frozen_text": {"name", "text"},
    "calclib_item": {"record", "faults", "worked"},
    "calclib_rekeyed": {"record", "faults", "worked", "notes"},
}


def test_each_text_of_the_tables_has_its_place() -> None:
    """A new column that holds words is among those that erasing looks at, or it is said why not."""
    known = [WRITTEN_BY_FACULTY, TOLD_BY_PROGRAMS, OWN, OF_A_SET]
    texts = {
        (name, column.name)
        for name, table in METADATA.tables.items()
        for column in table.columns
        if isinstance(column.type, Text)
    }
    placed = {(name, column) for tables in known for name, columns in tables.items() for column in columns}
    machine = {("calclib_paper", "checksums"), ("calclib_ruling", "value"), ("calclib_ruling", "names")}
    machine |= {("calclib_mark", "causes"), ("calclib_mark", "notices")}
    assert texts - placed - machine == set()


OBRIEN = ROSTER.replace("ann,Ann Ash,aash", "may,May O'Brien,mobrien").replace("Ash, Ann", "O'Brien, May")


def test_every_kind_of_record_loses_a_student_who_is_erased(tmp_path: Path) -> None:
    """Whatever faculty wrote, ruled, talked over, planned, listed or printed: of the id, the names and the account,
    nothing is left in a byte of the class folder, and no page of others lost a word that only looks like the id."""
    (tmp_path / "roster.csv").write_text(OBRIEN, encoding="utf-8")
    (tmp_path / "week-3.toml").write_text(BLUEPRINT.replace("cut_score", "attempts = 2\ncut_score"), encoding="utf-8")
    folder, who = tmp_path / "class", "May O'Brien (may)"
    start_class(folder, tmp_path / "roster.csv")
    sign_off(folder, tmp_path / "week-3.toml", by="May O'Brien", now=NOW)
    hand_out(folder, tmp_path / "week-3.toml", now=NOW)
    where = class_folder(folder)
    for student in ("may", "ben", "cat"):
        path = tmp_path / "in" / student / "week-3.ipynb"
        path.parent.mkdir(parents=True)
        path.write_bytes(
            where.rendered("week-3", student).read_bytes().replace(b'_1 = \\"\\"', b'_1 = \\"3 gtt/min\\"')
        )
    (tmp_path / "in" / "ben" / "week-3 (1).ipynb").write_bytes(where.rendered("week-3", "may").read_bytes())
    later = NOW + dt.timedelta(days=1)
    collect(folder, "week-3", tmp_path / "in", now=later)
    mark(folder, "week-3", now=later)
    for student in ("may", "ben"):
        how = {"value": {"points": "1"}, "problem": 1, "student": student, "by": who}
        make_ruling(folder, "week-3", RulingRequest("answer", reason=f"As {who} may.", **how), now=later)
        for kind in (EventKind.COACHED, EventKind.APPEALED, EventKind.APPEAL_SETTLED):
            record_talk(folder, "week-3", student, kind=kind, by=who, note=f"With {who}.", now=later)
    everyone = RulingRequest("credit", {}, "May O'Brien and may: unclear.", problem=2, by="may")
    make_ruling(folder, "week-3", everyone, now=later)
    give_another_attempt(folder, "week-3", now=later, students=("may", "ben"))
    with Gradebook(where.gradebook_url) as gradebook:
        for student in ("may", "ben"):
            gradebook.find_submission("week-3", student).notebooks[0].comments[0].manual_comment = f"Ask {who}."
        gradebook.db.commit()
    write_feedback(folder, "week-3")
    write_report(folder, "week-3")
    write_plans(folder, "week-3", now=later)
    write_standing(folder, now=later)
    write_student_record(folder, "may", tmp_path / "may.zip")
    where.notices.mkdir(exist_ok=True)
    (where.notices / "week-3-mark.txt").write_text(f"{who} handed in late.", encoding="utf-8")
    despite = Despite(who, f"{who} asked for it.")
    (folder / "results.csv").write_text("an export", encoding="utf-8")
    (folder / "zips").mkdir()
    assert erase(folder, "may", now=later, despite=despite).foreign == ("results.csv", "zips")
    for again in (False, True):
        if again:
            mark(folder, "week-3", now=later)
            write_feedback(folder, "week-3")
            write_report(folder, "week-3")
            write_standing(folder, now=later)
        for path in folder.rglob("*"):
            assert "may" not in path.relative_to(folder).parts
            data = path.read_bytes() if path.is_file() else b""
            for word in (b"O'Brien", b"O&#39;Brien", b"mobrien", b"(may)", b'"may"', b"&#34;may"):
                assert word not in data, (path, word)
    page = where.feedback("week-3", "ben").read_text(encoding="utf-8")
    assert "former student" in page or "(erased)" in page
