"""What faculty reads of marks that change."""

import datetime as dt
import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.judging_papers import mark
from calclib.pages import write_feedback
from tests.cli.test_faculty_commands import run
from tests.judging_papers.test_changes import tenfold
from tests.small_class.started import NOW, folder, hand_in, keys, made_class

__all__ = ["folder", "hand_in", "keys", "made_class"]

HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]


def rule(folder: Path, *words: str) -> str:
    """The output of a ruling."""
    return run("rule", str(folder), "week-3", "--reason", "Why.", *words).output


def test_a_preview_says_who_fails_the_whole_set(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Once a person confirms it, and who no longer passes, though no points change; the way back says the reverse."""
    hand_in("ann", tenfold(keys["ann"]))
    hand_in("ben", keys["ben"])
    mark(folder, "week-3", now=NOW)
    said = rule(folder, "--marking", "strict-exam", "--preview")
    assert "1 student now waits for you to confirm an error that fails the whole set.\n" in said
    assert "1 student no longer passes at the cut score of 90%.\n" in said
    line = "Ann Ash (ann): 11 of 12 (91.6%) as before, now waits for you to confirm an error, no longer passes\n"
    assert line in said
    assert "problem 1, drop rate: 0 to 0, an error that fails the whole set once you confirm it\n" in said
    assert "Ben" not in said
    done = rule(folder, "--marking", "strict-exam", "--yes")
    assert "1 student now waits for you to confirm an error that fails the whole set.\n" in done
    assert line in done
    assert "    because: ruling 1\n" in done
    assert "1 student has other marks.\n" in done
    failed = rule(folder, "--student", "ann", "--problem", "1", "--confirm-failure", "--yes")
    assert "1 student now fails the whole set by an error.\n" in failed
    back = rule(folder, "--problem", "1", "--credit-all", "--preview")
    assert "12 of 12 (100%), no longer fails the whole set by an error, now passes\n" in back


@pytest.mark.parametrize("words", [("--void",), ("--credit-all",)])
def test_preview_and_ruling_count_the_same(folder: Path, hand_in: HandIn, keys: Keys, words: tuple[str, ...]) -> None:
    """Those who gain, lose and keep their score add up to those whose marks are others after it."""
    hand_in("ann", keys["ann"] | {"answer_1": ""})
    hand_in("ben", keys["ben"])
    mark(folder, "week-3", now=NOW)
    preview = rule(folder, "--problem", "1", *words, "--preview")
    found = re.search(r"(\d+) students? gains?, (\d+) loses?(?:, (\d+) keeps? the same score)?:", preview)
    assert found is not None
    assert found[1] == "1"
    done = re.search(r"(\d+) students? (?:has|have) other marks", rule(folder, "--problem", "1", *words, "--yes"))
    assert done is not None
    assert int(done[1]) == sum(int(count or 0) for count in found.groups())


def test_who_resubmitted_is_named(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """With the marks before and after, and a warning where the answers had been printed in feedback by then."""
    hand_in("ann", {"answer_1": keys["ann"]["answer_1"]})
    mark(folder, "week-3", now=NOW)
    page = write_feedback(folder, "week-3").pages["ann"]
    os.utime(page, (NOW.timestamp(), NOW.timestamp()))
    path = hand_in("ann", keys["ann"])
    stamp = path.with_name("timestamp.txt")
    line = "Resubmitted: Ann Ash (ann): 1 of 12 (8.3%) to 12 of 12 (100%), now passes\n"
    warning = "Feedback, which prints the answers, was written on November 25, 2026, 08:00 UTC"
    for hour, more in (
        (1, ", before this was handed in on November 25, 2026, 09:00 UTC."),
        (-1, "; this was handed in"),
    ):
        stamp.write_text(f"{NOW + dt.timedelta(hours=hour):%Y-%m-%d %H:%M:%S.%f} UTC\n")
        said = run("mark", str(folder), "week-3", "--preview").output
        assert line in said
        assert f"  {warning}{more}" in said
        assert "Nobody else's marks change." in said
    done = run("mark", str(folder), "week-3")
    assert done.exit_code == 0
    assert line in done.output


def test_a_share_is_the_same_wherever_it_is_printed(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """11 of 12 is 91.66...%, cut off and never rounded up, so that nobody looks nearer to the cut than they are."""
    hand_in("ann", keys["ann"] | {"answer_1": ""})
    mark(folder, "week-3", now=NOW)
    ruling = rule(folder, "--problem", "1", "--credit-all", "--preview")
    for text in (ruling, run("explain", str(folder), "week-3", "ann", "1").output):
        assert re.findall(r"91\.\d+%", text) == ["91.6%"]
