"""What a command noticed of many files: printed, or one line and a file where there are very many."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from calclib.class_files.class_folder import ClassFolder
from calclib.class_files.text_files import replace_file
from calclib.cli.say import say
from calclib.errors.unseen import unseen_shown
from calclib.wording.sentences import said

MOST_PRINTED = 100


def show_notices(where: ClassFolder, set_name: str, command: str, notices: Sequence[str]) -> None:
    """Print notices one a line; more than a hundred go into a file of the class folder, which is named.

    Args:
        where: The class folder.
        set_name: The set.
        command: Name of the command, for the name of the file.
        notices: A sentence each.
    """
    path = _file(where, set_name, command)
    if len(notices) <= MOST_PRINTED:
        path.unlink(missing_ok=True)
        for notice in notices:
            say(notice)
        return
    text = "".join(f"{unseen_shown(notice, one_line=True)}\n" for notice in notices)
    replace_file(path, text.encode(), mode=0o600)
    say(said("command.notices", count=str(len(notices)), file=str(path)))


def _file(where: ClassFolder, set_name: str, command: str) -> Path:
    return where.notices / f"{set_name}-{command}.txt"
