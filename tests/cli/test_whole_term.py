"""Marks from the first hand-in to the last attempt, by commands as faculty give them, read on paper and page."""

from __future__ import annotations

import datetime as dt
import html
import json
import os
import re
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.gradebook.standing import Standing, standing_of
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from tests.cli.test_faculty_commands import run
from tests.judging_papers.test_changes import tenfold
from tests.small_class.started import ROSTER

NAME = "exam-1"
DUE = "2030-06-03T12:00:00-05:00"
ON_TIME, TWO_HOURS_LATE = (dt.datetime(2030, 6, 3, hour, tzinfo=dt.UTC) for hour in (16, 19))
ORDER = f"""set = "{NAME}"
title = "Exam 1"
rounding = "tenths-and-wholes"
marking = "strict-exam"
cut_score = 80
attempts = 2
due = {DUE}
late = "25 percent a day"

[appeal]
to = "Dr. Ines Marlowe"
by = 2030-06-20T17:00:00-05:00
how = "Write which problem, and why."

[[items]]
item = "drop-rate"
count = 4

[[items]]
item = "pump-rate"
"""
Keys = dict[str, str]
# What the commands take for the present.
CLOCK = {"now": dt.datetime(2030, 6, 1, tzinfo=dt.UTC)}


def soon() -> dt.datetime:
    """Some minutes later than whatever was done last."""
    return CLOCK["now"] + dt.timedelta(minutes=5)


def done(*words: str) -> str:
    """What a command prints that ends well, on both channels."""
    found = run(*words)
    assert found.exit_code == 0, found.output
    return found.output


@pytest.fixture
def start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Path]:
    """Starts a class and hands the exam out by its blueprint, in the current folder."""
    monkeypatch.chdir(tmp_path)
    CLOCK["now"] = dt.datetime(2030, 6, 1, tzinfo=dt.UTC)
    for module in ("marking", "handing_out", "rulings", "attempts"):
        monkeypatch.setattr(f"calclib.cli.commands.{module}._now", lambda: CLOCK["now"])

    def started(order: str = ORDER, roster: str = ROSTER) -> Path:
        Path("roster.csv").write_text(roster, encoding="utf-8")
        Path("exam.toml").write_text(order, encoding="utf-8")
        done("start", "class", "--roster", "roster.csv")
        done("hand-out", "class", "exam.toml")
        return Path("class")

    return started


def keys_of(folder: Path, student: str, attempt: int = 1) -> Keys:
    """The right answers of one attempt, by variable."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, NAME, pseudonyms(connection)[student], attempt)
    assert paper is not None
    parts = [part for item in paper.items for part in item.record["parts"]]
    return {f"answer_{n}": part["answer"] for n, part in enumerate(parts, start=1)}


def send(folder: Path, student: str, answers: Mapping[str, str], time: dt.datetime = ON_TIME) -> None:
    """Let the notebook that a student has now come in with answers, at a time, and collect it."""
    notebook = json.loads(class_folder(folder).rendered(NAME, student).read_bytes())
    for cell in notebook["cells"]:
        for variable, text in answers.items():
            if "".join(cell["source"]).startswith(f'{variable} = ""'):
                cell["source"] = f'{variable} = "{text}"'
    path = Path("downloads") / student / f"{NAME}.ipynb"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), encoding="utf-8")
    os.utime(path, (time.timestamp(), time.timestamp()))
    CLOCK["now"] = max(CLOCK["now"], time + dt.timedelta(hours=1))
    done("collect", str(folder), NAME, "downloads")
    path.unlink()


def page_of(folder: Path, student: str) -> str:
    """A student's page as plain text."""
    done("report", str(folder), NAME)
    text = class_folder(folder).feedback(NAME, student).read_text(encoding="utf-8")
    return " ".join(html.unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", text, flags=re.DOTALL)).split())


def report_of(folder: Path) -> str:
    """The class report as plain text, alternative texts too."""
    done("report", str(folder), NAME)
    text = class_folder(folder).report(NAME).read_text(encoding="utf-8")
    text = re.sub(r'<img alt="([^"]*)"[^>]*>', r" \1 ", text)
    return " ".join(html.unescape(re.sub(r"<style.*?</style>|<[^>]+>", " ", text, flags=re.DOTALL)).split())


def percents(folder: Path) -> dict[str, int]:
    """The score of each student whose notebook was marked."""
    results = set_results(class_folder(folder), NAME)
    return {one.student.id: int(results.percent(one)) for one in results.marked}


def test_the_first_due_time_is_never_applied_to_a_retake(start: Callable[..., Path]) -> None:
    """A retake without a due time can't be late, and that is said; one with a due time is late by it alone."""
    folder = start()
    for student in ("ann", "ben"):
        send(folder, student, {})
    done("mark", str(folder), NAME)
    plain = done("again", str(folder), NAME, "--student", "ann")
    assert "attempt 2, without a due time" in plain
    assert "that of the first attempt isn't applied" in plain
    with_due = done("again", str(folder), NAME, "--student", "ben", "--due", "2030-06-10T12:00:00-05:00")
    # Ben's extension of a day holds for it too.
    assert "attempt 2, due June 11, 2030, 12:00 (UTC-05:00)" in with_due
    for student in ("ann", "ben"):
        send(folder, student, keys_of(folder, student, 2), dt.datetime(2030, 6, 11, 18, 0, tzinfo=dt.UTC))
    said = done("mark", str(folder), NAME)

    assert percents(folder) == {"ann": 100, "ben": 75}
    assert "Late: Ann" not in said
    assert "Late: Ben Birch (ben), attempt 2" in said
    assert "1.25 points off" in said
    assert "late by less than a day" in page_of(folder, "ben")
    assert "late" not in page_of(folder, "ann").partition("Problem 1")[0]


def test_single_students_have_due_times_of_their_own(start: Callable[..., Path]) -> None:
    """From the roster: for a make-up, and for one attempt; whoever joins after the due time is never late by it."""
    own = "cat,Cat Cedar,,,exam-1: due=2030-06-05T12:00:00-05:00"
    folder = start(roster=ROSTER.replace("cat,Cat Cedar,,,", own))
    for student in ("ann", "cat"):
        send(folder, student, keys_of(folder, student), TWO_HOURS_LATE)
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 75, "cat": 100}
    Path("roster.csv").write_text(ROSTER.replace("cat,Cat Cedar,,,", f"{own}\ndan,Dan Dell,,,"), encoding="utf-8")
    done("start", "class", "--roster", "roster.csv")
    said = done("hand-out", "class", "exam.toml")
    assert "Dan Dell (dan) has the notebook only now, after the due time, which isn't applied" in said
    send(folder, "dan", keys_of(folder, "dan"), soon())
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 75, "cat": 100, "dan": 100}
    listed = done("accommodations", str(folder), NAME)
    assert "Cat Cedar (cat): due June 5, 2030, 12:00 (UTC-05:00)" in listed
    assert "Ann" not in listed


def test_format_and_working_time_stand_on_nothing_that_others_see(start: Callable[..., Path]) -> None:
    """They are kept, listed for faculty, and on no notebook, page, report or export."""
    allowed = "working_time=1.5; breaks=10 minutes each hour; format=large print"
    folder = start(
        ORDER.replace("cut_score", "minutes = 60\ncut_score"), ROSTER.replace("Cedar,,,", f"Cedar,,,{allowed}")
    )
    send(folder, "cat", keys_of(folder, "cat"))
    done("mark", str(folder), NAME)
    done("export", str(folder), NAME, "--to", "results.csv")
    line = "Cat Cedar (cat): 1.5 times the working time, 90 minutes; breaks: 10 minutes each hour; format: large print"
    assert line in done("accommodations", str(folder), NAME)
    seen = [page_of(folder, "cat"), report_of(folder), Path("results.csv").read_text("utf-8-sig")]
    seen += [path.read_text("utf-8") for path in Path("class/release").rglob("*.ipynb")]
    seen += [done("explain", str(folder), NAME, "cat"), done("history", str(folder), NAME)]
    assert [
        word for text in seen for word in ("large print", "each hour", "1.5 times", "90 minutes") if word in text
    ] == []
    assert "Working time: 60 minutes" in seen[3]


def test_how_to_appeal_stands_on_each_page(start: Callable[..., Path]) -> None:
    """To whom, by when and how, as the blueprint says it, and in the explanation too."""
    folder = start()
    send(folder, "ann", {})
    done("mark", str(folder), NAME)
    said = "appeal to Dr. Ines Marlowe, by June 20, 2030, 17:00 (UTC-05:00). Write which problem, and why."
    assert said in page_of(folder, "ann")
    assert said in " ".join(done("explain", str(folder), NAME, "ann").split())


def test_a_tenfold_error_fails_the_exam_once_a_person_confirms_it(start: Callable[..., Path]) -> None:
    """Until then the page says that the result waits, the list of what waits has both commands, and nobody failed."""
    folder = start()
    send(folder, "ann", tenfold(keys_of(folder, "ann")))
    send(folder, "ben", tenfold(keys_of(folder, "ben")))
    send(folder, "cat", keys_of(folder, "cat"))
    done("mark", str(folder), NAME)
    assert "80% is reached. A person has yet to confirm whether an error in problem 1 fails" in page_of(folder, "ann")
    assert "1 of 3 pass at 80%" in report_of(folder)
    assert "2 of 3 are at 80% or above, with an error that fails the whole set once you confirm it" in report_of(folder)
    told = "2 of these wait for you to confirm an error in problem 1, which then fails the whole set."
    assert f"3 of 3 score at or above the cut of 80%. {told}" in report_of(folder)
    assert "with an error that waits for you" in done("again", str(folder), NAME, "--below-cut")
    review = done("review", str(folder), NAME)
    (confirm,) = re.findall(r"(rule \S+ \S+ --student ann .*--confirm-failure) --reason", review)
    (dismiss,) = re.findall(r"(rule \S+ \S+ --student ben .*--dismiss-failure) --reason", review)
    for command in (confirm, dismiss):
        done(*command.split(), "--reason", "Looked at it.", "--yes")

    assert "isn't passed" in page_of(folder, "ann")
    assert "an error in problem 1 fails the whole set by its marking policy, as a person confirmed" in page_of(
        folder, "ann"
    )
    assert "The cut score of 80% is reached." in page_of(folder, "ben")
    report = report_of(folder)
    assert "2 of 3 pass at 80%" in report
    assert "1 of 3 is at 80% or above, but failed by an error: Ann Ash (problem 1)." in report
    assert "3 of 3 score at or above the cut of 80%. 1 of these failed by an error in problem 1." in report
    assert "below the cut" not in report


def test_every_count_agrees_with_the_rule_that_decided(start: Callable[..., Path]) -> None:
    """One is below the cut, one failed by an error, one passes: headline, table, alternative text and export agree."""
    folder = start()
    send(folder, "ann", {})
    send(folder, "ben", tenfold(keys_of(folder, "ben")))
    send(folder, "cat", keys_of(folder, "cat"))
    done("mark", str(folder), NAME)
    how = ("--student", "ben", "--problem", "1", "--confirm-failure", "--reason", "Ten times.", "--yes")
    done("rule", str(folder), NAME, *how)
    results = set_results(class_folder(folder), NAME)
    assert {one.student.id: standing_of(results, one) for one in results.marked} == {
        "ann": Standing.BELOW,
        "ben": Standing.FAILED,
        "cat": Standing.PASSES,
    }
    report = report_of(folder)
    assert "1 of 3 is below the cut score of 80%: Ann Ash." in report
    assert "1 of 3 is at 80% or above, but failed by an error: Ben Birch (problem 1)." in report
    assert "2 of 3 score at or above the cut of 80%. 1 of these failed by an error in problem 1." in report
    done("export", str(folder), NAME, "--to", "results.csv")
    rows = Path("results.csv").read_text("utf-8-sig").splitlines()[1:]
    words = ("below the cut score", "an error fails the set", "passes")
    assert all(word in row for word, row in zip(words, rows, strict=True))


def test_each_change_of_marks_is_said_with_its_cause(start: Callable[..., Path]) -> None:
    """With --yes too: another roster, another late rule, another cut score, a ruling and its withdrawal."""
    folder = start()
    send(folder, "ann", keys_of(folder, "ann") | {"answer_1": ""}, TWO_HOURS_LATE)
    send(folder, "cat", keys_of(folder, "cat"))
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 60, "cat": 100}
    Path("roster.csv").write_text(ROSTER.replace('Ash, Ann",', 'Ash, Ann",extra_minutes=180'), encoding="utf-8")
    done("start", "class", "--roster", "roster.csv")
    said = done("mark", str(folder), NAME, "--yes")
    assert "1 student now passes at the cut score of 80%." in said
    assert "Ann Ash (ann): 3 of 5 (60%) to 4 of 5 (80%), now passes" in said
    assert "because: less is taken off for being late (25% before, now 0%)" in said
    assert "Cat" not in said.partition("Set aside")[0].partition("gains")[2].partition("Next")[0]
    Path("exam.toml").write_text(ORDER.replace("cut_score = 80", "cut_score = 85"), encoding="utf-8")
    done("hand-out", str(folder), "exam.toml")
    said = done("mark", str(folder), NAME, "--yes")
    assert "no longer passes" in said
    assert "because: the cut score changed" in said
    said = done("rule", str(folder), NAME, "--problem", "1", "--void", "--reason", "Not taught.", "--preview")
    assert "because: ruling 1" in said
    assert done("mark", str(folder), NAME, "--yes").count("because") == 0


def test_best_counts_a_notebook_that_a_ruling_took(start: Callable[..., Path]) -> None:
    """Though it carries no tag, and a worse further attempt came in after it: nobody is asked again whose it is."""
    folder = start()
    answers = keys_of(folder, "ann")
    send(folder, "ann", answers)
    where = class_folder(folder)
    path = where.submitted(NAME, "ann")
    notebook = json.loads(path.read_bytes())
    del notebook["metadata"]["calclib"]
    path.write_text(json.dumps(notebook), encoding="utf-8")
    done("mark", str(folder), NAME)
    taken = ("--student", "ann", "--take-notebook", "--reason", "She copied it to a new file.", "--yes")
    done("rule", str(folder), NAME, *taken)
    assert percents(folder) == {"ann": 100}
    done("again", str(folder), NAME, "--student", "ann")
    send(folder, "ann", {}, soon())
    done("mark", str(folder), NAME, "--yes")
    assert percents(folder) == {"ann": 100}
    assert "Nothing waits for a person." in done("review", str(folder), NAME)


def test_a_bad_problem_is_replaced_and_its_try_given_back(start: Callable[..., Path]) -> None:
    """Credit touches the attempts so far; the retake asks another problem, which counts; statistics leave it out."""
    folder = start()
    right = keys_of(folder, "ann")
    send(folder, "ann", {"answer_1": right["answer_1"]})
    send(folder, "ben", keys_of(folder, "ben"))
    done("mark", str(folder), NAME)
    ruled = done("rule", str(folder), NAME, "--problem", "5", "--credit-all", "--reason", "Unclear.", "--preview")
    assert "Everyone who handed in attempt 1 gets full points for it." in ruled
    done("rule", str(folder), NAME, "--problem", "5", "--credit-all", "--reason", "Unclear.", "--yes")
    again = done("again", str(folder), NAME, "--below-cut", "--replace", "5=titrated-rate")
    assert "Problem 5 is “titrated-rate” in this attempt" in again
    assert "Attempt 1 doesn't count as used for 1 student" in again
    assert "that ruling 1 found bad: Ann Ash (ann)." in again
    assert "Not for 1 student, who passes." in again
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, NAME, pseudonyms(connection)["ann"], 2)
    assert paper is not None
    assert [item.model_id for item in paper.items] == [*["drop-rate"] * 4, "titrated-rate"]
    answers = keys_of(folder, "ann", 2)
    send(folder, "ann", answers | {"answer_5": "", "answer_1": ""}, soon())
    done("mark", str(folder), NAME, "--yes")
    assert percents(folder) == {"ann": 60, "ben": 100}
    assert "left out of the statistics: credited to everyone, by ruling 1" in report_of(folder)
    # Two attempts by the blueprint, of which one was given back.
    assert "attempt 3" in done("again", str(folder), NAME, "--below-cut", "--replace", "5=titrated-rate")


def test_what_takes_a_bad_problems_place_is_found_marked_and_rekeyed(start: Callable[..., Path]) -> None:
    """Another of its topic, by the name of the place, though its model calls the part otherwise."""
    folder = start()
    send(folder, "ann", {})
    done("mark", str(folder), NAME)
    done("rule", str(folder), NAME, "--problem", "5", "--credit-all", "--reason", "Unclear.", "--yes")
    (model,) = re.findall(r"Problem 5 is “(.*?)” in this attempt", done("again", str(folder), NAME, "--below-cut"))
    assert model != "pump-rate"
    send(folder, "ann", keys_of(folder, "ann", 2), soon())
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 100}
    assert model in done("explain", str(folder), NAME, "ann", "5")
    done("rule", str(folder), NAME, "--rounding", "tenths", "--reason", "We teach tenths.", "--yes")
    assert percents(folder) == {"ann": 100}
    assert "Nothing waits for a person." in done("review", str(folder), NAME)


def test_an_attempt_whose_error_waits_is_seen(start: Callable[..., Path]) -> None:
    """Where no other attempt passes it counts and waits; confirmed, the other counts; dismissed, it passes."""
    folder = start()
    send(folder, "ann", {})
    done("mark", str(folder), NAME)
    done("again", str(folder), NAME, "--below-cut")
    send(folder, "ann", tenfold(keys_of(folder, "ann", 2)), soon())
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 80}
    assert "(ann), problem 1: may fail the whole set" in done("review", str(folder), NAME)
    how = ("--student", "ann", "--problem", "1", "--reason", "Looked at it.", "--yes")
    done("rule", str(folder), NAME, *how, "--dismiss-failure")
    results = set_results(class_folder(folder), NAME)
    assert [standing_of(results, one) for one in results.marked] == [Standing.PASSES]
    done("rule", str(folder), NAME, *how, "--confirm-failure")
    results = set_results(class_folder(folder), NAME)
    assert [standing_of(results, one) for one in results.marked] != [Standing.PASSES]


def test_a_void_problem_is_not_asked_again(start: Callable[..., Path]) -> None:
    """It counts for nobody, so the retake leaves it out; the other answers keep their names and count."""
    folder = start()
    send(folder, "ann", {})
    done("mark", str(folder), NAME)
    done("rule", str(folder), NAME, "--problem", "2", "--void", "--reason", "Not taught.", "--yes")
    assert "Problem 2 was declared void, so it isn't asked" in done("again", str(folder), NAME, "--below-cut")
    notebook = class_folder(folder).rendered(NAME, "ann").read_text("utf-8")
    assert "Your faculty took this problem out" in notebook
    assert 'answer_2 = \\"\\"' not in notebook
    path = class_folder(folder).rendered(NAME, "ann")
    path.unlink()
    done("hand-out", str(folder), NAME)
    assert path.read_text("utf-8") == notebook
    answers = keys_of(folder, "ann", 2)
    del answers["answer_2"]
    send(folder, "ann", answers, soon())
    done("mark", str(folder), NAME, "--yes")
    assert percents(folder) == {"ann": 100}
    assert "Nothing waits for a person." in done("review", str(folder), NAME)


def test_every_attempt_stays_visible(start: Callable[..., Path]) -> None:
    """In report, page, export and history, with the share that passes the first time; zips hold the retakes alone."""
    folder = start()
    send(folder, "ann", {"answer_1": keys_of(folder, "ann")["answer_1"]})
    send(folder, "ben", keys_of(folder, "ben"))
    done("mark", str(folder), NAME)
    done("again", str(folder), NAME, "--below-cut")
    assert "1 zip in zips, of attempt 2" in done("zip", str(folder), NAME, "--to", "zips")
    assert [path.name for path in Path("zips").iterdir()] == [f"ann-{NAME}-attempt-2.zip"]
    with zipfile.ZipFile(f"zips/ann-{NAME}-attempt-2.zip") as archive:
        assert archive.read(f"{NAME}/{NAME}.ipynb") == class_folder(folder).rendered(NAME, "ann").read_bytes()
    send(folder, "ann", keys_of(folder, "ann", 2), soon())
    done("mark", str(folder), NAME)
    report = report_of(folder)
    assert "2 of 2 pass at 80% Attempt 1: 1 of 2 pass. Attempt 2: 1 of 1 pass." in report
    assert "1: 20%, 2: 100% (counts)" in report
    assert "Scores: attempt 1: 20%; attempt 2: 100%." in page_of(folder, "ann")
    history = done("history", str(folder), NAME)
    # The first attempt is judged twice: it counts until another does.
    assert re.findall(r"judged .*: (attempt \d), .*points ([\d.]+)", history) == [
        ("attempt 1", "1"),
        ("attempt 1", "5"),
        ("attempt 1", "1"),
        ("attempt 2", "5"),
    ]
    done("export", str(folder), NAME, "--to", "results.xlsx")
    from openpyxl import load_workbook

    rows = list(load_workbook("results.xlsx")["attempts"].iter_rows(values_only=True))
    assert [(row[0], row[2], row[6], row[7]) for row in rows[1:]] == [
        ("ann", 1, 20, "below the cut score"),
        ("ann", 2, 100, "passes"),
        ("ben", 1, 100, "passes"),
    ]


def test_a_set_that_wants_a_sign_off_goes_out_after_one(start: Callable[..., Path]) -> None:
    """Of exactly this blueprint: another one must be signed again; the page for it has keys, points and rules."""
    start()
    order = ORDER.replace('"exam-1"', '"exam-2"').replace("cut_score", 'review = "required"\ncut_score')
    Path("second.toml").write_text(order, encoding="utf-8")
    assert "asks for a colleague's sign-off" in str(run("hand-out", "class", "second.toml").exception)
    assert "once a colleague has signed" in done("hand-out", "class", "second.toml", "--preview")
    page = Path("exam-2-preview.html").read_text("utf-8")
    for words in ("5 points in all", "Right answer", "Not signed yet", "Notation: ", "Level: ", "Sources: "):
        assert words in page
    assert "is signed by Dr. Ines Marlowe" in done("sign-off", "class", "second.toml", "--by", "Dr. Ines Marlowe")
    Path("second.toml").write_text(order.replace("cut_score = 80", "cut_score = 70"), encoding="utf-8")
    assert "has changed since Dr. Ines Marlowe signed it" in str(run("hand-out", "class", "second.toml").exception)
    Path("second.toml").write_text(order, encoding="utf-8")
    assert "3 notebooks drawn" in done("hand-out", "class", "second.toml")
    assert "signed off: by Dr. Ines Marlowe" in done("history", "class", "exam-2")


def test_a_policy_of_facultys_own_marks(start: Callable[..., Path]) -> None:
    """From the file beside the blueprint, recorded as it was; a change of the file is said and changes no mark."""
    Path("ours.toml").write_text(
        'name = "ours"\ntitle = "Ours"\nsays = "Half for a number without its unit."\nlike = "strict-exam"\n'
        "[worth]\nunit_missing = 0.5\n",
        encoding="utf-8",
    )
    folder = start(ORDER.replace('"strict-exam"', '"ours.toml"'))
    answers = {name: text.split()[0] for name, text in keys_of(folder, "ann").items()}
    send(folder, "ann", answers)
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 50}
    assert "a right number without its unit earns 50% of the points" in Path(
        "class/release/ann/exam-1/exam-1.ipynb"
    ).read_text("utf-8")
    Path("ours.toml").write_text(Path("ours.toml").read_text("utf-8").replace("0.5", "0.25"), encoding="utf-8")
    assert "ours.toml has changed since the set was handed out" in done("hand-out", "class", "exam.toml")
    done("mark", str(folder), NAME, "--yes")
    assert percents(folder) == {"ann": 50}
    said = done("rule", str(folder), NAME, "--marking", "ours.toml", "--reason", "Agreed in the faculty.", "--yes")
    assert "1 student has other marks" in said
    assert percents(folder) == {"ann": 25}
