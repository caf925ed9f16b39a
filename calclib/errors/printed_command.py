"""A command as it is printed for people to copy: its words quoted, so that a path with a blank stays one word."""

from __future__ import annotations

import shlex


def printed_command(*words: object) -> str:
    """Return the line "calclib ..." that runs these words, each quoted for a shell where it must be.

    Args:
        words: The command, its arguments and options; placeholders such as "BLUEPRINT" stay as they are.
    """
    return shlex.join(["calclib", *(str(word) for word in words)])
