"""The course secret: the one thing that makes draws unforeseeable; readable by its owner alone."""

from __future__ import annotations

import os
import secrets
import stat
from pathlib import Path

from calclib.errors import BadInput

_DIGITS = 64


def make_secret(path: Path) -> None:
    """Write a new random secret to `path` with owner-only rights; an existing one is kept.

    Raises:
        BadInput: an existing secret can't be used.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        read_secret(path)
        return
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_hex(_DIGITS // 2) + "\n")


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
            "The course secret is missing: restore it from a backup; sets that were handed out can still be marked.",
            where=where,
        ) from None
    except (OSError, UnicodeDecodeError):
        raise BadInput("The course secret can't be read: restore it from a backup.", where=where) from None
    if os.name == "posix" and stat.S_IMODE(state.st_mode) & 0o077:
        raise BadInput(f"Others can read the course secret: run  chmod 600 '{path}'  and try again.", where=where)
    if len(text) != _DIGITS or any(c not in "0123456789abcdef" for c in text):
        raise BadInput(f"The course secret isn't {_DIGITS} hexadecimal digits: restore it from a backup.", where=where)
    return bytes.fromhex(text)
