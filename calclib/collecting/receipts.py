"""What is known of a hand-in beside its notebook: when it came in; and the receipts of nbgrader's exchange.

The time of each notebook of a student is kept under the notebook's own SHA-256, and written before the notebook is put
in its place. So a notebook never has another's time, whenever the program is stopped.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from calclib.class_files.text_files import replace_file
from calclib.collecting.plain_file import read_plain_file

RECEIPTS = ("timestamp.txt", "submission_secret.txt")
TIMES = "times.json"
_LARGEST_RECEIPT = 1_000
_LARGEST_TIMES = 100_000
_MOST_TIMES = 100


@dataclass(frozen=True)
class Receipt:
    """When one notebook came in.

    Attributes:
        time: When it was handed in; where that isn't known, when it was collected.
        collected: When it was collected.
        doubt: Why the time isn't believed, "" if it is; see `calclib.collecting.hand_in_times.Doubt`.
        marked_late: Whether the system that it came from says that it is late.
    """

    time: dt.datetime
    collected: dt.datetime
    doubt: str = ""
    marked_late: bool = False


def digest_of(data: bytes) -> str:
    """Return the SHA-256 by which a notebook is known."""
    return hashlib.sha256(data).hexdigest()


def read_receipts(folder: Path) -> dict[str, Receipt]:
    """Return the receipt of each notebook by its SHA-256, the oldest first; none where they can't be read."""
    data = read_plain_file(folder / TIMES, largest=_LARGEST_TIMES)
    try:
        lines = json.loads(data) if isinstance(data, bytes) else {}
        return {name: _receipt(line) for name, line in lines.items()}
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError):
        return {}


def write_receipts(folder: Path, receipts: Mapping[str, Receipt]) -> None:
    """Keep the receipts of a student's notebooks, the latest of very many."""
    lines = {name: _line(receipts[name]) for name in list(receipts)[-_MOST_TIMES:]}
    replace_file(folder / TIMES, json.dumps(lines, indent=1).encode(), lasting=True)


def _receipt(line: Mapping[str, str]) -> Receipt:
    time, collected = (dt.datetime.fromisoformat(line[name]).astimezone(dt.UTC) for name in ("time", "collected"))
    return Receipt(time, collected, str(line.get("doubt", "")), line.get("marked_late") == "yes")


def _line(receipt: Receipt) -> dict[str, str]:
    words = {
        "time": receipt.time.astimezone(dt.UTC).isoformat(),
        "collected": receipt.collected.astimezone(dt.UTC).isoformat(),
        "doubt": receipt.doubt,
        "marked_late": "yes" if receipt.marked_late else "",
    }
    return {name: text for name, text in words.items() if text}


def copy_receipts(source: Path, target: Path) -> None:
    """Copy the receipts of a submission, if they are plain small files."""
    for name in RECEIPTS:
        _copy_receipt(source / name, target / name)


def copy_secret(source: Path, target: Path) -> None:
    """Copy the secret of a submission alone; see `copy_receipts`."""
    _copy_receipt(source / RECEIPTS[1], target / RECEIPTS[1])


def _copy_receipt(source: Path, target: Path) -> None:
    data = read_plain_file(source, largest=_LARGEST_RECEIPT)
    if isinstance(data, bytes):
        replace_file(target, data)
