import datetime as dt
import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from nbgrader.api import Gradebook
from sqlalchemy import select

from calclib.class_files import class_folder
from calclib.cli.main import calclib
from calclib.errors import BadInput
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.pages import explanation, waiting, write_feedback
from calclib.records import history_of, reading, sealed_paper
from calclib.records.people import pseudonyms
from calclib.records.tables import ITEM, REKEYED
from calclib.releasing import hand_out
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.wording import sentence
from tests.plugins.test_stock_autograde import autograde
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import NOW

SET = "week-3"
HandIn = Callable[..., Path]
Keys = dict[str, dict[str, str]]

TENTHS = RulingRequest("rounding", {"policy": "tenths", "printed": "yes"}, "We teach tenths.")
INSTEAD = RulingRequest("rounding", {"policy": "tenths", "printed": ""}, "I said so in the room.")
BACK = RulingRequest("withdraw", {"number": "1"}, "It was right as it was.")


def now_right(folder: Path, student: str) -> dict[str, str]:
    """The right answers by variable, keyed as the set is now."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student])
    assert paper is not None
    parts = [part for item in paper.items for part in item.record["parts"]]
    return {f"answer_{n}": part["answer"] for n, part in enumerate(parts, start=1)}


@pytest.fixture
def tenths(folder: Path, tmp_path: Path) -> Keys:
    """The right answers of each student by tenths, told by a twin of the class that is keyed so."""
    twin = Path(shutil.copytree(folder, tmp_path / "tenths"))
    make_ruling(twin, SET, INSTEAD, now=NOW)
    return {student: now_right(twin, student) for student in ("ann", "ben", "cat")}


def score(folder: Path, student: str) -> float:
    """The score as nbgrader adds it up."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        return float(gradebook.find_submission(SET, student).score)


def test_who_used_the_taught_rule_gains_and_nobody_loses(
    folder: Path, hand_in: HandIn, keys: Keys, tenths: Keys
) -> None:
    """Ann followed the printed rule, the others the one that was taught: all are right, and a preview says so first."""
    hand_in("ann", keys["ann"])
    for student in ("ben", "cat"):
        hand_in(student, tenths[student])
    mark(folder, SET, now=NOW)
    before = {student: score(folder, student) for student in keys}
    low = {student for student in keys if before[student] < 12}
    assert low and "ann" not in low
    tried = make_ruling(folder, SET, TENTHS, now=NOW, preview=True)
    assert {(one.student.id, float(one.after)) for one in tried.marked.changes} == {(student, 12) for student in low}
    assert {student: score(folder, student) for student in keys} == before
    assert now_right(folder, "ben") == keys["ben"]
    make_ruling(folder, SET, TENTHS, now=NOW)
    assert [score(folder, student) for student in keys] == [12, 12, 12]
    assert now_right(folder, "ben") == tenths["ben"]


def test_instead_who_followed_the_printed_rule_loses(folder: Path, hand_in: HandIn, keys: Keys, tenths: Keys) -> None:
    """The preview names each loss; withdrawing the ruling gives it back."""
    for student in keys:
        hand_in(student, keys[student])
    mark(folder, SET, now=NOW)
    changes = make_ruling(folder, SET, INSTEAD, now=NOW, preview=True).marked.changes
    assert changes and all(one.gain < 0 for one in changes)
    for one in changes:
        assert all(answer.verdict_before == "right" != answer.verdict_after for answer in one.answers)
    make_ruling(folder, SET, INSTEAD, now=NOW)
    assert all(score(folder, one.student.id) == float(one.after) < 12 for one in changes)
    make_ruling(folder, SET, BACK, now=NOW)
    assert [score(folder, student) for student in keys] == [12, 12, 12]
    assert now_right(folder, "ann") == keys["ann"]


def test_a_new_key_survives_marking_again(folder: Path, hand_in: HandIn, keys: Keys, tenths: Keys) -> None:
    """By us and by nbgrader, row for row, also for who hands in later; nothing is keyed twice."""
    hand_in("ben", tenths["ben"])
    mark(folder, SET, now=NOW)
    make_ruling(folder, SET, TENTHS, now=NOW)

    def recorded() -> list[tuple[object, ...]]:
        with reading(class_folder(folder)) as connection:
            return [tuple(row) for table in (ITEM, REKEYED) for row in connection.execute(select(table))]

    before = recorded()
    hand_in("cat", tenths["cat"])
    mark(folder, SET, now=NOW)
    rows = gradebook_rows(class_folder(folder))
    assert autograde(folder, force=True) == [True, True]
    assert gradebook_rows(class_folder(folder)) == rows
    assert (score(folder, "ben"), score(folder, "cat"), recorded()) == (12, 12, before)


def test_what_was_handed_out_stays(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """A notebook that is written again prints what it printed, and marking takes it for the student's own."""
    path = class_folder(folder).rendered(SET, "ann")
    before = path.read_bytes()
    make_ruling(folder, SET, TENTHS, now=NOW)
    path.unlink()
    assert hand_out(folder, SET, now=NOW).new == 0
    assert path.read_bytes() == before
    hand_in("ann", keys["ann"])
    assert mark(folder, SET, now=NOW).aside == ()
    assert score(folder, "ann") == 12


def test_whoever_joined_after_a_ruling_keeps_its_rule(folder: Path) -> None:
    """A notebook that is written again states the rule of the day when it was made, also after one was withdrawn."""
    ruled, joined, withdrawn, again = (NOW + dt.timedelta(days=days) for days in (1, 2, 3, 4))
    make_ruling(folder, SET, TENTHS, now=ruled)
    roster = folder / "roster.csv"
    roster.write_text(roster.read_text(encoding="utf-8") + "dan,Dan Dogwood,,,\n", encoding="utf-8")
    hand_out(folder, SET, now=joined)
    make_ruling(folder, SET, BACK, now=withdrawn)
    stated = {"ann": "Liquids to tenths, drops and pumps to wholes", "dan": "Everything to tenths"}
    paths = {student: class_folder(folder).rendered(SET, student) for student in stated}
    before = {student: path.read_bytes() for student, path in paths.items()}
    for path in paths.values():
        path.unlink()
    assert hand_out(folder, SET, now=again).new == 0
    for student, path in paths.items():
        assert path.read_bytes() == before[student]
        assert f"Rounding policy “{stated[student]}”" in path.read_text("utf-8")


def test_who_comes_later_reads_the_new_rule(folder: Path, hand_in: HandIn) -> None:
    """A student who joins, and another attempt, are drawn and printed by the policy in force."""
    make_ruling(folder, SET, TENTHS, now=NOW)
    roster = folder / "roster.csv"
    roster.write_text(roster.read_text(encoding="utf-8") + "dan,Dan Dogwood,,,\n", encoding="utf-8")
    assert hand_out(folder, SET, now=NOW).new == 1
    assert "Round to the nearest tenth of a gtt/min" in class_folder(folder).rendered(SET, "dan").read_text("utf-8")
    hand_in("dan", now_right(folder, "dan"))
    mark(folder, SET, now=NOW)
    assert score(folder, "dan") == 12


def test_a_mistake_is_carried_forward_by_either_rule(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """Whoever went wrong in an earlier part and followed the printed rule from there on loses nothing."""
    hand_in("ann", keys["ann"] | {"answer_3": "80 mL"})
    mark(folder, SET, now=NOW)
    before = score(folder, "ann")
    assert make_ruling(folder, SET, TENTHS, now=NOW).marked.changes == ()
    assert score(folder, "ann") == before


def test_explanation_feedback_and_history_say_so(folder: Path, hand_in: HandIn, keys: Keys, tenths: Keys) -> None:
    """With the ruling's number, both ways to be right, the policy, the reason; and the list of rulings has it."""
    # Every class has numbers of its own: some drop rates are the same by both rules.
    student = next(name for name in keys if keys[name]["answer_1"] != tenths[name]["answer_1"])
    hand_in(student, keys[student])
    mark(folder, SET, now=NOW)
    make_ruling(folder, SET, TENTHS, now=NOW)
    text = " ".join(explanation(folder, SET, student, 1).split())
    assert "Re-keyed by ruling 1, from the numbers that were handed out." in text
    assert f"Accepted: {tenths[student]['answer_1']}, by this way:" in text
    assert "the rule that the notebook printed: “Round to the nearest whole gtt/min.”" in text
    assert "Rounding policy: Everything to tenths." in text
    assert "what is right by the rule printed in the notebook stays right. Reason: We teach tenths." in text
    write_feedback(folder, SET)
    page = class_folder(folder).feedback(SET, student).read_text(encoding="utf-8")
    assert "Ruling of November 25, 2026" in page and "We teach tenths." in page
    with reading(class_folder(folder)) as connection:
        lines = history_of(connection, SET)
    assert any("re-keyed: items 15," in line and "ruling 1" in line for line in lines)
    assert "Answers are keyed by the rounding policy “tenths”" in waiting(folder, SET).text


def test_a_problem_that_isnt_fair_is_named(folder: Path, hand_in: HandIn, keys: Keys, tenths: Keys) -> None:
    """By student and problem, in the preview and in the explanation; by hundredths pounds lead two ways."""
    wish = RulingRequest("rounding", {"policy": "hundredths", "printed": ""}, "A stricter rule.")
    for student in keys:
        hand_in(student, keys[student])
    mark(folder, SET, now=NOW)
    done = make_ruling(folder, SET, wish, now=NOW)
    assert all("“hundredths”" in sentence(one.told) for one in done.notes)
    for one in done.notes:
        said = " ".join(explanation(folder, SET, one.student.id, one.problem).split())
        assert sentence(one.told)[1:] in said


def test_the_policy_that_holds_already_is_refused(folder: Path) -> None:
    """And so is an unknown one, each in one sentence; nothing is recorded."""
    for name, said in (("tenths-and-wholes", "already"), ("nothing", "nothing")):
        with pytest.raises(BadInput, match=said):
            make_ruling(folder, SET, RulingRequest("rounding", {"policy": name, "printed": "yes"}, "Because."), now=NOW)


def test_the_command_shows_first_and_then_does_it(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """`calclib rule --rounding`: a preview, who loses with --instead, and --instead alone is refused."""
    for student in keys:
        hand_in(student, keys[student])
    mark(folder, SET, now=NOW)
    words = ["rule", str(folder), SET, "--reason", "We teach tenths."]
    run = CliRunner().invoke(calclib, [*words, "--rounding", "tenths", "--instead", "--preview"])
    assert run.exit_code == 0, run.output
    assert re.search("0 students gain, [123] loses?:", run.output)
    assert "the rule printed in the notebook no longer counts" in run.output
    run = CliRunner().invoke(calclib, [*words, "--rounding", "tenths", "--yes"])
    assert run.exit_code == 0, run.output
    assert "Ruling 1 is recorded; 0 students have other marks." in run.output
    assert isinstance(
        CliRunner().invoke(calclib, [*words, "--void", "--problem", "1", "--instead"]).exception, BadInput
    )


def test_another_attempt_after_the_ruling(folder: Path, hand_in: HandIn, keys: Keys) -> None:
    """It prints the new rule, is marked by it, and the earlier attempt keeps both ways to be right."""
    blueprint = folder / "blueprints" / f"{SET}.toml"
    assert blueprint.is_file()
    blueprint.write_text(blueprint.read_text("utf-8").replace("cut_score", "attempts = 2\ncut_score", 1), "utf-8")
    hand_out(folder, SET, now=NOW)
    hand_in("ann", keys["ann"] | {"answer_1": ""})
    mark(folder, SET, now=NOW)
    make_ruling(folder, SET, TENTHS, now=NOW)
    assert give_another_attempt(folder, SET, now=NOW, students=["ann"]).given[0][1] == 2
    text = class_folder(folder).rendered(SET, "ann").read_text(encoding="utf-8")
    assert "Round to the nearest tenth of a gtt/min" in text and "nearest whole gtt/min" not in text
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)["ann"], 2)
    assert paper is not None
    parts = [part["answer"] for item in paper.items for part in item.record["parts"]]
    where = class_folder(folder)
    first = where.submitted(SET, "ann")
    kept = where.earlier(SET, "ann") / "20261125T080000Z-0.ipynb"
    kept.parent.mkdir(parents=True)
    first.rename(kept)
    hand_in("ann", {f"answer_{n}": answer for n, answer in enumerate(parts, start=1)})
    mark(folder, SET, now=NOW)
    assert score(folder, "ann") == 12
    assert json.loads(text)["metadata"]["calclib"]["tag"] == paper.tag
