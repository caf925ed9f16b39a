"""Whose marks change, as `calclib mark` and `calclib rule` print it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from calclib.cli.change_words import causes_in_words
from calclib.cli.say import say
from calclib.quantity.writing import percent_text, points_text

if TYPE_CHECKING:
    from calclib.judging_papers.changes import AnswerChange, Change, Resubmitted

SHOWN = 40


def show_changes(changes: Iterable[Change], resubmitted: Sequence[Resubmitted] = (), zone: dt.tzinfo = dt.UTC) -> None:
    """Print who resubmitted; then who gains, who loses and whose pass/fail result changes, and by which answers."""
    show_resubmitted(resubmitted, zone)
    every = sorted(changes, key=lambda one: (not one.result_changes, not one.gain, one.gain))
    if not every:
        say("Nobody else's marks change." if resubmitted else "Nobody's marks change.")
        return
    *standing, gains = summary_lines(every)
    for line in standing:
        say(f"{line}.")
    say(f"{gains}:")
    for one in every[:SHOWN]:
        say(f"  {_who(one)}: {_scores(one)}")
        for answer in one.answers:
            say(f"    {_answer(answer)}")
        if one.causes:
            say(f"    because: {causes_in_words(one.causes)}")
    if len(every) > SHOWN:
        say(f"  and {len(every) - SHOWN} more.")


def show_resubmitted(resubmitted: Sequence[Resubmitted], zone: dt.tzinfo = dt.UTC) -> None:
    """Print whose marks change by another notebook, first those who may have read the answers before."""
    every = sorted(resubmitted, key=lambda one: (one.feedback is None, -one.change.gain))
    for one in every[:SHOWN]:
        attempt = f", attempt {one.attempt}" if one.attempt else ""
        say(f"Resubmitted: {_who(one.change)}{attempt}: {_scores(one.change)}")
        if one.feedback is not None:
            say(f"  {_warning(one.feedback, one.time, zone)}")
    if len(every) > SHOWN:
        say(f"and {len(every) - SHOWN} more who resubmitted.")


def summary_lines(changes: Sequence[Change]) -> Iterator[str]:
    """Give of how many the pass/fail result changes, and last how many gain, lose and keep their score."""
    fail = [(one.failed_before, one.failed_after) for one in changes]
    await_ = [(one.waited_before, one.waits_after) for one in changes]
    reach = [(one.reached_before, one.reached_after) for one in changes]
    cut = f" at the cut score of {percent_text(changes[0].cut)}" if changes else ""
    for pairs, verb, what in (
        (fail, ("fails", "fail"), " the whole set by an error"),
        (await_, ("waits", "wait"), " for you to confirm an error that fails the whole set"),
        (reach, ("passes", "pass"), cut),
    ):
        for is_now, words in ((True, "now"), (False, "no longer")):
            count = pairs.count((not is_now, is_now))
            if count:
                yield f"{students_text(count)} {words} {verb[count > 1]}{what}"
    gain, lose = (sum(sign * one.gain > 0 for one in changes) for sign in (1, -1))
    same = len(changes) - gain - lose
    also = f", {same} keep{'s' if same == 1 else ''} the same score" if same else ""
    yield f"{students_text(gain)} gain{'s' if gain == 1 else ''}, {lose} lose{'s' if lose == 1 else ''}{also}"


def students_text(count: int) -> str:
    """Return "1 student", "2 students"."""
    return f"{count} student{'' if count == 1 else 's'}"


def _who(one: Change) -> str:
    return f"{one.student.name} ({one.student.id})"


def _scores(one: Change) -> str:
    before, after = _score(one.before, one.before_of), _score(one.after, one.after_of)
    words = f"{before} as before" if before == after else f"{before} to {after}"
    return ", ".join((words, *_standing(one)))


def _standing(one: Change) -> Iterator[str]:
    if one.failed_before != one.failed_after:
        yield "now fails the whole set by an error" if one.failed_after else "no longer fails the whole set by an error"
    if one.waited_before != one.waits_after and not one.failed_after:
        yield (
            "now waits for you to confirm an error"
            if one.waits_after
            else "no longer waits for an error to be confirmed"
        )
    if one.reached_before != one.reached_after:
        yield "now passes" if one.reached_after else "no longer passes"


def _answer(one: AnswerChange) -> str:
    words = f"problem {one.slot}, {one.part.replace('_', ' ')}: {points_text(one.before)} to {points_text(one.after)}"
    if one.verdict_before != one.verdict_after:
        verdicts = (one.verdict_before, one.verdict_after)
        words += f" ({' to '.join(verdict.replace('_', ' ') for verdict in verdicts if verdict)})"
    if one.failed_before != one.failed_after:
        words += f", an error that {'now' if one.failed_after else 'no longer'} fails the whole set"
    elif one.waited_before != one.waits_after:
        words += ", an error that fails the whole set once you confirm it" if one.waits_after else ", no longer failing"
    return words


def _score(points: Fraction, of: Fraction) -> str:
    percent = f" ({percent_text(100 * points / of)})" if of else ""
    return f"{points_text(points)} of {points_text(of)}{percent}"


def _warning(feedback: dt.datetime, time: dt.datetime | None, zone: dt.tzinfo) -> str:
    from calclib.records.set_times import time_in_words

    words = f"Feedback, which prints the answers, was written on {time_in_words(feedback, zone)}"
    if time is None:
        return f"{words}; when this was handed in isn't known."
    if feedback <= time:
        return f"{words}, before this was handed in on {time_in_words(time, zone)}."
    return f"{words}; this was handed in on {time_in_words(time, zone)}, but there may have been an earlier page."
