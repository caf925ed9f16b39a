"""What people and programs get of a drawing at the command line: its words, and the device."""

from __future__ import annotations

import json
from pathlib import Path

from click.testing import CliRunner

from calclib.cli.main import calclib
from tests.items.test_coinciding_mistakes import OWN


def run(*words: str) -> str:
    """What a command prints."""
    result = CliRunner().invoke(calclib, words)
    assert result.exit_code == 0, result.output
    return result.output


def test_a_problem_is_printed_with_words_for_its_drawing() -> None:
    """A terminal shows no picture: the words stand after the stem."""
    text = run("draw", "read-syringe", "--given", "level=1.7 mL")
    assert "Drawing of a 3 mL syringe." in text
    assert "2 small marks past the 1.5 mark" in text


def test_programs_get_the_device_and_its_words() -> None:
    """The stem holds no value; words and device stand beside it, and the value among the givens."""
    line = json.loads(run("draw", "bag-scale-time", "--given", "level=350 mL", "--json"))
    (drawing,) = line["drawings"]
    assert (drawing["given"], drawing["device"]) == ("level", "bag_1000_mL")
    assert "1 small mark below the 300 mark" in drawing["alt"]
    assert "350" not in line["stem"] + drawing["alt"]
    assert line["givens"]["level"] == "350 mL"


def test_which_mistakes_coincide_is_said_beside_the_mistakes_alone(tmp_path: Path) -> None:
    """Of a model of faculty's own, which students may draw too; what else speaks against a draw is always said."""
    (tmp_path / "own.toml").write_text(OWN, encoding="utf-8")
    plain = run("draw", str(tmp_path / "own.toml"), "--seed", "by hand 1")
    looked_at = run("draw", str(tmp_path / "own.toml"), "--seed", "by hand 1", "--faults")
    assert "both lead to the same answer" in looked_at
    assert "lead to the same answer" not in plain and "Note:" not in plain
    assert "Note:" in run(
        "draw", "drop-rate", "--given", "volume=7 mL", "--given", "time=8 h", "--given", "drop_factor=10 gtt/mL"
    )


def test_a_set_up_is_judged_at_the_command_line() -> None:
    """As an answer to a part that asks for one."""
    given = ("--given", "volume=1000 mL", "--given", "time=8 h", "--given", "drop_factor=15 gtt/mL")
    line = json.loads(run("judge", "setup-drop-rate", *given, "--answer", "setup=1,000 mL / 8 h x 15 gtt/mL", "--json"))
    part = line["parts"][0]
    assert (part["part"], part["verdict"], part["right"]) == ("setup", "wrong_with_cause", False)
    assert part["causes"][0]["fault"] == "set-up: missing"
    assert part["reading"]["shown"] == "1,000 mL ÷ 8 h × 15 gtt/mL"


def test_a_program_sends_set_ups_as_answers() -> None:
    """One line of the judge's protocol."""
    request = {"id": 1, "item": "setup-titrated-rate", "seed": "1", "answers": {"setup": "", "rate": "5 mL/h"}}
    result = CliRunner().invoke(calclib, ["judge", "-"], input=json.dumps(request) + "\n")
    reply = json.loads(result.output)
    assert reply["id"] == 1
    assert [part["part"] for part in reply["parts"]] == ["setup", "rate"]
