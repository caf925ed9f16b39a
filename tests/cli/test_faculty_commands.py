import hashlib
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calclib.class_files import class_folder
from calclib.cli.main import COMMANDS, OLD_COMMANDS, calclib
from calclib.errors import CalclibError
from calclib.judging_papers import mark
from calclib.records.questioned import Question, QuestionKind, keep_questioned
from calclib.releasing import hand_out
from tests.small_class.started import BLUEPRINT, NOW, folder, hand_in, keys, made_class

__all__ = ["folder", "hand_in", "keys", "made_class"]

HandIn = Callable[..., Path]


def run(*words: str) -> Result:
    """Run a command as a person would at a keyboard that isn't there."""
    return CliRunner().invoke(calclib, words)


@pytest.fixture
def waiting(folder: Path, hand_in: HandIn, keys: dict[str, dict[str, str]]) -> Path:
    """A class in which one answer waits for a person."""
    hand_in("ann", keys["ann"] | {"answer_1": "about a lot", "answer_4": "see paper"})
    mark(folder, "week-3", now=NOW)
    return folder


def test_every_command_says_what_it_is_for() -> None:
    """In words that end the first sentence on the page of help, without an error."""
    for name in COMMANDS:
        found = run(name, "--help")
        assert found.exit_code == 0, name
        assert "Usage:" in found.output


@pytest.mark.parametrize(("old", "new"), sorted(OLD_COMMANDS.items()))
def test_old_names_of_commands_work_and_say_the_new_one(old: str, new: str) -> None:
    """For one version; the list of commands shows the new name alone."""
    found = run(old, "--help")
    assert found.exit_code == 0
    assert f"the command {old} is called {new} now: calclib {new}" in found.stderr
    assert "Usage:" in found.stdout
    listed = [line.split()[0] for line in run("--help").output.partition("Commands:")[2].splitlines() if line.strip()]
    assert (old in listed, new in listed) == (False, True)


def test_review_gives_the_command_that_settles_it(waiting: Path) -> None:
    """The command can be run as it is printed, but for the reason."""
    text = run("review", str(waiting), "week-3").output
    assert "2 answers of 1 student wait for a person." in text
    assert "Typed:  about a lot" in text
    (first, _) = [line for line in text.splitlines() if line.startswith("  Settle: ")]
    command = first.removeprefix("  Settle: calclib ").partition('"..."')[0]
    assert run(*command.split(), "It is in the margin.", "--yes").exit_code == 0
    assert "1 answer of 1 student" in run("review", str(waiting), "week-3").output


def test_review_offers_no_ruling_that_is_always_refused(folder: Path, hand_in: HandIn) -> None:
    """A notebook that was cut off, or a hand-in of another's notebook, is asked for again; one that only doesn't say
    whose it is can be taken."""
    path = hand_in("ann", {})
    path.write_bytes(path.read_bytes()[:1_000])
    hand_in("cat", {}, change=lambda notebook: notebook["metadata"].clear())
    mark(folder, "week-3", now=NOW)
    of_ben = class_folder(folder).rendered("week-3", "ben").read_bytes()
    why = Question(QuestionKind.OTHER_ACCOUNT, owner="dan", account="cat")
    keep_questioned(class_folder(folder), "week-3", "cat", of_ben, why, NOW)
    keep_questioned(class_folder(folder), "week-3", "ben", of_ben, why, NOW)
    text = run("review", str(folder), "week-3").output
    offers = {words for line in text.splitlines() for words in [line.partition("--student ")[2]] if "--take-" in line}
    sign = hashlib.sha256(of_ben).hexdigest()[:8]
    assert offers == {'cat --take-notebook --reason "..."', f'ben --take-hand-in {sign} --reason "..."'}
    assert text.count("ask for it to be handed in again") == 2


def test_a_ruling_shows_who_gains_before_it_is_applied(waiting: Path) -> None:
    """Without anybody to ask and without --yes nothing is changed."""
    words = ("rule", str(waiting), "week-3", "--problem", "1", "--credit-all", "--reason", "Unclear.")
    preview = run(*words, "--preview")
    assert "1 student gains, 0 lose:" in preview.output
    assert "problem 1, drop rate: 0 to 1" in preview.output
    refused = run(*words)
    assert isinstance(refused.exception, CalclibError)
    assert "add --yes" in str(refused.exception)
    assert "Ruling 1" in run(*words, "--yes").output


def test_exactly_one_thing_is_ruled_at_a_time(waiting: Path) -> None:
    """Two, or none, are refused in one sentence."""
    start = ("rule", str(waiting), "week-3", "--problem", "1", "--reason", "Why.")
    for more in ((), ("--void", "--credit-all"), ("--from", "1")):
        assert isinstance(run(*start, *more).exception, CalclibError)


def test_releasing_warns_while_anything_waits(waiting: Path) -> None:
    """With the number of answers and where they are listed."""
    text = run("report", str(waiting), "week-3").output
    assert "2 answers of 1 student still wait" in text
    assert "calclib review" in text


def test_marking_again_is_asked_about_where_marks_change(waiting: Path) -> None:
    """A preview says who gains and who loses; without an answer nothing changes."""
    assert "Nobody's marks change." in run("mark", str(waiting), "week-3", "--preview").output
    assert run("mark", str(waiting), "week-3").exit_code == 0


def test_the_other_commands_say_what_they_did(waiting: Path, tmp_path: Path) -> None:
    """Each in a line or a page."""
    assert "Accepted:" in run("explain", str(waiting), "week-3", "ann", "1").output
    assert "handed out" in run("history", str(waiting), "week-3").output
    assert "3 students in" in run("export", str(waiting), "week-3", "--to", str(tmp_path / "r.csv")).output
    assert "3 zips in" in run("zip", str(waiting), "week-3", "--to", str(tmp_path / "zips")).output
    assert "has had the only attempt" in run("again", str(waiting), "week-3", "--student", "ann").output
    assert "ann is erased" in run("erase", str(waiting), "ann", "--yes").output


def test_an_error_is_one_sentence_without_a_traceback(waiting: Path) -> None:
    """As a person sees it, with exit code 2."""
    program = "from calclib.cli import main; main()"
    words = [sys.executable, "-c", program, "explain", str(waiting), "week-3", "zoe"]
    found = subprocess.run(words, capture_output=True, text=True, check=False)
    assert (found.returncode, found.stdout) == (2, "")
    assert found.stderr == "calclib: No student of the roster has the id 'zoe'.\n"


def test_rulings_are_recorded_as_they_were_given(waiting: Path) -> None:
    """Each stands once in the history of the set, before the marks that follow from it."""
    ruling = ("--problem", "1", "--void", "--reason", "Not taught.", "--by", "Dr Elm", "--yes")
    run("rule", str(waiting), "week-3", *ruling)
    lines = run("history", str(waiting), "week-3").output.splitlines()
    events = [line.split("  ")[1].split(" ")[0].rstrip(":") for line in lines]
    assert events[-3:] == ["ruled", "judged", "marked"]
    assert events.count("ruled") == 1


def test_collecting_from_what_holds_no_notebook_fails(folder: Path, tmp_path: Path) -> None:
    """With what to give instead, after the files that lie there."""
    (tmp_path / "in" / "ben").mkdir(parents=True)
    (tmp_path / "in" / "ben" / "hw1.pdf").write_bytes(b"%PDF")
    found = run("collect", str(folder), "week-3", str(tmp_path / "in"))
    assert "ben/hw1.pdf isn't a notebook" in found.output
    assert isinstance(found.exception, CalclibError)
    assert "holds no notebook that can be read" in str(found.exception)


def test_marking_lists_who_is_late_with_both_times(folder: Path, hand_in: HandIn, tmp_path: Path) -> None:
    """Those whom the roster gives more time aren't, until that is over."""
    text = BLUEPRINT.replace("cut_score", "due = 2026-11-25T08:00:00+00:00\ncut_score")
    (tmp_path / "late.toml").write_text(text.replace("week-3", "late"), encoding="utf-8")
    hand_out(folder, tmp_path / "late.toml", now=NOW)
    for student, stamp in (("ann", "2026-11-25 20:30"), ("ben", "2026-11-25 20:30"), ("cat", "2026-11-25 07:00")):
        path = class_folder(folder).submitted("late", student)
        path.parent.mkdir(parents=True)
        path.write_bytes(class_folder(folder).rendered("late", student).read_bytes())
        path.with_name("timestamp.txt").write_text(f"{stamp}:00.000000 UTC\n", encoding="utf-8")
    output = run("mark", str(folder), "late").output
    assert "Late: Ann Ash (ann), handed in November 25, 2026, 20:30 UTC, due November 25, 2026, 08:00 UTC." in output
    assert output.count("Late: ") == 1
    assert "write late: due=2026-11-25T20:30:00+00:00 into the accommodations column" in output


def test_a_changed_due_time_is_told(folder: Path, tmp_path: Path) -> None:
    """With what it was before; the same blueprint again says nothing."""
    text = BLUEPRINT.replace("cut_score = 90", "due = 2026-12-01T23:59:00+00:00\ncut_score = 80")
    (tmp_path / "due.toml").write_text(text, encoding="utf-8")
    output = run("hand-out", str(folder), str(tmp_path / "due.toml")).output
    assert "Changed: the due time is now December 1, 2026, 23:59 UTC, before it was none." in output
    assert "Changed: the cut score is now 80, before it was 90." in output
    assert "calclib mark" in output
    assert "Changed" not in run("hand-out", str(folder), str(tmp_path / "due.toml")).output


def test_another_attempt_names_who_got_it_and_whose_answers_wait(waiting: Path, tmp_path: Path) -> None:
    """So that nobody works again for points that a ruling would give."""
    (tmp_path / "two.toml").write_text(BLUEPRINT.replace("cut_score", "attempts = 2\ncut_score"), encoding="utf-8")
    run("hand-out", str(waiting), str(tmp_path / "two.toml"))
    output = run("again", str(waiting), "week-3").output
    assert "1 student has another attempt" in output
    assert "  Ann Ash (ann): attempt 2" in output
    assert "still wait for review, and may yet give points: Ann Ash (ann)." in output
    assert "Not for 2 students" in output


def test_one_of_a_kind_is_spoken_of_as_one(folder: Path, hand_in: HandIn, tmp_path: Path) -> None:
    """In marking, starting and listing problems."""
    hand_in("ann", {"answer_1": "about a lot"})
    output = run("mark", str(folder), "week-3").output
    assert "1 notebook marked" in output
    assert "1 answer waits for a person" in output
    assert "1 answer of 1 student still waits for a person" in run("report", str(folder), "week-3").output
    (tmp_path / "roster.csv").write_text("id,name\nann,Ann Ash\n", encoding="utf-8")
    assert "1 new student." in run("start", str(tmp_path / "one"), "--roster", str(tmp_path / "roster.csv")).output
    assert "1 kind of problem." in run("items", "--find", "safe-dose-range").output
