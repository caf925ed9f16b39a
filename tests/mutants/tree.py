"""A copy of the tree in which one line is changed at a time, and tests are run on it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
_COPIED = ("calclib", "tests")
_NOT_COPIED = shutil.ignore_patterns("mutants", ".hypothesis")
# What is loaded in each run takes longer than most of the tests.
_OPTIONS = ("-x", "-q", "-o", "addopts=", "--import-mode=importlib", "-p", "no:cacheprovider", "-p", "no:nbval")
# A failure is enough; hypothesis would look for the smallest one for minutes.
_FIRST_FAILURE = """
from hypothesis import Phase, settings
def pytest_collection():
    settings.register_profile("mutants", settings(), phases=(Phase.explicit, Phase.generate))
    settings.load_profile("mutants")
"""
_CLOCK = count(1)
_FAILED = re.compile(r"\b[0-9]+ (?:failed|errors?)\b")


@dataclass(frozen=True)
class Mutant:
    """A change of one line that breaks a law.

    Args:
        law: The law, in words.
        file: The file, from the top of the tree.
        old: The line, without the blanks before it.
        new: What takes its place.
        tests: Files, folders or tests, of which one must fail.
        after: A line of the file; the first `old` below it is meant. "" where `old` stands once in the file.
        sample: Whether it runs in the usual tier.
    """

    law: str
    file: str
    old: str
    new: str
    tests: tuple[str, ...]
    after: str = ""
    sample: bool = False


def mutants() -> tuple[Mutant, ...]:
    """Return the mutants of `mutants.toml`."""
    listed = tomllib.loads((HERE / "mutants.toml").read_text(encoding="utf-8"))["mutant"]
    return tuple(Mutant(**{**one, "tests": tuple(one["tests"])}) for one in listed)


def mutated(text: str, mutant: Mutant) -> str:
    """Return the text of a file with one line changed.

    Raises:
        LookupError: The line isn't there, or stands there twice.
    """
    lines = text.splitlines(keepends=True)
    stripped = [line.strip() for line in lines]
    start = 0
    if mutant.after:
        if stripped.count(mutant.after) != 1:
            raise LookupError(f"{mutant.file} holds {stripped.count(mutant.after)} times the line {mutant.after!r}")
        start = stripped.index(mutant.after) + 1
    found = [place for place in range(start, len(lines)) if stripped[place] == mutant.old]
    if not found or (len(found) > 1 and not mutant.after):
        raise LookupError(f"{mutant.file} holds {len(found)} times the line {mutant.old!r}: change mutants.toml too")
    line = lines[found[0]]
    indent = line[: len(line) - len(line.lstrip())]
    return "".join((*lines[: found[0]], f"{indent}{mutant.new}\n", *lines[found[0] + 1 :]))


def copied_tree(place: Path) -> Path:
    """Return a copy of the tree; what no mutant changes is reached by links."""
    for path in ROOT.iterdir():
        if path.name in _COPIED:
            shutil.copytree(path, place / path.name, ignore=_NOT_COPIED)
        elif path.name not in (".git", ".venv"):
            (place / path.name).symlink_to(path)
    (place / "first_failure.py").write_text(_FIRST_FAILURE, encoding="utf-8")
    return place


@contextmanager
def changed(tree: Path, mutant: Mutant) -> Iterator[None]:
    """Change the line in the copy, and put it back."""
    path = tree / mutant.file
    text, state = path.read_text(encoding="utf-8"), path.stat()
    path.write_text(mutated(text, mutant), encoding="utf-8")
    # Python takes compiled code for current by time and size: each change has a time of its own.
    os.utime(path, (state.st_atime, state.st_mtime + 60 * next(_CLOCK)))
    try:
        yield
    finally:
        path.write_text(text, encoding="utf-8")
        os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))


def run_tests(tree: Path, tests: Sequence[str]) -> tuple[bool | None, str]:
    """Run tests in the copy, up to the first failure.

    Returns:
        Whether all passed, None where pytest could not run them, and the end of what it says.
    """
    ours = {name: value for name, value in os.environ.items() if not name.startswith(("CALCLIB_", "PYTEST_"))}
    env = {**ours, "PYTHONPATH": str(tree)}
    command = [sys.executable, "-m", "pytest", *_OPTIONS, "-p", "first_failure", *dict.fromkeys(tests)]
    done = subprocess.run(command, cwd=tree, env=env, capture_output=True, text=True)
    said = (done.stdout + done.stderr)[-2_000:]
    if done.returncode == 0:
        return True, said
    # An interpreter that stops with a traceback has the exit code of a failed test.
    return (False if done.returncode == 1 and _FAILED.search(said) else None), said
