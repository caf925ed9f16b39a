"""Where a skill is read up and shown, in words for a student."""

from __future__ import annotations

from collections.abc import Iterator

from calclib.remediation.needs import Need
from calclib.wording import said


def place_words(need: Need) -> tuple[str, ...]:
    """Return what to read for a skill: a sentence a section; that no lesson teaches it, if so."""
    return tuple(_places(need))


def _places(need: Need) -> Iterator[str]:
    taught = need.taught
    if taught is None:
        yield said("plan.in_no_lesson")
        return
    read, example, mistake = taught.read, taught.example, need.mistake_taught
    yield said(
        "plan.read_and_example" if example == read else "plan.read",
        number=read.number,
        title=read.title,
        section=read.heading,
        page=read.file,
    )
    if example != read:
        yield said("plan.example", number=example.number, section=example.heading, page=example.file)
    if mistake is not None and mistake not in (read, example):
        yield said("plan.mistake_section", number=mistake.number, section=mistake.heading, page=mistake.file)
    if not taught.exact:
        yield said("plan.nearest")
