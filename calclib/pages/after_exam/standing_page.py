"""For faculty: where each student stands, with the rule that decided; a named person signs it."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from calclib.class_files.class_folder import class_folder
from calclib.class_files.standing_rules import StandingRules, standing_rules
from calclib.class_files.text_files import replace_file
from calclib.pages.templating import page
from calclib.quantity.writing import percent_text
from calclib.records.coaching import Talk
from calclib.records.history import EventKind
from calclib.records.set_times import time_in_words
from calclib.releasing.erasing.erase import finish_erasure
from calclib.remediation.signing import standing_of_class
from calclib.remediation.standings import After, InSet, StudentStanding
from calclib.sources import source
from calclib.wording import Fact, fact, of_kind, said, sentence


@dataclass(frozen=True)
class WrittenStanding:
    """What was written: the page, and what stands in it."""

    path: Path
    students: tuple[StudentStanding, ...]
    rules: StandingRules


def write_standing(folder: Path, *, now: dt.datetime) -> WrittenStanding:
    """Write the page of a class.

    Args:
        folder: The class folder.
        now: The day of which it tells.

    Raises:
        BadInput: the class folder or its `standing.toml` is wrong.
    """
    where = class_folder(folder)
    finish_erasure(where)
    rules = standing_rules(where)
    students = standing_of_class(where, rules)
    path = where.path / "reports" / "standing.of-class.html"
    values = standing_values(where.course, students, rules, now)
    replace_file(path, page("standing.html", values))
    return WrittenStanding(path, students, rules)


def standing_values(
    course: str, students: Sequence[StudentStanding], rules: StandingRules, now: dt.datetime
) -> dict[str, Any]:
    """Return what stands in the gaps of the page.

    Args:
        course: The name of the course.
        students: Where each student stands.
        rules: What the school asks.
        now: The day of which it tells.
    """
    requirements = Counter(one.requirement for one in students)
    return {
        "course": course,
        "day": now.date().isoformat(),
        "preset": _preset(rules),
        "counts": tuple(
            fact("standing_rule.count_of", what=of_kind("standing_rule", kind.value), count=count)
            for kind, count in requirements.most_common()
        ),
        "students": [_student(one, rules, now) for one in students],
    }


def _preset(rules: StandingRules) -> str:
    preset = rules.preset
    if preset is None:
        return said("standing_rule.no_rules") if rules == StandingRules() else ""
    printed = source(preset.source).cite()
    if not preset.of:
        return said("standing_rule.preset", name=preset.name, says=preset.says, source=printed)
    return said("standing_rule.preset_of", name=preset.name, of=preset.of, says=preset.says, source=printed)


def _student(one: StudentStanding, rules: StandingRules, now: dt.datetime) -> dict[str, Any]:
    return {
        "name": one.student.name,
        "id": one.student.id,
        "requirement": sentence(of_kind("standing_rule", one.requirement.value)),
        "sets": [_set(each, rules, now) for each in one.sets],
        "signed": signed_told(one),
    }


def signed_told(one: StudentStanding) -> str:
    """Return who signed last where a student stands, and whether that has changed since; "" if nobody did."""
    if one.signed is None:
        return ""
    zone = one.sets[-1].zone if one.sets else dt.UTC
    by, day = one.signed.by, one.signed.at.astimezone(zone).date().isoformat()
    if one.signed_as_it_is:
        return said("standing_rule.signed_by", by=by, day=day)
    return said("standing_rule.signed_before", by=by, day=day)


def _set(one: InSet, rules: StandingRules, now: dt.datetime) -> dict[str, Any]:
    return {
        "set_name": one.set_name,
        "link": "",
        "stands": sentence(of_kind("standing_rule", one.after.value)),
        "rule": "; ".join(map(sentence, rule_of(one, rules))),
        "remediation": list(_remediation(one, now)),
    }


def rule_of(one: InSet, rules: StandingRules) -> Iterator[Fact]:
    """Yield the rule that decided where a student stands in a set, and what more of the rules bears on it."""
    percent = percent_text(one.percent) if one.percent is not None else ""
    cut, allowed, number = percent_text(one.cut), one.allowed, one.attempt
    match one.after:
        case After.PASSED:
            yield fact("standing_rule.by_cut", number=number, allowed=allowed, percent=percent, cut=cut)
        case After.WAITS:
            yield fact("standing_rule.by_waiting")
        case After.BOOKED:
            yield _booked(one, percent, cut)
        case After.RETEST_OPEN:
            yield fact("standing_rule.by_open", used=number, allowed=allowed, percent=percent, cut=cut)
        case After.OUT_OF_TRIES if rules.after:
            after = rules.after
            yield fact("standing_rule.by_out_after", allowed=allowed, percent=percent, cut=cut, after=after)
        case After.OUT_OF_TRIES:
            yield fact("standing_rule.by_out", allowed=allowed, percent=percent, cut=cut)
        case After.NOT_HANDED_IN:
            yield fact("standing_rule.by_nothing_in")
        case After.NO_NOTEBOOK:
            yield fact("standing_rule.by_no_notebook")
    if one.extra:
        yield fact("standing_rule.extra", count=one.extra)
    if rules.remediation and one.after in (After.BOOKED, After.RETEST_OPEN) and not one.remediated:
        yield fact("standing_rule.before_retest")


def _booked(one: InSet, percent: str, cut: str) -> Fact:
    number, of = one.attempt + 1, one.allowed
    if one.retest is None:
        return fact("standing_rule.by_booked", percent=percent, cut=cut, number=number, allowed=of)
    due = time_in_words(one.retest, one.retest.tzinfo or dt.UTC)
    return fact("standing_rule.by_booked_due", percent=percent, cut=cut, number=number, allowed=of, due=due)


def _remediation(one: InSet, now: dt.datetime) -> Iterator[str]:
    if one.remediation_due and not one.remediated:
        day = one.remediation_due.isoformat()
        late = one.remediation_due < now.date()
        yield said("standing_rule.overdue" if late else "standing_rule.due", day=day)
    if one.planned:
        yield said("standing_rule.plan_written")
    yield from talk_lines(one)


def talk_lines(one: InSet) -> Iterator[str]:
    """Yield what was written about a student in a set: who coached, what was agreed, appeals; oldest first."""
    for talk in one.talks:
        yield talk_told(talk, one.zone)


def talk_told(talk: Talk, zone: dt.tzinfo) -> str:
    """Return one line that was written about a student, with its day in a zone."""
    day, by, note = talk.at.astimezone(zone).date().isoformat(), talk.by, talk.note
    if talk.kind is EventKind.APPEALED:
        return said("standing_rule.appeal", day=day, by=by, note=note)
    if talk.kind is EventKind.APPEAL_SETTLED:
        return said("standing_rule.appeal_settled", day=day, by=by, note=note)
    if talk.agreed:
        return said("standing_rule.talk_agreed", day=day, by=by, note=note, agreed=talk.agreed)
    return said("standing_rule.talk", day=day, by=by, note=note)
