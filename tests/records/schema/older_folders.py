"""Class folders of earlier versions, with what those versions printed and recorded of them.

`class_folders/` holds the folders and the script that made them: `by_0_1_0` was made by version 0.1.0, and
`before_numbered_tables` by the last program whose tables had no version, and `before_facts` by one of version 3, the
last that recorded sentences.
"""

from __future__ import annotations

import csv
import re
import tarfile
from dataclasses import dataclass
from pathlib import Path

from click.testing import CliRunner, Result

from calclib.cli.main import calclib

_DATE = re.compile(r"\b(\d{1,2}) ([A-Z][a-z]+) (20\d\d)")
STUDENTS = ("ann", "ben", "cat", "dan", "fay")
NAMES = ("by_0_1_0", "before_numbered_tables", "before_facts")
SETS = ("w1", "w2", "w3", "w4")
NOTES = {("w1", "fay"): "The notebook was made for student ann.", ("w2", "fay"): "nothing handed in"}

# Points in all, and those of the eight problems before anything is taken off for being late.
SCORES = {
    "by_0_1_0": {
        "w1": {
            "ann": "0.9 1 2 1 1 1 1 1 1",
            "ben": "1.5167 1 1.5 0.9167 0.5833 1 0.75 0.9167 0.9167",
            "cat": "0.7667 1 2 0.6667 0.6667 1 1 0.6667 0.6667",
            "dan": "0.7667 1 1 0.6667 1 1 1 1 1",
            "fay": "0 0 0 0 0 0 0 0 0",
        },
        "w2": {
            "ann": "0.9 1 2 1 1 1 1 1 1",
            "ben": "1.7333 1 2 1 0.6667 1 1 1 1",
            "cat": "0.675 1 2 0.6667 0.6667 0 1 0.75 0.6667",
            "dan": "0.1333 0 0 0.3333 0.3333 0 0 0.3333 0.3333",
            "fay": "",
        },
        "w3": {
            "ann": "0.8 0.5 2 0.8333 1 1 1 0.8333 0.8333",
            "ben": "1.3167 0.5 1 0.8333 0.9167 1 0.75 0.8333 0.75",
            "cat": "0.5833 0.5 2 0.5 0.6667 0 1 0.6667 0.5",
            "dan": "0.5833 0.5 0 0.6667 1 1 1 0.8333 0.8333",
            "fay": "0.1917 0.5 1 0.1667 0 0 0 0.25 0",
        },
        "w4": {
            "ann": "0.9 1 2 1 1 1 1 1 1",
            "ben": "1.5833 1 1.5 0.9167 0.9167 1 0.75 0.9167 0.9167",
            "cat": "0.6667 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
            "dan": "0.6667 1 0 0.6667 1 1 1 1 1",
            "fay": "0.3583 1 2 0.3333 0 0 0 0.25 0",
        },
    },
    "before_numbered_tables": {
        "w1": {
            "ann": "0.9 1 2 1 1 1 1 1 1",
            "ben": "1.5167 1 1.5 0.9167 0.5833 1 0.75 0.9167 0.9167",
            "cat": "0.7667 1 2 0.6667 0.6667 1 1 0.6667 0.6667",
            "dan": "0.7667 1 1 0.6667 1 1 1 1 1",
            "fay": "0 0 0 0 0 0 0 0 0",
        },
        "w2": {
            "ann": "0.9 1 2 1 1 1 1 1 1",
            "ben": "1.7333 1 2 1 0.6667 1 1 1 1",
            "cat": "0.6667 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
            "dan": "0.2417 0 0 0.6667 0.3333 0 0.75 0.6667 0",
            "fay": "",
        },
        "w3": {
            "ann": "0.7583 1 1 0.8333 1 1 1 0.8333 0.9167",
            "ben": "1.3333 0.5 1.5 0.5 0.5833 1 0.75 0.9167 0.9167",
            "cat": "0.4917 0.5 1 0.5 0.6667 0 1 0.6667 0.5833",
            "dan": "0.5917 0.5 0 0.6667 1 1 1 0.8333 0.9167",
            "fay": "0.3583 0.5 2 0.3333 0 0 0 0.25 0.5",
        },
        "w4": {
            "ann": "0.9 1 2 1 1 1 1 1 1",
            "ben": "1.5833 1 1.5 0.9167 0.9167 1 0.75 0.9167 0.9167",
            "cat": "0.6667 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
            "dan": "0.6667 1 0 0.6667 1 1 1 1 1",
            "fay": "0.3833 1 2 0.3333 0 0 0 0.25 0.25",
        },
    },
    "before_facts": {
        "w1": {
            "ann": "0 1 2 1 1 1 1 1 1",
            "ben": "0.7583 1 1.5 0.9167 0.5833 1 0.75 0.9167 0.9167",
            "cat": "0 1 2 0.6667 0.6667 1 1 0.6667 0.6667",
            "dan": "0 1 1 0.6667 1 1 1 1 1",
            "fay": "0 0 0 0 0 0 0 0 0",
        },
        "w2": {
            "ann": "0 1 2 1 1 1 1 1 1",
            "ben": "0.8667 1 2 1 0.6667 1 1 1 1",
            "cat": "0 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
            "dan": "0 0 0 0.3333 0.3333 0 0 0.3333 0",
            "fay": "",
        },
        "w3": {
            "ann": "0 0.5 2 1 1 1 1 0.8333 0.9167",
            "ben": "0.7 1 1.5 0.5 0.5833 1 0.75 0.8333 0.8333",
            "cat": "0 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
            "dan": "0 1 0 0.6667 1 1 1 0.8333 0.9167",
            "fay": "0 1 2 0.3333 0 0 0 0.25 0",
        },
        "w4": {
            "ann": "0 1 2 1 1 1 1 1 1",
            "ben": "0.7917 1 1.5 0.9167 0.9167 1 0.75 0.9167 0.9167",
            "cat": "6.6667 1 2 0.6667 0.6667 0 1 0.6667 0.6667",
            "dan": "6.6667 1 0 0.6667 1 1 1 1 1",
            "fay": "0 1 2 0.3333 0 0 0 0.25 0",
        },
    },
}


@dataclass(frozen=True)
class OlderFolder:
    """A class folder of an earlier version, and the folder of what that version printed."""

    name: str
    folder: Path
    prints: Path

    @property
    def scores(self) -> dict[str, dict[str, str]]:
        """Scores by set and student, as that version recorded them."""
        return SCORES[self.name]

    def printed(self, name: str) -> str:
        """What a command of that version printed, of this folder; dates stand as they are written now."""
        text = (self.prints / f"{name}.txt").read_text("utf-8").replace("CLASS", str(self.folder))
        return _DATE.sub(r"\2 \1, \3", text)


def unpack(name: str, place: Path) -> OlderFolder:
    """Unpack an older folder into an empty one."""
    with tarfile.open(Path(__file__).parent / "class_folders" / f"{name}.tar.xz") as archive:
        archive.extractall(place, filter="data")
    return OlderFolder(name, place / "class", place / "printed")


def run(*words: object) -> Result:
    """Run a command."""
    return CliRunner().invoke(calclib, [str(word) for word in words])


def done(*words: object) -> str:
    """Return what a command prints that must succeed."""
    found = run(*words)
    assert found.exit_code == 0, found.exception
    return found.stdout


def exported(folder: Path, set_name: str, to: Path) -> dict[str, tuple[str, str]]:
    """Note and scores of each student, as they are exported."""
    done("export", folder, set_name, "--to", to)
    with to.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    return {
        row["id"]: (row["note"], " ".join([row["points"], *(row[name] for name in row if name[:1].isdigit())]).strip())
        for row in rows
    }
