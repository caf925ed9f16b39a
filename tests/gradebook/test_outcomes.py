"""What each student did with each problem: the attempt that counts, the first one, and the sets before."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from calclib.class_files import class_folder
from calclib.gradebook import set_results
from calclib.gradebook.earlier_sets import earlier_problems
from calclib.gradebook.outcomes import first_attempt_problems, student_problems
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.records import reading
from calclib.releasing import hand_out, start_class
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from tests.releasing.further_attempts.test_attempts import filled, hand_in, key
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

LATER = NOW + dt.timedelta(days=7)
NEXT = 'set = "week-4"\ntitle = "Week 4"\nrounding = "by-size"\nmarking = "homework"\n[[items]]\nitem = "pump-rate"\n'


def right(problems: tuple[object, ...]) -> list[bool]:
    """Which problems are right."""
    return [bool(getattr(one, "right", None)) for one in problems]


def test_outcomes_of_a_class_with_a_second_attempt_and_a_second_set(tmp_path: Path) -> None:
    """Ann blank at first and right at last: the last counts, the first is in the statistics, and both are her past.

    A problem that counts for nobody is in neither; a set that came later is no past of an earlier one.
    """
    (tmp_path / "roster.csv").write_text(ROSTER)
    (tmp_path / "week-3.toml").write_text(BLUEPRINT.replace("cut_score", 'attempts = 2\nkeep = "last"\ncut_score'))
    (tmp_path / "week-4.toml").write_text(NEXT)
    folder = tmp_path / "class"
    start_class(folder, tmp_path / "roster.csv")
    hand_out(folder, tmp_path / "week-3.toml", now=NOW)
    hand_in(folder, "ann", filled(folder, "ann", {}), NOW)
    mark(folder, "week-3", now=NOW)
    give_another_attempt(folder, "week-3", now=NOW, students=["ann"])
    hand_in(folder, "ann", filled(folder, "ann", key(folder, "ann", 2)), NOW + dt.timedelta(hours=4))
    mark(folder, "week-3", now=NOW)
    make_ruling(folder, "week-3", RulingRequest("void", {}, "Misprinted.", problem=1), now=NOW)
    hand_out(folder, tmp_path / "week-4.toml", now=LATER)

    where = class_folder(folder)
    results = set_results(where, "week-3")
    ann = next(one for one in results.judged if one.student.id == "ann")
    problems = student_problems(results, ann)
    with reading(where) as connection:
        first = first_attempt_problems(connection, results)
    assert ann.attempt == 2
    assert [one.slot for one in problems] == [slot.number for slot in results.sealed.slots][1:]
    assert right(problems) == [True] * len(problems)
    assert right(first["ann"]) == [False] * len(problems)
    assert earlier_problems(where, set_results(where, "week-4")) == {"ann": problems}
    assert earlier_problems(where, results) == {}
