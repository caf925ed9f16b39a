"""The receipts of nbgrader's exchange beside a hand-in: its time, and the secret by which feedback is handed back."""

from __future__ import annotations

from pathlib import Path

from calclib.class_files.text_files import replace_file
from calclib.collecting.plain_file import read_plain_file

RECEIPTS = ("timestamp.txt", "submission_secret.txt")
_LARGEST_RECEIPT = 1_000


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
