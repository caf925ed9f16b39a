"""What is said where several attempts of a student are marked: each by name, and which one counts."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

from calclib.class_files import class_folder
from calclib.models import bank
from tests.cli.test_whole_term import NAME, ORDER, done, keys_of, page_of, send, soon, start

__all__ = ["start"]

TWO_PARTS = f"{ORDER.partition('[[items]]')[0]}[[items]]\nitem = 'surface-dose'\n".replace(
    "attempts = 2", "attempts = 4"
)


def given_again(folder: Path, *students: str) -> str:
    """Some students get another attempt."""
    return done("again", str(folder), NAME, *(word for one in students for word in ("--student", one)))


def test_each_further_attempt_is_told_with_its_score_and_which_one_counts(start: Callable[..., Path]) -> None:
    """A better one counts, a worse one vanishes without no word; a resubmission of it is another thing, and said."""
    folder = start()
    send(folder, "ann", {})
    send(folder, "ben", keys_of(folder, "ben"))
    assert "Further attempt" not in done("mark", str(folder), NAME)
    given_again(folder, "ann", "ben")
    send(folder, "ann", keys_of(folder, "ann", 2), soon())
    send(folder, "ben", {}, soon())
    better = "Further attempt: Ann Ash (ann); attempt 2 counts now: 0 of 5 (0%) to 5 of 5 (100%), now passes\n"
    worse = "Further attempt: Ben Birch (ben), attempt 2: 0 of 5 (0%); attempt 1 counts.\n"
    preview = done("mark", str(folder), NAME, "--preview")
    marked = done("mark", str(folder), NAME)
    for said in (preview, marked):
        assert better in said
        assert worse in said
        assert "Resubmitted" not in said
    assert "Nobody else's marks change." in preview
    send(folder, "ben", {"answer_1": keys_of(folder, "ben", 2)["answer_1"]}, soon())
    said = done("mark", str(folder), NAME)
    assert "Resubmitted: Ben Birch (ben), attempt 2: 1 of 5 (20%); attempt 1 counts.\n" in said
    assert "Further attempt" not in said
    assert "attempt" not in done("mark", str(folder), NAME).partition("Set aside")[0]


def test_the_formgraders_copy_tells_the_rules_that_marked_it(start: Callable[..., Path]) -> None:
    """After another marking policy, and after a due time of the student's own, also where no mark changes."""
    folder = start()
    send(folder, "ann", keys_of(folder, "ann"))
    done("mark", str(folder), NAME)

    def head() -> str:
        notebook = json.loads(class_folder(folder).autograded(NAME, "ann").read_bytes())
        return "".join(notebook["cells"][0]["source"])

    assert "“Strict exam”" in head() or "A dangerous error" in head()
    before = head()
    said = done("rule", str(folder), NAME, "--marking", "first-practice", "--reason", "It is for practice.", "--yes")
    assert "Nobody's marks change." in said
    assert head() != before
    (title,) = re.findall(r"Marking policy “(.*?)”", head())
    assert title not in before
    Path("roster.csv").write_text(
        Path("roster.csv").read_text("utf-8").replace('Ash, Ann",', f'Ash, Ann",{NAME}: due=2030-06-07T12:00:00-05:00'),
        encoding="utf-8",
    )
    done("start", "class", "--roster", "roster.csv")
    done("mark", str(folder), NAME)
    assert "Due: June 7, 2030, 12:00 (UTC-05:00)." in head()


def test_a_part_is_named_as_the_problem_calls_it_that_the_attempt_had(start: Callable[..., Path]) -> None:
    """A problem that took a bad one's place lends its own words to explanation, list of what waits, export, ruling."""
    folder = start(TWO_PARTS)
    send(folder, "ann", {})
    send(folder, "ben", {"answer_1": "ask"})
    done("mark", str(folder), NAME)
    done("rule", str(folder), NAME, "--problem", "1", "--credit-all", "--reason", "Unclear.", "--yes")
    other = "divided-doses"
    assert len(bank()[other].parts) == 2
    done("again", str(folder), NAME, "--student", "ann", "--replace", f"1={other}")
    # Only the second attempt counts: it answers better than nothing.
    done("rule", str(folder), NAME, "--withdraw", "1", "--reason", "To see the second.", "--yes")
    send(folder, "ann", keys_of(folder, "ann", 2) | {"answer_2": "ask the charge nurse"}, soon())
    said = done("mark", str(folder), NAME)
    assert "Ann Ash (ann); attempt 2 counts now" in said
    old, new = ("amount of drug", "volume of the dose"), ("amount for one dose", "volume for one dose")
    explained = done("explain", str(folder), NAME, "ann", "1")
    review = done("review", str(folder), NAME)
    done("export", str(folder), NAME, "--to", "answers.csv", "--answers")
    rows = {
        student: [line for line in lines_of("answers.csv") if line.startswith(f"{student},")]
        for student in ("ann", "ben")
    }
    for place, (was, now) in enumerate(zip(old, new, strict=True)):
        assert f"Part 1{'ab'[place]}, {now}" in explained
        assert f",{now}," in rows["ann"][place]
        assert f",{was}," in rows["ben"][place]
    assert f"Ann Ash (ann), problem 1b, {new[1]}" in review
    assert f"Ben Birch (ben), problem 1a, {old[0]}" in review
    part = [*bank()["surface-dose"].parts][1].name
    how = ("--problem", "1", "--part", part, "--points", "0.5", "--reason", "Said so.", "--yes")
    assert f"problem 1b, {new[1]}: 0 to " in done("rule", str(folder), NAME, "--student", "ann", *how)
    assert f"problem 1, {new[1]}" in page_of(folder, "ann") + done("review", str(folder), NAME)


def lines_of(path: str) -> list[str]:
    """The lines of a file."""
    return Path(path).read_text("utf-8-sig").splitlines()
