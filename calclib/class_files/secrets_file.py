"""The course secret: the one thing that makes draws unforeseeable; readable by its owner alone."""

from __future__ import annotations

import os
import secrets
import stat
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory

from calclib.class_files.text_files import UNFINISHED, replace_file
from calclib.errors import BadInput
from calclib.wording.facts import fact

_DIGITS = 64


def make_secret(path: Path) -> None:
    """Write a new random secret to `path` with owner-only rights; an existing one is kept.

    Raises:
        BadInput: an existing secret can't be used.
    """
    if path.exists():
        read_secret(path)
        return
    # Whole or not at all: half a secret would shut a class out for good.
    with TemporaryDirectory(dir=path.parent, prefix=UNFINISHED) as name:
        new = Path(name) / path.name
        replace_file(new, f"{secrets.token_hex(_DIGITS // 2)}\n".encode(), mode=0o600, lasting=True)
        # Never over another's, if two start a class at once.
        with suppress(FileExistsError):
            os.link(new, path)
    read_secret(path)


def read_secret(path: Path) -> bytes:
    """Return the course secret.

    Raises:
        BadInput: it is missing, damaged, or others can read it.
    """
    where = path.name
    try:
        state = path.stat()
        text = path.read_text(encoding="ascii").strip()
    except FileNotFoundError:
        raise BadInput(
            fact("errors_class_files.secret_missing"),
            where=where,
        ) from None
    except (OSError, UnicodeDecodeError):
        raise BadInput(fact("errors_class_files.secret_unreadable"), where=where) from None
    if os.name == "posix" and stat.S_IMODE(state.st_mode) & 0o077:
        raise BadInput(fact("errors_class_files.secret_open", path=str(path)), where=where)
    if len(text) != _DIGITS or any(c not in "0123456789abcdef" for c in text):
        raise BadInput(fact("errors_class_files.secret_form", digits=_DIGITS), where=where)
    return bytes.fromhex(text)
