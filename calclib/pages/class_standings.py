"""Who passes a set and who doesn't, by the rule that decides it for each: the counts and headlines of the report."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from calclib.gradebook import SetResults, StudentResult
from calclib.gradebook.attempt_results import AttemptResult, attempt_score, first_time_passes
from calclib.gradebook.standing import Standing, failing_places, places_in_words, standing_of
from calclib.quantity.writing import percent_text
from calclib.records.part_marks import Fails

_NAMES_SHOWN = 12

# Sign and word together, and the tone in which they are printed.
STANDINGS = {
    Standing.PASSES: ("✓ passes", "ok"),
    Standing.BELOW: ("✗ below", "no"),
    Standing.FAILED: ("✗ failed by an error", "no"),
    Standing.FAILURE_WAITS: ("… awaits confirmation", "wait"),
    Standing.UNDECIDED: ("… awaits review", "wait"),
}


def first_time_fact(results: SetResults, attempts: Mapping[str, tuple[AttemptResult, ...]]) -> list[dict[str, str]]:
    """The share that passes by the first attempt, where there are further ones."""
    if not any(len(every) > 1 for every in attempts.values()):
        return []
    passed, of = first_time_passes(attempts)
    return [{"label": f"pass at {percent_text(results.sealed.cut_score)} the first time", "value": f"{passed} of {of}"}]


def attempts_cell(attempts: Mapping[str, tuple[AttemptResult, ...]], one: StudentResult) -> dict[str, str]:
    """Return the score of each attempt of a student who has several, as a cell of the table."""
    every = attempts.get(one.student.id, ())
    told = (f"{each.attempt}: {attempt_score(each)}{' (counts)' if each.counts else ''}" for each in every)
    return {"attempts": ", ".join(told) if len(every) > 1 else ""}


def failures_in_words(results: SetResults, one: StudentResult) -> Iterable[str]:
    """Yield which problem's error fails the whole set for a student, or does once it is confirmed."""
    for fails, words in ((Fails.EXAM, "fails"), (Fails.EXAM_WAITS, "once confirmed fails")):
        places = failing_places(results, one, fails)
        if places:
            yield f"an error in {places_in_words(places)} {words} the whole set"


def cut_sentence(results: SetResults) -> str:
    """Who doesn't pass, by the rule that decides it for each."""
    if not results.judged:
        return "No notebook has been marked yet."
    cut = percent_text(results.sealed.cut_score)
    by: dict[Standing, list[StudentResult]] = {}
    for one in results.judged:
        by.setdefault(standing_of(results, one), []).append(one)
    of = len(results.judged)
    told = [
        _told(by.get(Standing.BELOW, ()), of, f"below the cut score of {cut}", results, None),
        _told(by.get(Standing.FAILED, ()), of, f"at {cut} or above, but failed by an error", results, Fails.EXAM),
        _told(
            by.get(Standing.FAILURE_WAITS, ()),
            of,
            f"at {cut} or above, with an error that fails the whole set once you confirm it",
            results,
            Fails.EXAM_WAITS,
        ),
    ]
    return " ".join(filter(None, told)) or f"Everyone marked passes, with the cut score of {cut} reached."


def _told(who: Sequence[StudentResult], of: int, what: str, results: SetResults, fails: Fails | None) -> str:
    if not who:
        return ""
    count = f"{len(who)} of {of} {'is' if len(who) == 1 else 'are'} {what}"
    if len(who) > _NAMES_SHOWN:
        return f"{count}; the table marks them."
    places = {one.student.id: failing_places(results, one, fails) if fails else () for one in who}
    names = [
        f"{one.student.name} ({places_in_words(places[one.student.id])})" if fails else one.student.name for one in who
    ]
    return f"{count}: {', '.join(names)}."


def decided_otherwise(results: SetResults) -> str:
    """Of how many whose score reaches the cut score another rule decides, for whoever only hears of the plot."""
    standings = [standing_of(results, one) for one in results.judged]
    failed, wait = (standings.count(one) for one in (Standing.FAILED, Standing.FAILURE_WAITS))
    words = [f"{failed} of these failed by an error" if failed else "", f"{wait} of these wait for you" if wait else ""]
    return f" {'; '.join(filter(None, words))}." if any(words) else ""
