"""Figures on how well the judge names mistakes, class by class, and what it misses."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calclib.demo.measure import (
    ROUNDED_WRONGLY,
    ROUNDING,
    is_let_through,
    is_mistake,
    is_named,
    is_true,
    measured,
    own_names,
)
from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.models import bank
from tests.benchmarks.classes import CLASSES, class_of
from tests.benchmarks.planting import (
    ALIKE_DRAWS,
    Alike,
    Sample,
    double_mistakes,
    random_numbers,
    right_answers,
    single_mistakes,
)

DOUBLES, RANDOM = 12, 10  # of each item; random numbers of each part


@dataclass(frozen=True)
class Share:
    """How many of how many."""

    part: int
    whole: int

    @property
    def value(self) -> Fraction | None:
        """The share, None of nothing."""
        return Fraction(self.part, self.whole) if self.whole else None

    def __str__(self) -> str:
        return f"{100 * self.part / self.whole:.2f} % ({self.part:,} of {self.whole:,})" if self.whole else "none"


@dataclass(frozen=True)
class Figures:
    """What is measured.

    Args:
        named: By class, the single mistakes that the judge named; one left open is not named.
        told: By class, those of which the message to the student speaks: it has room for two of what is named.
        certain: Of what is said for certain of a single mistake, how much was planted or always leads to the same
            answer.
        rounding: Of the answers by one mistake that are called rounded wrongly, how many were.
        double: Of the answers by two mistakes at once, of how many something else is said for certain.
        random: Of the wrong numbers drawn at random, of how many something is said for certain.
        refused: Right answers that are neither judged right nor left to a person.
        let_through: Wrong answers that are judged right.
    """

    named: Mapping[str, Share]
    told: Mapping[str, Share]
    certain: Share
    rounding: Share
    double: Share
    random: Share
    refused: Share
    let_through: Share

    def named_of(self, *classes: str) -> Share:
        """Return the named share of several classes together."""
        return Share(sum(self.named[c].part for c in classes), sum(self.named[c].whole for c in classes))


def model_items(label: str, draws: int, only: Sequence[str] | None = None) -> Iterator[tuple[str, list[Item]]]:
    """Yield the draws of each item model, fewer where no more can be drawn.

    Args:
        label: Begins the seeds.
        draws: How many of each.
        only: Ids of models; None for all.
    """
    for name, model in bank().items():
        if only is not None and name not in only:
            continue
        items: list[Item] = []
        for n in range(draws):
            try:
                items.append(draw_item(model, f"{label} {n}"))
            except BadInput:
                break
        yield name, items


def model_samples(items: Sequence[Item], draws: int) -> Iterator[Sample]:
    """Yield everything that is typed for one model: of all items it is known what looks alike, of `draws` what is said.

    Args:
        items: Draws of one model, at least `ALIKE_DRAWS`.
        draws: How many of them are judged.
    """
    alike = Alike(items[:ALIKE_DRAWS])
    yield from single_mistakes(items[:draws], alike)
    yield from double_mistakes(items[:draws], DOUBLES)
    yield from random_numbers(items[:draws], RANDOM)
    yield from right_answers(items[:draws])


def kind_of(sample: Sample) -> str:
    """Return the class of a sample: one of `CLASSES`, "double", "random", "right", or "" where nothing is measured."""
    planted = sample.judged.planted
    if planted.kind in ("random", "right"):
        return planted.kind
    return class_of(planted) if is_mistake(sample.judged) else ""


def figures(samples: Iterable[Sample]) -> Figures:
    """Return the figures of samples."""
    by_class: dict[str, list[Sample]] = defaultdict(list)
    for sample in samples:
        by_class[kind_of(sample)].append(sample)
    single = [sample for name in CLASSES for sample in by_class[name]]
    counted = measured(sample.judged for sample in (*single, *by_class["double"], *by_class["right"]))
    sure = [s for s in single if s.judged.sure is not None]
    rounded = [s for s in single if s.judged.verdict == ROUNDED_WRONGLY]
    return Figures(
        named={name: Share(sum(is_named(s.judged) for s in by_class[name]), len(by_class[name])) for name in CLASSES},
        told={name: Share(sum(map(is_told, by_class[name])), len(by_class[name])) for name in CLASSES},
        certain=Share(sum(map(certain_is_true, sure)), len(sure)),
        rounding=Share(sum(s.judged.planted.error in ROUNDING for s in rounded), len(rounded)),
        double=Share(counted.misled, counted.double),
        random=Share(sum(s.judged.sure is not None for s in by_class["random"]), len(by_class["random"])),
        refused=Share(sum(map(is_refused, by_class["right"])), len(by_class["right"])),
        let_through=Share(counted.let_through, counted.single + counted.double),
    )


def certain_is_true(sample: Sample) -> bool:
    """Whether what is said for certain was planted, or always leads to the same answer."""
    return sample.judged.sure is not None and is_true(sample.judged, sample.judged.sure)


def is_refused(sample: Sample) -> bool:
    """Whether a right answer is not judged right, and nobody will look at it."""
    return sample.judged.planted.kind == "right" and not sample.judged.right and not sample.needs_person


def is_told(sample: Sample) -> bool:
    """Whether the mistake that was made stands in the message to the student, in the words of its cause."""
    names = own_names(sample.judged.planted)
    # A clause may begin the sentence, in a capital.
    return any(one.kind in names and one.says[1:] in sample.message for one in sample.judged.said)


Miss = tuple[str, str, str, str]
"""What is wrong, the class, the mistake and the model."""


def misses_of(sample: Sample) -> Iterator[Miss]:
    """Yield what is wrong with what was said of a sample; a mistake may be unnamed and another said for certain."""
    answer, kind = sample.judged, kind_of(sample)
    told = answer.sure is not None
    if kind in CLASSES and not is_named(answer):
        yield "not named", kind, answer.planted.error, answer.item
    if kind == "right" and is_refused(sample):
        yield "right answer refused", kind, "", answer.item
    if kind in CLASSES and answer.verdict == ROUNDED_WRONGLY and answer.planted.error not in ROUNDING:
        yield "called rounded wrongly", kind, answer.planted.error, answer.item
    if (kind in (*CLASSES, "double") and told and not certain_is_true(sample)) or (kind == "random" and told):
        yield "false certainty", kind, answer.planted.error, answer.item
    if kind in (*CLASSES, "double") and is_let_through(answer):
        yield "judged right", kind, answer.planted.error, answer.item


def misses(samples: Iterable[Sample]) -> list[tuple[Miss, int, Sample]]:
    """Return the misses, the commonest first, each with how often and one example."""
    counts: Counter[Miss] = Counter()
    examples: dict[Miss, Sample] = {}
    for sample in samples:
        for miss in misses_of(sample):
            counts[miss] += 1
            examples.setdefault(miss, sample)
    return [(miss, count, examples[miss]) for miss, count in counts.most_common()]


def without_core_mistake(samples: Iterable[Sample]) -> list[str]:
    """Return the item models of the bank in which no core mistake was planted."""
    planted = {s.judged.item for s in samples if kind_of(s) == "core"}
    return [name for name in bank() if name not in planted]
