"""What faculty read before a set goes out and beside its marks: reviews, appeals, rules, a notebook that is taken."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.models import bank
from tests.cli.test_faculty_commands import run
from tests.cli.test_whole_term import NAME, ORDER, done, keys_of, page_of, percents, send, soon, start

__all__ = ["start"]

APPEAL = ORDER[ORDER.index("[appeal]") : ORDER.index("[[items]]")]
NO_APPEAL = "The blueprint doesn't say how to appeal, so no student's page does"
REVIEWED = ORDER.replace("attempts = 2", "attempts = 2\nreviewed = true").replace(NAME, "exam-2")
LINES = REVIEWED.index("[[items]]")


def review(*models: str, drugs: bool = True) -> None:
    """Record reviews of item models, and of all their drugs."""
    rows = [f'[[model]]\nid = "{name}"\nversion = {bank()[name].version}\n' for name in models]
    names = sorted({drug for name in models for drug in bank()[name].formulary})
    rows += [f'[[drug]]\nname = "{name}"\n' for name in names if drugs]
    text = "".join(f'{row}by = "A. Reviewer"\non = "2030-01-01"\n' for row in rows)
    Path("reviews.toml").write_text(text, encoding="utf-8")


COMMANDS = {
    "preview": ("hand-out", "class", "second.toml", "--preview"),
    "sign-off": ("sign-off", "class", "second.toml", "--by", "Dr. Ines Marlowe"),
    "hand-out": ("hand-out", "class", "second.toml"),
}


@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('item = "drop-rate"', "'drop-rate' can't be taken"),
        ('topic = "tablets"', "'tablets' can't be taken"),
        ('item = "mine.toml"', "'mine.toml' can't be taken"),
        ('item = "pump-rate"\nreplacement = "drop-rate"', "'drop-rate' can't be taken"),
        ('item = "pump-rate"\nreplacement = "mine.toml"', "'mine.toml' can't be taken"),
    ],
)
def test_what_nobody_reviewed_is_neither_shown_signed_nor_handed_out(
    start: Callable[..., Path], command: tuple[str, ...], line: str, says: str
) -> None:
    """Where the blueprint asks for reviewed problems: of the bank, of faculty's own, and as a replacement."""
    start()
    review("pump-rate")
    own = bank()["drop-rate"].text.replace('id = "drop-rate"', 'id = "my-drops"')
    Path("mine.toml").write_text(own, encoding="utf-8")
    Path("second.toml").write_text(f"{REVIEWED[:LINES]}[[items]]\n{line}\n", encoding="utf-8")
    found = run(*command)
    assert found.exit_code == 1
    assert says in str(found.exception)
    assert "nobody has reviewed" in str(found.exception) or "none of its item models is reviewed" in str(
        found.exception
    )
    assert not Path("exam-2-preview.ipynb").exists()
    assert not list(Path("class/release").glob("*/exam-2"))


def test_a_topic_takes_the_reviewed_ones_alike_in_preview_sign_off_and_set(start: Callable[..., Path]) -> None:
    """Of a whole topic only the one that was reviewed; it is the one that is shown, signed and handed out."""
    folder = start()
    review("setup-drop-rate")
    top = REVIEWED[:LINES].replace("[appeal]", 'review = "required"\n[appeal]')
    order = f'{top}[[items]]\ntopic = "set_ups"\ncount = 2\n'
    Path("second.toml").write_text(order, encoding="utf-8")
    done(*COMMANDS["preview"])
    assert Path("exam-2-preview.html").read_text("utf-8").count("<code>setup-drop-rate</code>") == 2
    assert "asks for a colleague's sign-off" in str(run(*COMMANDS["hand-out"]).exception)
    done(*COMMANDS["sign-off"])
    done(*COMMANDS["hand-out"])
    assert class_folder(folder).rendered("exam-2", "ann").is_file()


def test_a_set_without_a_way_to_appeal_says_so_until_it_has_one(start: Callable[..., Path]) -> None:
    """In the preview and when it first goes out, not again; once it is added, each page says it."""
    folder = start()
    without = ORDER.replace(APPEAL, "").replace(NAME, "exam-2")
    Path("second.toml").write_text(without, encoding="utf-8")
    assert NO_APPEAL in done("hand-out", str(folder), "second.toml", "--preview")
    assert NO_APPEAL in done("hand-out", str(folder), "second.toml")
    assert NO_APPEAL not in done("hand-out", str(folder), "second.toml")
    Path("second.toml").write_text(ORDER.replace(NAME, "exam-2"), encoding="utf-8")
    said = done("hand-out", str(folder), "second.toml")
    assert "how to appeal is said differently now; write the feedback pages again" in said
    assert NO_APPEAL not in done("hand-out", str(folder), "exam.toml")
    send(folder, "ann", {}, soon())
    done("mark", str(folder), NAME)
    assert "Dr. Ines Marlowe" in page_of(folder, "ann")


def test_a_set_that_goes_out_after_its_times_says_so_once(start: Callable[..., Path]) -> None:
    """A due time or a time to appeal that lies behind is a slip of the year, and is said before anybody is late."""
    folder = start()
    late = ORDER.replace(NAME, "exam-2").replace("2030-06-03", "2029-06-03").replace("2030-06-20", "2029-06-20")
    Path("second.toml").write_text(late, encoding="utf-8")
    said = done("hand-out", str(folder), "second.toml")
    assert "The due time of this set has already passed: write another into the blueprint" in said
    assert "The time to appeal of this set has already passed" in said
    assert "has already passed" not in done("hand-out", str(folder), "second.toml")
    assert "has already passed" not in done("hand-out", str(folder), "exam.toml")


def rules_in(path: Path) -> tuple[list[str], list[str]]:
    """The rules that a notebook prints at its head, and what its check cells say that costs points."""
    cells = json.loads(path.read_text("utf-8"))["cells"]
    head = "".join(cells[0]["source"]).partition("**How it is marked**")[2].splitlines()
    checks = ["".join(cell["source"]) for cell in cells if "show_answer(" in "".join(cell["source"])]
    return [line for line in head if line.startswith("- ")], checks


def test_the_formgraders_copy_prints_the_rules_that_the_students_notebook_prints(start: Callable[..., Path]) -> None:
    """Each student's own, such as another due time; after a ruling on another policy those that are in force."""
    roster = "id,name,accommodations\nann,Ann Ash,\nben,Ben Birch,exam-1: due=2030-06-09T12:00:00-05:00\n"
    folder = start(roster=roster)
    where = class_folder(folder)
    for student in ("ann", "ben"):
        send(folder, student, keys_of(folder, student))
    done("mark", str(folder), NAME)
    for student in ("ann", "ben"):
        head, checks = rules_in(where.rendered(NAME, student))
        assert len(head) >= 6
        assert any("25%" in line for line in head)
        assert len(checks) == 5
        assert all("late: 25% off" in check for check in checks)
        assert rules_in(where.autograded(NAME, student))[0] == head
    assert rules_in(where.autograded(NAME, "ann")) != rules_in(where.autograded(NAME, "ben"))
    strict = "Marking policy “Strict exam”"
    assert strict in "".join(rules_in(where.autograded(NAME, "ann"))[0])
    done("rule", str(folder), NAME, "--marking", "homework", "--reason", "It was for practice.", "--yes")
    assert strict in "".join(rules_in(where.rendered(NAME, "ann"))[0])
    in_force = "".join(rules_in(where.autograded(NAME, "ann"))[0])
    assert strict not in in_force
    assert "Marking policy “Homework”" in in_force


def unnamed(folder: Path, student: str, *, instead: str = "") -> None:
    """Let a student's notebook come in without what says whose it is, or other text in its place."""
    path = class_folder(folder).submitted(NAME, student)
    notebook = json.loads(path.read_bytes())
    del notebook["metadata"]["calclib"]
    path.write_text(instead or json.dumps(notebook), encoding="utf-8")


TAKE = ("--take-notebook", "--reason", "She copied it to a new file.", "--yes")


def test_a_notebook_that_was_set_aside_is_marked_once_it_is_taken(start: Callable[..., Path]) -> None:
    """Until it is withdrawn, or another comes in; review asks until then."""
    folder = start()
    send(folder, "ann", keys_of(folder, "ann"))
    unnamed(folder, "ann")
    done("mark", str(folder), NAME)
    assert percents(folder) == {"ann": 0}
    assert "--take-notebook" in done("review", str(folder), NAME)
    done("rule", str(folder), NAME, "--student", "ann", *TAKE)
    assert percents(folder) == {"ann": 100}
    assert "Nothing waits for a person." in done("review", str(folder), NAME)
    assert "She copied it to a new file." in done("explain", str(folder), NAME, "ann")
    done("mark", str(folder), NAME, "--yes")
    assert percents(folder) == {"ann": 100}
    done("rule", str(folder), NAME, "--withdraw", "1", "--reason", "It was Ben's.", "--yes")
    assert percents(folder) == {"ann": 0}
    done("rule", str(folder), NAME, "--student", "ann", *TAKE)
    send(folder, "ann", {}, soon())
    done("mark", str(folder), NAME, "--yes")
    assert percents(folder) == {"ann": 0}


@pytest.mark.parametrize(
    ("instead", "says"),
    [
        (None, "The notebook of ann isn't set aside: it was marked."),
        ("<html>", "The notebook of ann can't be marked, since it"),
    ],
    ids=["marked", "no notebook"],
)
def test_what_is_not_set_aside_or_cannot_be_read_is_not_taken(
    start: Callable[..., Path], instead: str | None, says: str
) -> None:
    """The sentence says what to do in its place, and nothing is recorded."""
    folder = start()
    send(folder, "ann", keys_of(folder, "ann"))
    if instead:
        unnamed(folder, "ann", instead=instead)
    done("mark", str(folder), NAME)
    found = run("rule", str(folder), NAME, "--student", "ann", *TAKE)
    assert found.exit_code == 1
    assert says in str(found.exception)
    assert "Rulings" not in done("review", str(folder), NAME)
