"""Why a notebook was set aside, or a file can't be read, as faculty is told it and as its student is."""

from __future__ import annotations

from calclib.records.set_aside import UNREADABLE, SetAsideKind, SetAsideReason
from calclib.wording.facts import Fact, fact, of_kind


def unreadable(kind: SetAsideKind, about: str) -> Fact:
    """Return why a file can't be read, as what goes on from its name."""
    return of_kind("set_aside", kind.name.lower(), about=about)


def for_faculty(reason: SetAsideReason) -> Fact:
    """Return why a notebook was set aside, for faculty."""
    if reason.kind is not SetAsideKind.OTHER_STUDENT:
        return _plain(reason)
    if reason.owner:
        return fact("set_aside.made_for_student", owner=reason.owner)
    return fact("set_aside.made_for_somebody")


def for_the_student(reason: SetAsideReason) -> Fact:
    """Return the same as the student whose notebook was set aside may read it: it names no other student."""
    return fact("set_aside.made_for_another") if reason.kind is SetAsideKind.OTHER_STUDENT else _plain(reason)


def _plain(reason: SetAsideReason) -> Fact:
    if reason.kind is SetAsideKind.SENTENCE:
        return Fact("recorded.text", (("text", reason.about),))
    if reason.kind in UNREADABLE:
        return fact("set_aside.notebook", what=unreadable(reason.kind, reason.about))
    return of_kind("set_aside", reason.kind.name.lower())
