"""What stands for the marks and rulings of a set as they are now: a form brings it back, so that a stale one shows."""

from __future__ import annotations

import hashlib

from calclib.pages.cases import Cases


def state_of(cases: Cases) -> str:
    """Return a text that is another one as soon as a mark, ruling, hand-in or anything that waits is another."""
    digest = hashlib.sha256()
    for ruling in cases.rulings:
        digest.update(repr((ruling.number, ruling.kind, ruling.at)).encode())
    for one in cases.results.students:
        whole = (one.pseudonym, one.attempt, one.submission, str(one.penalty), one.aside, one.due)
        digest.update(repr(whole).encode("utf-8", "surrogatepass"))
        for part in one.parts:
            mark = part.mark
            kept = (mark.slot, mark.part, mark.typed, mark.verdict, mark.fails, mark.needs_person, part.open)
            points = (str(mark.earned), str(part.manual), str(part.extra))
            digest.update(repr((kept, points)).encode("utf-8", "surrogatepass"))
    for case in cases.every:
        digest.update(repr((case.kind, case.student, case.slot, case.part, case.sign, case.attempt)).encode())
    return digest.hexdigest()
