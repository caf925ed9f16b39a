"""What a class keeps in its folder: a command that writes where a person says writes over none of it."""

from __future__ import annotations

from pathlib import Path

from calclib.errors import BadInput
from calclib.wording.facts import fact

# The file that makes a folder a class folder.
_SETTINGS = "class.toml"
_FILES = frozenset(
    {
        *(_SETTINGS, "roster.csv", "standing.toml", "course-secret.txt", "nbgrader_config.py", "erasing.json"),
        *("gradebook.db", "gradebook.db-journal", "gradebook.db-wal", "gradebook.db-shm"),
    }
)
# Reports aren't among them: what stands there is written again at any time.
_FOLDERS = frozenset(
    {
        *("blueprints", "release", "submissions", "earlier", "questioned", "autograded", "feedback", "plans"),
        *("solutions", "source", "notices", "gradebook-copies"),
    }
)
_UNFINISHED_WORK = ("rewriting-", "taking-")


def refuse_kept(target: Path) -> None:
    """Refuse to write where a class keeps its own files, by whatever path or link a person came there.

    Args:
        target: The file or folder that a person asked for.

    Raises:
        BadInput: it is a file or folder of a class, or lies in such a folder.
    """
    written = {target.resolve(), target.absolute().parent.resolve() / target.name}
    for path in written:
        for folder in path.parents:
            name = path.relative_to(folder).parts[0].casefold()
            kept = name in _FILES or name in _FOLDERS or name.startswith(_UNFINISHED_WORK)
            if kept and (folder / _SETTINGS).is_file():
                raise BadInput(fact("errors_class_files.kept_by_class"), where=str(target))
