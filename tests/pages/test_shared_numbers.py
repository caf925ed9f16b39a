import random
from contextlib import suppress
from pathlib import Path

import pytest

from calclib.analysis import SharedNumbers, Sheet, shared_numbers
from calclib.analysis.sheets import typed_value
from calclib.answers import MarkingPolicy, judge_item, marking_policy
from calclib.answers.diagnosis.causes import GUESSES
from calclib.class_files import class_folder
from calclib.demo.class_list import _ITEMS
from calclib.demo.handing_in import Place, typed_answers
from calclib.demo.simulated_students import TypedAnswer
from calclib.items import Item, draw_item
from calclib.judging_papers import mark
from calclib.models import item_model
from calclib.pages import write_report
from calclib.releasing import hand_out, start_class
from tests.releasing.further_attempts.test_attempts import filled, key
from tests.small_class.started import NOW

ROSTER = "id,name\n" + "".join(f"s{n},Student {n}\n" for n in range(12))
BLUEPRINT = """set = "week-3"
title = "Week 3"
rounding = "tenths-and-wholes"
marking = "homework"
[[items]]
item = "drop-rate"
count = 3
[[items]]
item = "pump-rate"
count = 3
[[items]]
item = "titrated-rate"
count = 3
"""


def made(place: Path, copiers: int) -> Path:
    """A class in which some students hand in the right answers to the next student's numbers."""
    (place / "roster.csv").write_text(ROSTER)
    (place / "week-3.toml").write_text(BLUEPRINT)
    folder = place / "class"
    start_class(folder, place / "roster.csv")
    hand_out(folder, place / "week-3.toml", now=NOW)
    for n in range(12):
        source = f"s{n + 1}" if n < copiers else f"s{n}"
        path = class_folder(folder).submitted("week-3", f"s{n}")
        path.parent.mkdir(parents=True)
        path.write_bytes(filled(folder, f"s{n}", key(folder, source, 1)))
    mark(folder, "week-3", now=NOW)
    return folder


def test_the_report_says_neutrally_what_was_seen(tmp_path: Path) -> None:
    """Who gave right answers to whose numbers, in which problems, how likely by chance, and no word of blame."""
    page = write_report(made(tmp_path, 1), "week-3").read_text(encoding="utf-8")
    assert "Student 0 (s0): wrong answers in problems" in page
    assert "right answers to the numbers of Student 1 (s1)" in page
    assert "No mark changes." in page
    for word in ("cheat", "copied", "plagiar", "misconduct", "suspic"):
        assert word not in page.casefold()


def test_a_class_that_worked_alone_has_no_such_words(tmp_path: Path) -> None:
    """The heading is left out too."""
    page = write_report(made(tmp_path, 0), "week-3").read_text(encoding="utf-8")
    assert "another student's numbers" not in page.replace("&#39;", "'")


@pytest.mark.full
def test_no_honest_class_of_two_hundred_is_named() -> None:
    """Simulated students of the demo, each with numbers of their own, thirty to a class, ten problems."""
    chance = random.Random(3)
    marking = marking_policy("homework")
    pool: dict[int, list[Item]] = {
        slot: [draw_item(item_model(name), f"{slot}-{n}") for n in range(120)]
        for slot, name in enumerate(_ITEMS, start=1)
    }
    named: list[SharedNumbers] = []
    for lesson in range(200):
        sheets = []
        for n in range(30):
            items = {slot: chance.choice(drawn) for slot, drawn in pool.items()}
            sheets.append(_sheet(f"{lesson} {n}", items, marking))
        named += shared_numbers(sheets)
    assert named == []


def _answers(student: str, items: dict[int, Item]) -> dict[Place, TypedAnswer]:
    for turn in range(20):
        # A mistake may lead to a rate of nothing, with which no simulated student can go on.
        with suppress(ZeroDivisionError):
            return typed_answers(f"{student} {turn}", items)
    raise AssertionError(student)


def _sheet(student: str, items: dict[int, Item], marking: MarkingPolicy) -> Sheet:
    answers = _answers(student, items)
    keys, wrong = {}, {}
    for slot, item in items.items():
        texts = {part.name: answers[slot, part.name].text for part in item.parts}
        for part, verdict in zip(item.parts, judge_item(item, texts, marking), strict=True):
            if part.key is None or part.kind == "choice":
                continue
            keys[slot, part.name] = part.key % 1440 if part.kind == "clock" else part.key
            caused = any(cause.fault not in GUESSES for cause in verdict.causes)
            if verdict.verdict in ("wrong", "wrong_with_cause") and not caused:
                value = typed_value(item, part, texts[part.name])
                if value is not None:
                    wrong[slot, part.name] = value
    return Sheet(student, keys, wrong)
