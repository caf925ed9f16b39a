"""Names and reasons typed at the command line: kept on one line, or refused in one sentence."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from calclib.cli import main
from calclib.judging_papers import mark
from tests.small_class.started import NOW, folder, hand_in, keys, made_class

__all__ = ["folder", "hand_in", "keys", "made_class"]

_RUN = (sys.executable, "-c", "from calclib.cli import main; main()")


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., tuple[int, str]]:
    """Runs a command in this process; its exit code and all that it printed."""

    def run(*words: str | bytes | Path) -> tuple[int, str]:
        monkeypatch.setattr(sys, "argv", ["calclib", *map(os.fsdecode, words)])
        try:
            main()
        except SystemExit as ended:
            return int(ended.code or 0), "".join(capsys.readouterr())
        return 0, "".join(capsys.readouterr())

    return run


def calclib(*words: str | bytes | Path, **environment: str) -> tuple[int, str]:
    """The exit code of a command run in a process, and all that it printed."""
    done = subprocess.run(
        [*_RUN, *words], capture_output=True, check=False, env={**os.environ, **environment}, timeout=300
    )
    return done.returncode, (done.stdout + done.stderr).decode("utf-8")


def test_words_that_are_not_text_are_refused_in_a_sentence(folder: Path, here: Callable[..., tuple[int, str]]) -> None:
    """A set name, a reason, a signer or a folder with bytes that aren't UTF-8 leads to one sentence and exit code 2."""
    ruling = ("rule", folder, "week-3", "--problem", "1", "--void", "--yes")
    for words in (
        ("mark", folder, b"week\xff"),
        (*ruling, "--reason", b"caf\xe9"),
        (*ruling, "--reason", "Why.", "--by", b"Ren\xe9"),
        ("sign-off", folder, "week-3", "--by", b"Ren\xe9"),
        ("collect", folder, "week-3", b"down\xffloads"),
    ):
        code, said = here(*words)
        assert code == 2 and said.count("\n") == 1 and "isn't UTF-8" in said, said
    code, said = calclib("mark", folder, b"week\xff")
    assert code == 2 and said.count("\n") == 1 and "isn't UTF-8" in said, said


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"--reason": "Wrong\x07 key."}, "printable characters: add --reason"),
        ({"--reason": "\n \t"}, "printable characters: add --reason"),
        ({"--by": "A\x1b[2J"}, "Who rules?"),
        ({"--by": "A" * 121}, "Who rules?"),
        ({"--by": "A\u202eB"}, "Who rules?"),
    ],
)
def test_what_does_not_print_is_refused_in_a_ruling(
    folder: Path,
    options: Mapping[str, str],
    says: str,
    here: Callable[..., tuple[int, str]],
) -> None:
    """A reason and the name of who rules are printable; nothing is cut in silence."""
    typed = {"--reason": "Why.", "--by": "A"} | dict(options)
    words = [word for pair in typed.items() for word in pair]
    code, said = here("rule", folder, "week-3", "--problem", "1", "--void", "--yes", *words)
    assert code == 2 and said.count("\n") == 1 and says in said, said


def test_line_breaks_in_a_name_and_a_reason_become_blanks(
    folder: Path,
    hand_in: Callable[..., Path],
    keys: dict[str, dict[str, str]],
    here: Callable[..., tuple[int, str]],
) -> None:
    """What is pasted over two lines is told as one."""
    hand_in("ann", keys["ann"])
    mark(folder, "week-3", now=NOW)
    ruling = ("rule", folder, "week-3", "--problem", "1", "--void", "--yes")
    code, said = here(*ruling, "--reason", "Wrong\nlabel.", "--by", "Dr.\nInvented")
    assert code == 0, said
    assert "Dr. Invented" in here("explain", folder, "week-3", "ann")[1]


def test_file_names_that_are_not_text_do_no_harm(
    folder: Path, hand_in: Callable[..., Path], keys: dict[str, dict[str, str]], tmp_path: Path
) -> None:
    """A download folder with names that aren't UTF-8 is collected, in whatever encoding the terminal is."""
    notebook = hand_in("ann", keys["ann"]).read_bytes()
    downloads = tmp_path / "downloads"
    (downloads / "ann").mkdir(parents=True)
    (downloads / "ann" / "week-3.ipynb").write_bytes(notebook)
    for name in (b"ben_\xff.ipynb", b"\xe9\n.ipynb", b"x\x1b[2J\xff.zip"):
        (downloads / os.fsdecode(name)).write_bytes(notebook)
    (downloads / os.fsdecode(b"cat\xff")).mkdir()
    (downloads / os.fsdecode(b"cat\xff") / "week-3.ipynb").write_bytes(notebook)
    for encoding in ("utf-8", "ascii"):
        code, said = calclib("collect", folder, "week-3", downloads, PYTHONIOENCODING=encoding)
        assert code == 0 and "Traceback" not in said and "\x1b" not in said, said
        assert "calclib mark" in said
