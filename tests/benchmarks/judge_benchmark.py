"""Legitimate answers, slips of a digit, and time, over all item models: ``python tests/benchmarks/judge_benchmark.py``.

Times are compared with one conversion of a unit by pint in the same run, since machines differ; nothing here is
asserted. How well the judge names mistakes is measured by `naming_benchmark.py`.
"""

from __future__ import annotations

import argparse
import io
import json
import math
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

if __package__ in (None, ""):
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from calclib.answers.judging import judge_item
from calclib.answers.marking_policy import marking_policy
from calclib.answers.verdict import RIGHT, PartVerdict
from calclib.cli.commands.judge import judge_lines
from calclib.errors import BadInput
from calclib.items import Item, draw_item
from calclib.items.item import ItemPart
from calclib.models import bank
from calclib.quantity.registry import registry
from calclib.quantity.units import parse_unit
from calclib.quantity.writing import write_number
from tests.benchmarks.legitimate import legitimate_answers, unit_word

MARKING = marking_policy("homework")
MICRO = 1_000_000


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    what: str
    found: str
    goal: str
    detail: str = ""


def draws(count: int, label: str = "benchmark") -> Iterator[Item]:
    """So many items of each model."""
    for model in bank().values():
        for n in range(count):
            try:
                yield draw_item(model, f"{label} {n}")
            except BadInput as error:
                print(f"not drawn: {error}", file=sys.stderr)
                break


def verdict_on(item: Item, part: str, text: str) -> PartVerdict:
    """The verdict on one typed text."""
    return next(v for v in judge_item(item, {part: text}, MARKING) if v.part == part)


def quantity_parts(items: Sequence[Item]) -> Iterator[tuple[Item, ItemPart]]:
    """All parts that ask for a quantity above zero."""
    for item in items:
        for part in item.parts:
            if part.kind == "quantity" and part.key:
                yield item, part


def one_digit_slips(items: Sequence[Item]) -> tuple[int, int]:
    """How many slips of one digit are judged wrong, and how many of them are called a certain mistake of the set-up."""
    judged_wrong = blamed = 0
    for item, part in quantity_parts(items):
        number = write_number(part.key) if part.key is not None else ""
        for place, digit in enumerate(number):
            if not digit.isdigit():
                continue
            for other in "0123456789":
                typed = number[:place] + other + number[place + 1 :]
                if other == digit or (typed.startswith("0") and typed[1:2].isdigit()):
                    continue
                verdict = verdict_on(item, part.name, f"{typed} {unit_word(parse_unit(part.unit))}")
                if verdict.verdict.startswith("wrong"):
                    judged_wrong += 1
                    blamed += any(c.certain and c.fault != "slip of the finger" for c in verdict.causes)
    return judged_wrong, blamed


def refused(count: int) -> tuple[int, list[str]]:
    """How many legitimate answers were judged, and those that were refused."""
    found: list[str] = []
    done = n = 0
    while done < count:
        for item in draws(1, f"legitimate {n}"):
            for part, text in legitimate_answers(item):
                verdict = verdict_on(item, part, text)
                done += 1
                if verdict.verdict not in RIGHT:
                    found.append(f"{item.model_id} {item.seed} {part} {text!r}: {verdict.verdict} {verdict.message}")
            if done >= count:
                break
        n += 1
    return done, found


def seconds(run: Callable[[], object], times: int) -> float:
    """The least time of one of five rounds, for one run: what the machine does beside only adds to it."""
    best = math.inf
    for _ in range(5):
        start = time.perf_counter()
        for _ in range(times):
            run()
        best = min(best, (time.perf_counter() - start) / times)
    return best


def times_of_judging(items: Sequence[Item], each: int) -> tuple[float, float, float]:
    """Seconds for a pint conversion, for a right answer and for a wrong one with its diagnosis."""
    chance = random.Random("times")
    units = registry()
    flow = units.Quantity(Fraction(125), "mL/h")
    conversion = seconds(lambda: flow.to("mL/min"), 200)
    right, wrong = [], []
    for item in items:
        parts = [part for part in item.parts if part.kind == "quantity" and part.key]
        if len(item.parts) != 1 or not parts:
            continue
        part = parts[0]
        unit = unit_word(parse_unit(part.unit))
        texts = {part.name: f"{part.answer.split(' ')[0]} {unit}"}
        right.append(seconds(lambda item=item, texts=texts: judge_item(item, texts, MARKING), each))  # type: ignore[misc]
        faults = [f for f in part.faults if f.hard and f.written is not None and (f.written * 10**6).denominator == 1]
        numbers = [write_number(f.written) for f in faults if f.written is not None][:3]
        numbers += [str(chance.randint(100, 999)) for _ in range(3)]
        for number in numbers:
            typed = {part.name: f"{number} {unit}"}
            wrong.append(seconds(lambda item=item, typed=typed: judge_item(item, typed, MARKING), each))  # type: ignore[misc]
    return conversion, sum(right) / len(right), sum(wrong) / len(wrong)


def through_the_command(count: int) -> tuple[float, Counter[str]]:
    """Seconds and verdicts of so many judgments by `calclib judge -` in this process, drawing and JSON included."""
    lines = []
    chance = random.Random("command")
    seeds = max(1, count // (len(bank()) * 10))
    for item in draws(seeds, "command"):
        texts = [{part.name: part.answer for part in item.parts}]
        texts += [{part.name: f"{chance.randint(1, 999)} {part.unit}" for part in item.parts} for _ in range(9)]
        lines += [json.dumps({"id": 1, "item": item.model_id, "seed": item.seed, "answers": t}) for t in texts]
    replies = io.StringIO()
    lines = (lines * (count // len(lines) + 1))[:count]
    start = time.perf_counter()
    judge_lines(io.StringIO("\n".join(lines) + "\n"), replies)
    taken = time.perf_counter() - start
    verdicts: Counter[str] = Counter()
    for line in replies.getvalue().splitlines():
        reply = json.loads(line)
        verdicts.update([part["verdict"] for part in reply["parts"]] if "parts" in reply else ["error"])
    return taken, verdicts


def share(part: int, whole: int) -> str:
    """A share in percent."""
    return f"{100 * part / whole:.2f} % ({part:,} of {whole:,})" if whole else "none"


def table(quick: bool, details: bool) -> Iterator[Row]:
    """The lines of the table, one after another."""
    items = list(draws(4 if quick else 20))
    wrong, blamed = one_digit_slips(items)
    yield Row("one-digit slips called a certain mistake", share(blamed, wrong), "under 2 %")
    done, found = refused(5_000 if quick else 100_000)
    yield Row("legitimate answers refused", f"{len(found)} of {done:,}", "0", "; ".join(found[: 40 if details else 3]))
    conversion, right, wrong_time = times_of_judging(items[:: 4 if quick else 10], 20 if quick else 50)
    yield Row("one pint conversion", f"{conversion * MICRO:.0f} us", "")
    yield Row("a right answer judged", f"{right * MICRO:.0f} us, {right / conversion:.1f} conversions", "at most 3")
    yield Row(
        "a wrong answer judged with diagnosis",
        f"{wrong_time * MICRO:.0f} us, {wrong_time / conversion:.1f} conversions",
        "at most 10",
    )
    count = 2_000 if quick else 100_000
    taken, verdicts = through_the_command(count)
    detail = ", ".join(f"{name} {n:,}" for name, n in verdicts.most_common())
    yield Row(
        f"{count:,} requests through calclib judge -", f"{taken:.1f} s, {count / taken:,.0f} a second", "", detail
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a few draws of each model: some minutes")
    parser.add_argument("--details", action="store_true", help="what was refused")
    options = parser.parse_args()
    print(f"{len(bank())} item models\n\n| what | found | goal |\n|---|---|---|")
    for row in table(options.quick, options.details):
        print(f"| {row.what} | {row.found} | {row.goal} |", flush=True)
        if row.detail and options.details:
            print(f"<!-- {row.detail} -->", flush=True)


if __name__ == "__main__":
    main()
