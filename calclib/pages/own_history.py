"""What was done to one student's part of a set, in words that the student can follow."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

from calclib.gradebook import StudentResult
from calclib.quantity.writing import points_text
from calclib.records import SealedItem, SealedSet, ruled_on, ruling_fact
from calclib.records.history import Event, EventKind, event_words, ruling_told
from calclib.records.set_times import time_in_words, zone_of
from calclib.wording import sentence

_HASH_SHOWN = 12


def own_history(sealed: SealedSet, made: Sequence[tuple[int, dt.datetime]], events: Sequence[Event]) -> tuple[str, ...]:
    """Return what was done in a set as far as it concerns one student, a sentence each, oldest first.

    Args:
        sealed: The set.
        made: Number and time of each attempt that was handed out, see `calclib.records.history.papers_made`.
        events: What was done, see `calclib.records.history.events_of`.
    """
    several, zone = len(made) > 1, zone_of(sealed)
    told = [(at, f"{f'Attempt {n}' if several else 'The notebook'} was made.") for n, at in made]
    for event in events:
        words = _in_words(event, several, zone)
        if words:
            told.append((event.at, words))
    return tuple(f"{time_in_words(at, zone)}: {words}" for at, words in sorted(told, key=lambda one: one[0]))


def _in_words(event: Event, several: bool, zone: dt.tzinfo) -> str:
    """A sentence; "" for what was done to the class, and is told by its effect on the student."""
    detail = event.detail
    if event.kind is EventKind.JUDGED:
        return _judged(detail, several)
    if event.kind is EventKind.RULED:
        ruling = ruling_told(detail)
        return f"Ruling {ruling.number}, on {sentence(ruled_on(ruling))}: {sentence(ruling_fact(ruling))}"
    if event.kind is EventKind.ANOTHER_ATTEMPT and event.of_student:
        due = dt.datetime.fromisoformat(detail["due"]) if detail.get("due") else None
        by = f", due on {time_in_words(due, zone)}" if due else ", without a due time"
        return f"Attempt {detail['attempt']} was given{by}."
    if event.kind is EventKind.REKEYED:
        return f"Problems of the set were re-keyed by ruling {detail['ruling']}."
    if event.kind is EventKind.BLUEPRINT_CHANGED:
        return f"Faculty changed these rules of the set: {', '.join(sorted(_plain(name) for name in detail))}."
    return f"{event_words(event.kind).capitalize()}." if event.of_student else ""


def _judged(detail: Mapping[str, Any], several: bool) -> str:
    what = f"Attempt {detail['attempt']}" if several else "The notebook"
    if detail.get("aside"):
        return f"{what} was set aside for a person."
    points = Fraction(detail["points"])
    late = Fraction(detail.get("late", "0"))
    count = "" if detail.get("counts", True) else "; another attempt counts"
    off = f", {points_text(points * late)} taken off for being late" if late else ""
    return f"{what} was marked: {points_text(points)} {'point' if points == 1 else 'points'}{off}{count}."


def _plain(name: str) -> str:
    return {"due": "due time", "late_percent": "late rule", "keep": "which attempt counts"}.get(
        name, name.replace("_", " ")
    )


def for_the_record(
    sealed: SealedSet, one: StudentResult, items: Sequence[SealedItem], events: Sequence[Event]
) -> Iterator[str]:
    """Yield what proves by which versions a student's answers were marked: for whoever has the class's database.

    Args:
        sealed: The set as it counts now.
        one: The student's result.
        items: The items that are explained.
        events: What was done, see `calclib.records.history.events_of`.
    """
    models: dict[tuple[str, int, str], list[str]] = {}
    for item in items:
        models.setdefault((item.model_id, item.model_version, item.model_hash), []).append(str(item.slot))
    versions = "; ".join(
        f"problem{'' if len(slots) == 1 else 's'} {', '.join(slots)}: {name}, version {version} ({_short(hash_)})"
        for (name, version, hash_), slots in models.items()
    )
    basis = [event.detail["basis"] for event in events if event.kind is EventKind.JUDGED and event.detail.get("basis")]
    yield (
        f"Item models: {versions}. Rounding policy {sealed.rounding} ({_short(sealed.rounding_hash)}), marking policy "
        f"{sealed.marking} ({_short(sealed.marking_hash)}). Notebook {_short(one.submission)}, "
        f"pseudonym {one.pseudonym}"
        f"{f', last marked by basis {basis[-1]}' if basis else ''}. In brackets the first digits of hashes (SHA-256)."
    )


def _short(hash_: str) -> str:
    return hash_[:_HASH_SHOWN] or "none"
