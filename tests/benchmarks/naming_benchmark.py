"""How well the judge names mistakes, over every item model: ``python tests/benchmarks/naming_benchmark.py``.

Mistakes are planted by the simulated students, who know nothing of the judge. Choose `--seeds` after the last change of
the judge: figures on numbers that somebody looked at while changing it say little. `--held` looks at a small sample
with a fixed seed, and fails where a figure is beyond the limit that `held.toml` sets.
"""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.benchmarks.classes import CLASSES
from tests.benchmarks.naming import (
    Figures,
    Miss,
    Share,
    figures,
    misses,
    model_items,
    model_samples,
    without_core_mistake,
)
from tests.benchmarks.planting import ALIKE_DRAWS, Sample
from tests.oracle.students import PROCEDURES

GOALS = {
    "core": "at least 98 %",
    "both": "at least 94 %",
    "certain": "at least 99.5 %",
    "double": "under 0.5 %",
    "random": "under 0.1 %",
    "refused": "0",
}


def rows(found: Figures) -> Iterator[tuple[str, Share, str]]:
    """Yield the lines of the table: what, found, goal."""
    yield "core mistakes named", found.named["core"], GOALS["core"]
    yield "core and mechanical mistakes named", found.named_of("core", "mechanical"), GOALS["both"]
    yield "mechanical mistakes named", found.named["mechanical"], ""
    yield "slips of the hand named", found.named["slip"], ""
    yield "core and mechanical mistakes and slips named", found.named_of("core", "mechanical", "slip"), ""
    yield "mistakes beyond the problem named", found.named["beyond"], ""
    yield "all single mistakes named", found.named_of(*CLASSES), ""
    yield "core mistakes told in the message to the student", found.told["core"], ""
    yield "certain causes true", found.certain, GOALS["certain"]
    yield "answers called rounded wrongly that were", found.rounding, ""
    yield "false certainty on double mistakes", found.double, GOALS["double"]
    yield "false certainty on random numbers", found.random, GOALS["random"]
    yield "right answers refused without a person", found.refused, GOALS["refused"]
    yield "wrong answers judged right", found.let_through, "0"


HELD: Mapping[str, Any] = tomllib.loads(Path(__file__).with_name("held.toml").read_text(encoding="utf-8"))


def beyond(found: Figures, limits: Mapping[str, Any] = HELD) -> Iterator[str]:
    """Yield a line for each figure that is beyond its limit, or of too few answers to say anything.

    Args:
        found: The figures.
        limits: By figure its limit, as `held.toml` has them.
    """
    shares = {
        "core": found.named["core"],
        "both": found.named_of("core", "mechanical"),
        "certain": found.certain,
        "double": found.double,
        "random": found.random,
        "refused": found.refused,
        "let_through": found.let_through,
    }
    for name, share in shares.items():
        limit = limits[name]
        percent = Fraction(0) if share.value is None else 100 * share.value
        if share.whole < limit["of"]:
            yield f"{name}: of {share.whole} answers, where {limit['of']} are needed"
        elif "least" in limit and percent < Fraction(limit["least"]):
            yield f"{name}: {share}, at least {limit['least']} % is held"
        elif "most" in limit and percent > Fraction(limit["most"]):
            yield f"{name}: {share}, at most {limit['most']} % is held"


def details(samples: Sequence[Sample]) -> Iterator[str]:
    """Yield the lines on what is missed: for each class and mistake its models, each with an example."""
    found = misses(samples)
    for what in dict.fromkeys(miss[:2] for miss, _, _ in found):
        kinds: dict[str, list[tuple[Miss, int, Sample]]] = {}
        for miss, count, sample in found:
            if miss[:2] == what:
                kinds.setdefault(miss[2], []).append((miss, count, sample))
        order = sorted(kinds, key=lambda mistake: -sum(count for _, count, _ in kinds[mistake]))
        yield f"## {what[0]}: {what[1]}, {sum(count for of in kinds.values() for _, count, _ in of)}\n"
        for mistake in order:
            yield f"### {mistake or what[0]}: {sum(count for _, count, _ in kinds[mistake])}\n"
            yield from (_example(miss[3], count, sample) for miss, count, sample in kinds[mistake])
            yield ""


def _example(model: str, count: int, sample: Sample) -> str:
    said = "; ".join(f"{s.kind}{'' if s.certain else '?'}: {s.says}" for s in sample.judged.said) or "nothing"
    where = f"{model} ×{count}: seed “{sample.seed}”, part {sample.part}"
    made = f", at {sample.judged.planted.place}" if sample.judged.planted.place else ""
    answers = f"typed `{sample.typed}`, key `{sample.key}`"
    return f"- {where}{made}: {answers}, {sample.judged.verdict}; said {said}"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seeds", default="naming", metavar="LABEL", help="which numbers are drawn")
    parser.add_argument("--draws", type=int, default=5, metavar="N", help="draws of each model")
    parser.add_argument("--quick", action="store_true", help="one draw of each model")
    parser.add_argument("--models", nargs="+", metavar="ID", help="only these item models")
    parser.add_argument("--details", type=Path, metavar="FILE", help="write what is missed, with examples")
    parser.add_argument("--held", action="store_true", help="the sample and the limits of held.toml")
    options = parser.parse_args()
    if options.held:
        options.seeds, options.models, options.quick = HELD["seeds"], HELD["models"], True
    draws = 1 if options.quick else options.draws
    samples: list[Sample] = []
    undrawn: list[str] = []
    count = 0
    for name, items in model_items(options.seeds, max(draws, ALIKE_DRAWS), options.models):
        count += 1
        if len(items) < max(draws, ALIKE_DRAWS):
            undrawn.append(name)
        elif name in PROCEDURES:
            samples += model_samples(items, draws)
            print(f"\r{count} {name:60}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    print(f"{count} item models, seeds “{options.seeds} 0” to “{options.seeds} {draws - 1}”\n")
    print("| what | found | goal |\n|---|---|---|")
    measured = figures(samples)
    for what, share, goal in rows(measured):
        print(f"| {what} | {share} | {goal} |")
    for what, names in (("not drawn", undrawn), ("without a core mistake", without_core_mistake(samples))):
        missing = [name for name in names if not options.models or name in options.models]
        print(f"\nModels {what}: {', '.join(missing) or 'none'}")
    if options.details:
        options.details.write_text("\n".join(details(samples)), encoding="utf-8")
    if options.held and (missed := [*beyond(measured), *(f"{name}: no draw" for name in undrawn)]):
        print("\nBeyond what is held:", *missed, sep="\n")
        sys.exit(1)


if __name__ == "__main__":
    main()
