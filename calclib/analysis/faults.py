"""Which mistakes a class made: counted from the verdicts, and compared with planted ones where those are known."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from calclib.analysis.problems import Mistake
from calclib.answers.diagnosis.causes import SLIP
from calclib.faults.fault import KINDS
from calclib.wording.facts import of_kind
from calclib.wording.sentences import sentence

Key = TypeVar("Key", bound=Hashable)

_NAMED = frozenset({*KINDS, SLIP})


@dataclass(frozen=True)
class FaultCount:
    """How often one kind of mistake explains an answer.

    Attributes:
        fault: The kind of mistake.
        certain: Answers for which it is the only known mistake that leads there.
        possible: Answers for which it is one of several.
    """

    fault: str
    certain: int
    possible: int

    @property
    def name(self) -> str:
        """What people read in the place of the kind; one of an older version is read as it was recorded."""
        return fault_named(self.fault)


def fault_named(fault: str) -> str:
    """Return what people read in the place of a kind of mistake; any that is no fault of a chain as it was recorded."""
    return sentence(of_kind("fault_name", fault)) if fault in _NAMED else fault


def fault_counts(causes: Iterable[Sequence[Mapping[str, Any]]]) -> tuple[FaultCount, ...]:
    """Return the mistakes of a class, the commonest first.

    Args:
        causes: For each wrong answer, the causes of its verdict: {"fault", "certain", ...}.
    """
    certain: Counter[str] = Counter()
    possible: Counter[str] = Counter()
    for one in causes:
        sure = {str(cause["fault"]) for cause in one if cause["certain"]}
        certain.update(sure)
        possible.update({str(cause["fault"]) for cause in one} - sure)
    counts = [FaultCount(fault, certain[fault], possible[fault]) for fault in certain | possible]
    return tuple(sorted(counts, key=lambda count: (-count.certain, -count.possible, count.fault)))


@dataclass(frozen=True)
class NamingQuality:
    """How well mistakes were named, where it is known which were made.

    Attributes:
        planted: Answers with a planted mistake.
        named: Answers for which a mistake was named.
        right: Answers for which the planted mistake is among those named.
    """

    planted: int
    named: int
    right: int

    @property
    def precision(self) -> float | None:
        """Share of the named that are right."""
        return self.right / self.named if self.named else None

    @property
    def recall(self) -> float | None:
        """Share of the planted that were named rightly."""
        return self.right / self.planted if self.planted else None


def naming_quality(planted: Mapping[Key, str], named: Mapping[Key, Sequence[str]]) -> NamingQuality:
    """Compare named mistakes with planted ones.

    Args:
        planted: The planted mistake of each answer that has one; answers without one are left out.
        named: The mistakes that were named for each answer, none for an empty sequence.
    """
    right = sum(fault in named.get(answer, ()) for answer, fault in planted.items())
    return NamingQuality(len(planted), sum(bool(faults) for faults in named.values()), right)


@dataclass(frozen=True)
class StepFault:
    """How often one mistake explains wrong answers to one problem, by the step in which it is made.

    Attributes:
        slot: The problem.
        step: The step of the worked solution, "" if a given was misread.
        fault: The kind of mistake.
        certain: Answers for which it is the only known mistake that leads there.
        possible: Answers for which it is one of several.
        what: What was done most often, as the record of a fact.
    """

    slot: int
    step: str
    fault: str
    certain: int
    possible: int
    what: Mapping[str, Any]


def step_faults(mistakes: Iterable[Mistake]) -> tuple[StepFault, ...]:
    """Return how often each mistake was made in each step of each problem: by problem, the commonest first.

    Args:
        mistakes: Those of all students.
    """
    certain: Counter[tuple[int, str, str]] = Counter()
    possible: Counter[tuple[int, str, str]] = Counter()
    seen: dict[tuple[int, str, str], Counter[str]] = {}
    told: dict[str, Mapping[str, Any]] = {}
    for one in mistakes:
        place = (one.slot, one.step, one.fault)
        (certain if one.certain else possible)[place] += 1
        record = json.dumps(one.what, sort_keys=True)
        told[record] = one.what
        seen.setdefault(place, Counter())[record] += 1
    found = [
        StepFault(*place, certain[place], possible[place], told[records.most_common(1)[0][0]])
        for place, records in seen.items()
    ]
    return tuple(sorted(found, key=lambda one: (one.slot, -one.certain, -one.possible, one.step, one.fault)))
