"""Why a notebook was set aside, or a file can't be read, as faculty reads it and as its student does."""

from __future__ import annotations

from calclib.records.set_aside import SetAsideKind, SetAsideReason

_MADE_FOR = "The notebook was made for "

# Each goes on from "The notebook" or from the name of a file.
_UNREADABLE = {
    SetAsideKind.NO_PLAIN_FILE: "isn't a plain file",
    SetAsideKind.CANT_OPEN: "can't be opened ({about})",
    SetAsideKind.TOO_LARGE: "is larger than {about} MB",
    SetAsideKind.BEHIND_LINK: "lies behind a link, not in a folder",
    SetAsideKind.DAMAGED_ZIP: "is damaged within the zip",
    SetAsideKind.BEYOND_ITS_ZIP: "is more than one hand-in may hold when it is unpacked",
    SetAsideKind.EMPTY: "is an empty file",
    SetAsideKind.TOO_MANY_PARTS: "has more parts than a notebook can have",
    SetAsideKind.TOO_DEEP: "is nested too deeply to be a notebook",
    SetAsideKind.NOT_WELL_FORMED: "isn't well-formed ({about}): it was cut off or changed outside of Jupyter",
    SetAsideKind.NO_NOTEBOOK: "isn't a notebook",
    SetAsideKind.OLDER_FORMAT: "is in an older notebook format: open it in JupyterLab, save it, and collect it again",
    SetAsideKind.OTHER_FORMAT: "is in another notebook format: open it in JupyterLab, save it, and collect it again",
    SetAsideKind.NO_CELLS: "has no cells",
    SetAsideKind.TOO_MANY_CELLS: "has more than {about} cells",
    SetAsideKind.PROGRAM_ERROR: "couldn't be marked because of an error in this program ({about})",
}

_NOT_OWN = {
    SetAsideKind.NOBODYS: (
        "The notebook doesn't say for whom it was made: it isn't one that was handed out, or was made again."
    ),
    SetAsideKind.OTHER_SET: "The notebook belongs to another set.",
    SetAsideKind.OTHER_VERSION: ("The notebook is another version than the one that was handed out to this student."),
    SetAsideKind.OTHER_PROBLEMS: "The notebook states other problems than this student's own.",
}


def unreadable_words(kind: SetAsideKind, about: str) -> str:
    """Return why a file can't be read, as the end of a sentence about it."""
    return _UNREADABLE[kind].replace("{about}", about)


def for_faculty(reason: SetAsideReason | None) -> str:
    """Return why a notebook was set aside, as a sentence for faculty; "" if it wasn't."""
    if reason is None:
        return ""
    if reason.kind is SetAsideKind.OTHER_STUDENT:
        return f"{_MADE_FOR}{f'student {reason.owner}' if reason.owner else 'somebody else'}."
    return _words(reason)


def for_the_student(reason: SetAsideReason | None) -> str:
    """Return the same as the student whose notebook was set aside may read it: it names no other student."""
    if reason is None:
        return ""
    if reason.kind is SetAsideKind.OTHER_STUDENT:
        return f"{_MADE_FOR}another student."
    if reason.kind is SetAsideKind.SENTENCE and reason.about.startswith(f"{_MADE_FOR}student "):
        return f"{_MADE_FOR}another student."
    return _words(reason)


def _words(reason: SetAsideReason) -> str:
    if reason.kind is SetAsideKind.SENTENCE:
        return reason.about
    if reason.kind in _UNREADABLE:
        return f"The notebook {unreadable_words(reason.kind, reason.about)}."
    return _NOT_OWN[reason.kind]
