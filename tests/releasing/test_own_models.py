"""Sets with an item model of faculty's own: recorded when they are first handed out, and drawn from as recorded."""

import json
import re
from fractions import Fraction
from pathlib import Path

import pytest
from click.testing import CliRunner

from calclib.class_files import class_folder
from calclib.cli.main import calclib
from calclib.errors import BadInput, CalclibError
from calclib.items import item_from_record
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.models import item_model
from calclib.pages import explanation, write_feedback, write_report
from calclib.records import SealedItem, reading, sealed_paper
from calclib.records.frozen.frozen_texts import frozen_text
from calclib.records.people import pseudonyms
from calclib.releasing import hand_out, start_class
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from tests.models.own_model import OWN_MODEL, changed, line_of
from tests.small_class.started import NOW, ROSTER

BLUEPRINT = """set = "week-3"
title = "Week 3"
rounding = "tenths-and-wholes"
marking = "homework"
attempts = 2

[[items]]
item = "drop-rate"

[[items]]
item = "models/mine.toml"
count = 2
points = 3
"""
OTHER = changed("volume <= 3 mL", "volume <= 2 mL").replace("version = 1", "version = 2")
CASES = ("there", "changed", "gone")


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A class of three with a blueprint that names a file of one's own; nothing is handed out yet."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (tmp_path / "models").mkdir()
    (tmp_path / "models" / "mine.toml").write_text(OWN_MODEL, encoding="utf-8")
    (tmp_path / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    return tmp_path


def meanwhile(place: Path, case: str) -> None:
    """What happens to the file after the set was handed out."""
    path = place / "models" / "mine.toml"
    if case == "changed":
        path.write_text(OTHER, encoding="utf-8")
    elif case == "gone":
        path.unlink()


def items_of(place: Path, student: str, attempt: int = 1) -> tuple[SealedItem, ...]:
    """A student's items."""
    with reading(class_folder(place / "class")) as connection:
        paper = sealed_paper(connection, "week-3", pseudonyms(connection)[student], attempt)
    assert paper is not None
    return paper.items


def by_hand(item: SealedItem) -> str:
    """The volume from the texts of the stem: ordered mg over mg in one mL, rounded to a tenth of a mL."""
    stated = {given.name: given.text for given in item_from_record(item.record).givens}
    order = Fraction(stated["order"].removesuffix(" mg"))
    mg, ml = re.fullmatch(r"(\d+) mg(?:/| in )(\d*) ?mL", stated["strength"]).groups()  # type: ignore[union-attr]
    exact = order / (Fraction(mg) / Fraction(ml or 1))
    return f"{int(exact * 10 + Fraction(1, 2)) / 10:g} mL"


def hand_in(place: Path, student: str, attempt: int = 1) -> None:
    """The student answers both of faculty's own problems rightly and leaves the other blank."""
    where = class_folder(place / "class")
    notebook = json.loads(where.rendered("week-3", student).read_text(encoding="utf-8"))
    _, second, third = items_of(place, student, attempt)
    for cell in notebook["cells"]:
        for variable, item in (("answer_2", second), ("answer_3", third)):
            if "".join(cell["source"]).startswith(f'{variable} = ""'):
                cell["source"] = [f'{variable} = "{by_hand(item)}"\n']
    path = where.submitted("week-3", student)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps(notebook), encoding="utf-8")


def test_a_file_beside_the_blueprint_is_handed_out_with_others(place: Path) -> None:
    """Its text is recorded, every student has numbers from it, and a second run changes nothing."""
    done = hand_out(place / "class", place / "week-3.toml", now=NOW)
    assert (done.new, done.notes) == (3, ())
    items = items_of(place, "ann")
    assert [item.model_id for item in items] == ["drop-rate", "own-syringe-volume", "own-syringe-volume"]
    with reading(class_folder(place / "class")) as connection:
        assert frozen_text(connection, items[1].model_hash) == OWN_MODEL
    assert (hand_out(place / "class", place / "week-3.toml", now=NOW).new, items_of(place, "ann")) == (0, items)


@pytest.mark.parametrize("case", CASES)
def test_all_that_comes_later_goes_by_the_recorded_text(place: Path, case: str) -> None:
    """Late students, marking, feedback, explaining and another attempt, whether the file is there, changed or gone."""
    hand_out(place / "class", place / "week-3.toml", now=NOW)
    before = items_of(place, "ann")
    meanwhile(place, case)
    (place / "more.csv").write_text(f"{ROSTER}dan,Dan Dogwood,,,\n", encoding="utf-8")
    start_class(place / "class", place / "more.csv")
    done = hand_out(place / "class", place / "week-3.toml", now=NOW)
    assert (done.new, len(done.notes)) == (1, case == "changed")
    assert all("models/mine.toml has changed" in note for note in done.notes)
    assert hand_out(place / "class", "week-3", now=NOW).notes == ()
    assert items_of(place, "ann") == before
    assert {item.model_hash for item in items_of(place, "dan")[1:]} == {before[1].model_hash}
    for student in ("ann", "dan"):
        hand_in(place, student)
    mark(place / "class", "week-3", now=NOW)
    assert len(write_feedback(place / "class", "week-3").pages) == 2
    write_report(place / "class", "week-3")
    assert "3 of 3 points" in " ".join(explanation(place / "class", "week-3", "dan", 2).split())
    assert len(give_another_attempt(place / "class", "week-3", now=NOW, students=("dan",)).given) == 1
    again = items_of(place, "dan", 2)
    assert {item.model_hash for item in again[1:]} == {before[1].model_hash}
    hand_in(place, "dan", 2)
    mark(place / "class", "week-3", now=NOW)
    rounding = RulingRequest("rounding", {"policy": "ties-to-even", "printed": "yes"}, "The course rounds so.")
    # Every problem is keyed by the new policy: none keeps its old key.
    kept = {"rekeyed.lost", "rekeyed.refused", "rekeyed.undecided"}
    notes = make_ruling(place / "class", "week-3", rounding, now=NOW).notes
    assert not kept & {note.told.kind for note in notes}
    assert [(item.keyed_since, item.notes) for item in items_of(place, "dan")] == [(1, ())] * 3
    assert {item.model_hash for item in items_of(place, "dan")[1:]} == {before[1].model_hash}
    assert items_of(place, "dan")[1].keyed_since == 1


def test_a_changed_file_rekeys_the_set_by_a_ruling(place: Path) -> None:
    """After it, late students are drawn from the changed file, and no note says otherwise."""
    hand_out(place / "class", place / "week-3.toml", now=NOW)
    meanwhile(place, "changed")
    mine = str(place / "models" / "mine.toml")
    make_ruling(
        place / "class",
        "week-3",
        RulingRequest("model", {"model": mine, "printed": "yes"}, "Less in one syringe."),
        now=NOW,
    )
    (place / "more.csv").write_text(f"{ROSTER}dan,Dan Dogwood,,,\n", encoding="utf-8")
    start_class(place / "class", place / "more.csv")
    assert hand_out(place / "class", place / "week-3.toml", now=NOW).notes == ()
    assert {item.model_version for item in items_of(place, "dan")[1:]} == {2}


def nothing_handed_out(place: Path) -> bool:
    """Whether the class has no set."""
    return not (place / "class" / "release").exists()


def test_a_file_that_is_not_there_is_named_with_the_blueprints_line(place: Path) -> None:
    """One sentence, and nothing is handed out."""
    meanwhile(place, "gone")
    with pytest.raises(BadInput, match=r"There is no file 'models/mine\.toml'") as caught:
        hand_out(place / "class", place / "week-3.toml", now=NOW)
    assert (caught.value.where, caught.value.line) == ("week-3.toml", line_of(BLUEPRINT, "models/mine"))
    assert nothing_handed_out(place)


def test_a_file_that_proof_refuses_is_refused_with_its_own_line(place: Path) -> None:
    """The same words as of `calclib items --prove`."""
    wrong = changed('of = "order / strength"', 'of = "order / strenght"')
    (place / "models" / "mine.toml").write_text(wrong, encoding="utf-8")
    with pytest.raises(BadInput, match="strenght") as caught:
        hand_out(place / "class", place / "week-3.toml", now=NOW)
    assert caught.value.where == "mine.toml"
    proved = CliRunner().invoke(calclib, ["items", "--prove", str(place / "models" / "mine.toml"), "--draws", "5"])
    assert caught.value.message in proved.output
    twice = wrong.replace("volume <= 3 mL", "volum <= 3 mL")
    (place / "models" / "mine.toml").write_text(twice, encoding="utf-8")
    with pytest.raises(BadInput, match=r"1 more: calclib items --prove mine\.toml"):
        hand_out(place / "class", place / "week-3.toml", now=NOW)
    assert nothing_handed_out(place)


def test_an_id_of_the_bank_with_another_text_is_refused(place: Path) -> None:
    """Records would not tell the two apart; a true copy of the bank's is taken."""
    path = place / "models" / "mine.toml"
    path.write_text(changed("own-syringe-volume", "drop-rate"), encoding="utf-8")
    with pytest.raises(BadInput, match="id of its own") as caught:
        hand_out(place / "class", place / "week-3.toml", now=NOW)
    assert (caught.value.where, caught.value.line) == ("mine.toml", 1)
    assert nothing_handed_out(place)
    path.write_text(item_model("drop-rate").text, encoding="utf-8")
    assert hand_out(place / "class", place / "week-3.toml", now=NOW).new == 3


def test_two_files_of_one_id_are_refused(place: Path) -> None:
    """One set can't hold two texts of one id."""
    (place / "models" / "second.toml").write_text(OTHER, encoding="utf-8")
    (place / "week-3.toml").write_text(f'{BLUEPRINT}\n[[items]]\nitem = "models/second.toml"\n', encoding="utf-8")
    with pytest.raises(CalclibError, match="another file of this blueprint"):
        hand_out(place / "class", place / "week-3.toml", now=NOW)


def test_a_name_of_a_part_is_one_that_records_and_cells_can_hold(place: Path) -> None:
    """A file of one's own reaches the database and the notebook now: at most 40 plain letters, as for other names."""
    wrong = changed('[[part]]\nname = "volume"', f'[[part]]\nname = "{"v" * 41}"')
    (place / "models" / "mine.toml").write_text(wrong, encoding="utf-8")
    with pytest.raises(BadInput, match="up to 40 lowercase letters"):
        hand_out(place / "class", place / "week-3.toml", now=NOW)
