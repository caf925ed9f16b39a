"""Nothing decides by the words of an error: in another language the same commands fail alike, at the same places."""

from __future__ import annotations

import io
import json
import re
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from calclib.cli.main import main
from tests.small_class.started import BLUEPRINT, ROSTER
from tests.wording.false_language import speak_it

_MODEL = """id = "mine"
version = 1
title = "Mine"
topic = "basics"
skill = "volume"
order = 1
sources = ["from_memory"]
stem = "Order: {dose}. Give <img src=x>."

[given.dose]
kind = "drug_amount"
draw = ["5 mg"]
unit = "mg"
"""
_FILES = {
    "column.csv": "id,nme\nann,Ann Ash\n",
    "accommodation.csv": ROSTER.replace("extra_minutes=1440", "extra_minutes=much"),
    "twice.csv": "id,name\nann,Ann Ash\nAnn,Ann Elm\n",
    "policy.toml": BLUEPRINT.replace("tenths-and-wholes", "tenths-and-hole"),
    "no-toml.toml": BLUEPRINT.replace("cut_score = 90", "cut_score = "),
    "deep.toml": BLUEPRINT + "\nx = " + "[" * 9 + "]" * 9 + "\n",
    "markup.toml": _MODEL,
}
_PLACE = re.compile(r"calclib: (?:([^:,]+)(?:, \w+ (\d+))?: )?")


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code, what it printed, its error, and where that is."""

    code: int
    printed: str
    error: str

    @property
    def place(self) -> tuple[str | None, str | None]:
        """File and line of the error."""
        found = _PLACE.match(self.error)
        return (found[1], found[2]) if found else (None, None)

    @property
    def numbers(self) -> list[str]:
        """All numbers of the sentences: lines, limits, counts."""
        return re.findall(r"\d+", self.printed + self.error)


def run(words: Sequence[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Ended:
    """How a command ends, and what it prints."""
    monkeypatch.setattr(sys, "argv", ["calclib", *words])
    capsys.readouterr()
    with pytest.raises(SystemExit) as ended:
        main()
    shown = capsys.readouterr()
    error = next((line for line in shown.err.splitlines() if line.startswith("calclib: ")), "")
    return Ended(int(ended.value.code or 0), shown.out, error)


@pytest.fixture
def files(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder beside a class, with files that are wrong."""
    for name, text in _FILES.items():
        (folder.parent / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(folder.parent)
    return folder.parent


@pytest.mark.parametrize(
    ("words", "code", "place"),
    [
        (("start", "CLASS", "--roster", "column.csv"), 2, ("column.csv", "1")),
        (("start", "CLASS", "--roster", "accommodation.csv"), 2, ("accommodation.csv", "3")),
        (("start", "CLASS", "--roster", "twice.csv"), 2, ("twice.csv", "3")),
        (("hand-out", "CLASS", "policy.toml"), 2, ("policy.toml", "3")),
        (("hand-out", "CLASS", "no-toml.toml"), 2, ("no-toml.toml", "5")),
        (("hand-out", "CLASS", "deep.toml"), 2, ("deep.toml", None)),
        (("mark", "CLASS", "week-9"), 2, (None, None)),
        (("rule", "CLASS", "week-3", "--problem", "77", "--void", "--reason", "Unclear."), 2, (None, None)),
        (("draw", "drop-rat"), 2, (None, None)),
        (("draw", "drop-rate", "--given", "volume=much"), 2, (None, None)),
        (("collect", "CLASS", "week-3", "nowhere"), 2, (None, None)),
    ],
)
def test_a_command_fails_alike_in_a_language_that_nobody_reads(
    words: tuple[str, ...],
    code: int,
    place: tuple[str | None, str | None],
    files: Path,
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Exit code, file, line and every number are the same; only the words are others."""
    line = [folder.name if word == "CLASS" else word for word in words]
    english = run(line, monkeypatch, capsys)
    speak_it(monkeypatch)
    false = run(line, monkeypatch, capsys)

    assert (english.code, false.code) == (code, code)
    if place[0]:
        assert english.place[0] == place[0]
        assert place[1] in (None, english.place[1])
        assert false.place == english.place
    assert false.numbers == english.numbers
    assert english.error and english.error != false.error


def test_a_hostile_file_is_refused_at_the_same_lines(
    files: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A proof names the same lines of an item model and ends with the same exit code."""
    english = run(["items", "--prove", "markup.toml"], monkeypatch, capsys)
    speak_it(monkeypatch)
    false = run(["items", "--prove", "markup.toml"], monkeypatch, capsys)

    assert english.code == false.code != 0
    assert "HTML" in english.printed and "UGZY" in false.printed
    assert "markup.toml, line 8: " in english.printed
    assert false.numbers == english.numbers


def test_an_unreadable_answer_has_the_same_verdict(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A program gets the same verdicts and the same refusals; what a person reads is in other letters."""
    requests = [
        {"id": 1, "item": "drop-rate", "seed": "7", "answers": {"drops": "about a lot"}},
        {"id": 2, "item": "drop-rat", "seed": "7", "answers": {"drops": "5"}},
        {"id": 3, "item": "drop-rate", "seed": "7", "answers": 4},
    ]
    typed = "".join(f"{json.dumps(one)}\n" for one in requests)

    def replies() -> list[dict[str, object]]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        return [json.loads(line) for line in run(["judge", "-"], monkeypatch, capsys).printed.splitlines()]

    english = replies()
    speak_it(monkeypatch)
    false = replies()

    assert [set(one) for one in english] == [set(one) for one in false]
    assert [one["id"] for one in english] == [1, 2, 3] == [one["id"] for one in false]
    assert [("error" in one) for one in english] == [False, True, True]
    assert all(one["error"] != other["error"] for one, other in zip(english[1:], false[1:], strict=True))
    assert _verdicts(english[0]) == _verdicts(false[0]) == ["unread"]


def _verdicts(found: object) -> list[str]:
    if isinstance(found, dict):
        here = [found["verdict"]] if isinstance(found.get("verdict"), str) else []
        return here + [one for value in found.values() for one in _verdicts(value)]
    return [one for value in found for one in _verdicts(value)] if isinstance(found, list) else []
