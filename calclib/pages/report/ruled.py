"""What was ruled in a set, and answers that fit another student's numbers, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from calclib.analysis import SharedNumbers
from calclib.gradebook.results import SetResults
from calclib.pages.report.waits import who
from calclib.records import ruled_on, ruling_fact
from calclib.wording import fact, said


def ruling_lines(results: SetResults) -> Iterable[str]:
    """Yield each ruling in force: what it decides, about what, and why."""
    of = {one.pseudonym: one for one in results.students}
    for ruling in results.rulings:
        number, day, reason = ruling.number, fact("ruling.day", at=ruling.at), ruling.reason
        where, what = ruled_on(ruling, results.sealed.slots), ruling_fact(ruling)
        if ruling.pseudonym:
            student = of.get(ruling.pseudonym)
            name = who(student) if student else fact("report.former_student")
            yield said("report.ruling_of", number=number, day=day, where=where, who=name, what=what, reason=reason)
        else:
            yield said("report.ruling", number=number, day=day, where=where, what=what, reason=reason)


def shared_lines(results: SetResults, pairs: Sequence[SharedNumbers]) -> list[str]:
    """Return what was seen of each pair, how likely it is by chance, and nothing of how it came about."""
    names = {one.student.id: who(one) for one in results.students}
    return [
        said(
            "report.shared_pair",
            student=names[pair.student],
            problems=tuple(str(problem) for problem, _ in pair.matches),
            other=names[pair.other],
            of=pair.of,
            classes=f"{_odds(pair.chance):,}",
        )
        for pair in pairs
    ]


def _odds(chance: float) -> int:
    """Of how many classes of this size one would show as much by chance, at the least."""
    classes = 1_000
    while classes < 1_000_000 and chance * classes * 10 < 1:
        classes *= 10
    return classes
