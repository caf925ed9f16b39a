import json
import re
import shutil
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner
from nbgrader.api import Gradebook
from sqlalchemy import select

from calclib.class_files import class_folder
from calclib.cli.main import calclib
from calclib.errors import BadInput
from calclib.items import item_from_record
from calclib.judging_papers import RulingRequest, make_ruling, mark
from calclib.models import bank, item_model, read_item_model
from calclib.pages import explanation, waiting, write_feedback, write_report
from calclib.records import SealedItem, history_of, in_force, reading, rulings_of, sealed_paper
from calclib.records.frozen.frozen_texts import frozen_text
from calclib.records.people import pseudonyms
from calclib.records.tables import HISTORY, ITEM, REKEYED
from calclib.releasing import hand_out, start_class
from calclib.releasing.further_attempts.another_attempt import give_another_attempt
from calclib.wording import sentence
from tests.plugins.test_stock_autograde import autograde
from tests.small_class.gradebook_rows import gradebook_rows
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

SET, NAME, PLACE = "week-3", "secondary-infusion-entries", 3
HandIn = Callable[..., Path]
Answers = dict[str, str]

# Version 1 left the drug's volume out of the rate; the bank's version has it right.
GOOD = item_model(NAME)
NEXT = GOOD.version + 1
OF_BANK = f"\nversion = {GOOD.version}\n"
WRONG = GOOD.text.replace(OF_BANK, "\nversion = 1\n", 1).replace('of = "total / time"', 'of = "bag / time"')
WHY = "The added volume runs in too."


def class_with_wrong_keys(place: Path, secret: str) -> Path:
    """A class of three to whom a set with the wrong version was handed out, the same draws for the same secret."""
    (place / "roster.csv").write_text(ROSTER, encoding="utf-8")
    blueprint = BLUEPRINT.replace("cut_score", "attempts = 2\ncut_score")
    (place / f"{SET}.toml").write_text(blueprint, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        # The package's own name `bank` is the function, not the module that item_model looks into.
        wrong = {**bank(), NAME: read_item_model(WRONG, "wrong.toml")}
        patch.setattr(import_module("calclib.models.bank"), "bank", lambda: wrong)
        patch.setattr(import_module("calclib.models.bank"), "known_model", wrong.get)
        patch.setattr("secrets.token_hex", lambda count: secret * count)
        start_class(place / "class", place / "roster.csv")
        hand_out(place / "class", place / f"{SET}.toml", now=NOW)
    return place / "class"


@pytest.fixture(scope="module")
def made_class(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The class in which every draw is fair by the corrected model too; never changed by a test."""
    return class_with_wrong_keys(tmp_path_factory.mktemp("wrong"), "5a")


@pytest.fixture
def corrected(tmp_path: Path) -> Path:
    """The bank's version in a file of one's own."""
    path = tmp_path / "corrected.toml"
    path.write_text(GOOD.text.replace(OF_BANK, f"\nversion = {NEXT}\n", 1), encoding="utf-8")
    return path


def wish(model: Path | str = NAME, printed: str = "yes") -> RulingRequest:
    """The ruling that the set is keyed by a corrected model."""
    return RulingRequest("model", {"model": str(model), "printed": printed}, WHY)


def item_of(folder: Path, student: str, attempt: int = 1) -> SealedItem:
    """A student's item of the wrong model, as it is keyed now."""
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, SET, pseudonyms(connection)[student], attempt)
    assert paper is not None
    return paper.items[PLACE - 1]


def truth(folder: Path, student: str) -> Answers:
    """The right volume, rate and time by hand: bag and drug over the time ordered."""
    stated = {given.name: given.text for given in item_from_record(item_of(folder, student).record).givens}
    bag, added = (float(stated[name].removesuffix(" mL")) for name in ("bag", "added"))
    number, unit = stated["time"].split(" ")
    minutes = float(number) * (60 if unit == "h" else 1)
    total = bag + added
    rounded = [int(value + 0.5) for value in (total, total * 60 / minutes, minutes)]
    return {"answer_3": f"{rounded[0]} mL", "answer_4": f"{rounded[1]} mL/h", "answer_5": f"{rounded[2]} min"}


def score(folder: Path, student: str) -> float:
    """The score as nbgrader adds it up."""
    with Gradebook(class_folder(folder).gradebook_url) as gradebook:
        return float(gradebook.find_submission(SET, student).score)


def events(folder: Path, event: str) -> list[dict[str, object]]:
    """What the history says of some event."""
    with reading(class_folder(folder)) as connection:
        rows = connection.execute(select(HISTORY.c.detail).where(HISTORY.c.event == event).order_by(HISTORY.c.id))
        return [json.loads(row.detail) for row in rows]


@pytest.mark.parametrize("by_file", [True, False], ids=["a file", "the bank's version"])
def test_who_had_it_right_gains_and_nobody_loses(
    folder: Path, hand_in: HandIn, keys: dict[str, Answers], corrected: Path, by_file: bool
) -> None:
    """Ben and Cat counted the added volume, Ann followed the key that went out; a preview changes nothing."""
    right = {student: truth(folder, student) for student in keys}
    assert all(right[student]["answer_4"] != keys[student]["answer_4"] for student in keys)
    hand_in("ann", keys["ann"])
    for student in ("ben", "cat"):
        hand_in(student, keys[student] | right[student])
    mark(folder, SET, now=NOW)
    before = {student: score(folder, student) for student in keys}
    assert (before["ann"], max(before["ben"], before["cat"])) == (12, 10)
    ruling = wish(corrected if by_file else NAME)
    tried = make_ruling(folder, SET, ruling, now=NOW, preview=True)
    assert {(one.student.id, float(one.after)) for one in tried.marked.changes} == {("ben", 12), ("cat", 12)}
    assert {student: score(folder, student) for student in keys} == before
    assert (item_of(folder, "ann").model_version, events(folder, "rekeyed")) == (1, [])
    done = make_ruling(folder, SET, ruling, now=NOW)
    assert (done.marked.changes, done.keys) == (tried.marked.changes, tried.keys)
    assert [score(folder, student) for student in keys] == [12, 12, 12]
    version = NEXT if by_file else GOOD.version
    assert item_of(folder, "ann").model_version == version
    told = {(one.part, one.students, one.of) for one, _ in done.keys}
    assert told >= {("volume to be infused", 0, 3), ("secondary rate", 3, 3)}, told


def test_instead_who_followed_the_wrong_key_loses(folder: Path, hand_in: HandIn, keys: dict[str, Answers]) -> None:
    """The preview names each loss and the answer; withdrawing the ruling gives it back."""
    for student, answers in keys.items():
        hand_in(student, answers)
    mark(folder, SET, now=NOW)
    changes = make_ruling(folder, SET, wish(printed=""), now=NOW, preview=True).marked.changes
    assert {one.student.id for one in changes} == set(keys)
    assert {(answer.slot, answer.part) for one in changes for answer in one.answers} >= {(PLACE, "rate")}
    make_ruling(folder, SET, wish(printed=""), now=NOW)
    assert all(score(folder, one.student.id) == float(one.after) < 12 for one in changes)
    make_ruling(folder, SET, RulingRequest("withdraw", {"number": "1"}, "It was right."), now=NOW)
    assert [score(folder, student) for student in keys] == [12, 12, 12]
    assert item_of(folder, "ann").model_version == 1


def test_the_corrected_key_survives_marking_again(folder: Path, hand_in: HandIn, keys: dict[str, Answers]) -> None:
    """By us and by nbgrader, row for row, also for who hands in later; nothing is keyed twice, other problems not."""
    hand_in("ben", keys["ben"] | truth(folder, "ben"))
    mark(folder, SET, now=NOW)
    make_ruling(folder, SET, wish(), now=NOW)

    def recorded() -> list[tuple[object, ...]]:
        with reading(class_folder(folder)) as connection:
            return [tuple(row) for table in (ITEM, REKEYED) for row in connection.execute(select(table))]

    before = recorded()
    hand_in("cat", keys["cat"] | truth(folder, "cat"))
    mark(folder, SET, now=NOW)
    rows = gradebook_rows(class_folder(folder))
    assert autograde(folder, force=True) == [True, True]
    assert gradebook_rows(class_folder(folder)) == rows
    assert (score(folder, "ben"), score(folder, "cat"), recorded()) == (12, 12, before)
    with reading(class_folder(folder)) as connection:
        assert connection.execute(select(REKEYED.c.slot)).scalars().all() == [PLACE] * 3


def test_what_was_handed_out_stays(folder: Path, hand_in: HandIn, keys: dict[str, Answers]) -> None:
    """A notebook that is written again is the same, and marking takes it for the student's own."""
    path = class_folder(folder).rendered(SET, "ann")
    before = path.read_bytes()
    make_ruling(folder, SET, wish(), now=NOW)
    path.unlink()
    assert hand_out(folder, SET, now=NOW).new == 0
    assert path.read_bytes() == before
    hand_in("ann", keys["ann"])
    assert mark(folder, SET, now=NOW).aside == ()
    assert score(folder, "ann") == 12


def test_who_comes_later_is_drawn_by_the_corrected_model(
    folder: Path, hand_in: HandIn, keys: dict[str, Answers], corrected: Path
) -> None:
    """A student who joins, and another attempt, though the bank has another version; both keep their marks."""
    make_ruling(folder, SET, wish(corrected), now=NOW)
    roster = folder / "roster.csv"
    roster.write_text(roster.read_text(encoding="utf-8") + "dan,Dan Dogwood,,,\n", encoding="utf-8")
    assert hand_out(folder, SET, now=NOW).new == 1
    assert item_of(folder, "dan").model_version == NEXT
    hand_in("dan", truth(folder, "dan"))
    hand_in("ann", keys["ann"] | {"answer_1": ""})
    mark(folder, SET, now=NOW)
    assert (score(folder, "dan"), score(folder, "ann")) == (6, 11)
    assert item_of(folder, "dan").keyed_since == 0
    assert give_another_attempt(folder, SET, now=NOW, students=["ann"]).given[0][1] == 2
    assert [item_of(folder, "ann", attempt).model_version for attempt in (1, 2)] == [NEXT, NEXT]
    assert make_ruling(folder, SET, RulingRequest("withdraw", {"number": "1"}, "No."), now=NOW).marked.changes == ()


def test_a_later_version_of_the_bank_is_recorded_with_who_comes_later(folder: Path, hand_in: HandIn) -> None:
    """Without any ruling: what is drawn by the bank's present version can be re-keyed, and carried forward."""
    roster = folder / "roster.csv"
    roster.write_text(roster.read_text(encoding="utf-8") + "dan,Dan Dogwood,,,\n", encoding="utf-8")
    hand_out(folder, SET, now=NOW)
    item = item_of(folder, "dan")
    assert item.model_version == GOOD.version
    with reading(class_folder(folder)) as connection:
        assert frozen_text(connection, item.model_hash) == GOOD.text
    hand_in("dan", truth(folder, "dan"))
    mark(folder, SET, now=NOW)
    versions = events(folder, "marked")[-1]["models"]
    assert isinstance(versions, dict)
    assert re.fullmatch(f"v1 [0-9a-f]{{12}} and v{GOOD.version} [0-9a-f]{{12}}", versions[NAME])


def test_a_mistake_is_carried_forward_by_the_model_that_went_out(
    folder: Path, hand_in: HandIn, keys: dict[str, Answers]
) -> None:
    """Whoever went wrong in the volume and followed the model that was handed out from there on loses nothing."""
    hand_in("ann", keys["ann"] | {"answer_3": "80 mL"})
    mark(folder, SET, now=NOW)
    before = score(folder, "ann")
    assert make_ruling(folder, SET, wish(), now=NOW).marked.changes == ()
    assert score(folder, "ann") == before


def test_explanation_feedback_report_and_history_say_so(
    folder: Path, hand_in: HandIn, keys: dict[str, Answers], corrected: Path
) -> None:
    """With the ruling's number, day, reason and both versions; of other problems nothing is said."""
    hand_in("ann", keys["ann"])
    mark(folder, SET, now=NOW)
    make_ruling(folder, SET, wish(corrected), now=NOW)
    said = f"Problem {PLACE} is re-keyed, by version {NEXT} of “{NAME}” in place of version 1; "
    said += "what is right by the key that was handed out stays right."
    text = explanation(folder, SET, "ann", PLACE).replace("\n    ", " ").replace("secondary- ", "secondary-")
    text = " ".join(text.replace("infusion- ", "infusion-").split())
    assert "Re-keyed by ruling 1, from the numbers that were handed out." in text
    assert f"Accepted: {truth(folder, 'ann')['answer_4']}, by this way:" in text
    assert "It agrees with: re-keyed, the key that was handed out, of version 1." in text
    assert text.count(f"{said} Reason: {WHY}") == 4
    assert "e-keyed" not in explanation(folder, SET, "ann", 1).partition("What was done")[0]
    write_feedback(folder, SET)
    page = class_folder(folder).feedback(SET, "ann").read_text(encoding="utf-8")
    assert page.count(f"Ruling of November 25, 2026: {said} {WHY}") == 3
    assert said in write_report(folder, SET).read_text(encoding="utf-8")
    assert said in waiting(folder, SET).text
    with reading(class_folder(folder)) as connection:
        (line,) = (line for line in history_of(connection, SET) if "re-keyed: " in line)
    assert re.search(rf"items 3, models {NAME} v1 to v{NEXT} [0-9a-f]{{12}}, ruling 1, not fair 0$", line)


def test_rulings_on_rounding_and_model_hold_together(folder: Path, hand_in: HandIn, keys: dict[str, Answers]) -> None:
    """Each way of the four is right; taking one ruling back leaves what the other makes of the set alone."""
    rate = 4
    tenths = RulingRequest("rounding", {"policy": "tenths", "printed": "yes"}, "We teach tenths.")
    twins = {}
    for name, wishes in (("rounding", [tenths]), ("model", [wish()]), ("both", [tenths, wish()])):
        twins[name] = Path(shutil.copytree(folder, folder.parent / name))
        for one in wishes:
            make_ruling(twins[name], SET, one, now=NOW)
    found = {
        name: item_from_record(item_of(place, "ann").record).part("rate").answer
        for name, place in (*twins.items(), ("neither", folder))
    }
    for answer in found.values():
        hand_in("ann", keys["ann"] | {f"answer_{rate}": answer})
        shutil.copytree(folder / "submissions", twins["both"] / "submissions", dirs_exist_ok=True)
        mark(twins["both"], SET, now=NOW)
        assert score(twins["both"], "ann") == 12, answer
    text = " ".join(explanation(twins["both"], SET, "ann", PLACE).split())
    assert "Re-keyed by ruling 1 and ruling 2, from the numbers that were handed out." in text
    make_ruling(twins["both"], SET, RulingRequest("withdraw", {"number": "1"}, "Wholes after all."), now=NOW)
    for student in keys:
        assert item_of(twins["both"], student).record == item_of(twins["model"], student).record
    make_ruling(twins["both"], SET, RulingRequest("withdraw", {"number": "2"}, "The key was right."), now=NOW)
    for student in keys:
        assert item_of(twins["both"], student) == item_of(folder, student)


def test_a_problem_that_isnt_fair_is_named(tmp_path: Path) -> None:
    """With its student; what each way leads to is right, and the old answer, though it no longer counts elsewhere."""
    folder = class_with_wrong_keys(tmp_path, "07")
    tried = make_ruling(folder, SET, wish(printed=""), now=NOW, preview=True)
    (note,) = tried.notes
    assert note.problem == PLACE
    assert f"” is not fair by version {GOOD.version} of the item model: " in sentence(note.told)
    old = item_from_record(item_of(folder, note.student.id).record).part("rate").answer
    make_ruling(folder, SET, wish(printed=""), now=NOW)
    new = item_from_record(item_of(folder, note.student.id).record).part("rate").answer
    assert old in sentence(note.told) and new in sentence(note.told)
    assert item_of(folder, note.student.id).notes == (note.told,)


def changed(*changes: tuple[str, str]) -> str:
    """The corrected file with texts changed that it must hold."""
    text = GOOD.text.replace(OF_BANK, f"\nversion = {NEXT}\n", 1)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


REFUSED: dict[str, tuple[str, str]] = {
    "another model": (changed((f'id = "{NAME}"', 'id = "mine"')), "no problem of the item model “mine”.*drop-rate, "),
    "the same version number": (
        changed((f"\nversion = {NEXT}\n", "\nversion = 1\n")),
        "version 1 of .* was handed out.*version = 2",
    ),
    "nothing changed": (WRONG, "drawn from this very version 1"),
    "a given renamed": (
        changed(("[given.added]", "[given.extra]"), ("{added}", "{extra}"), ("+ added", "+ extra")),
        "lacks the given “added”",
    ),
    "a part renamed": (
        changed(('name = "time"\nasks', 'name = "shown"\nasks')),
        "lacks the part “time”",
    ),
    "another unit": (
        changed(('unit = "min"\nrounding = "duration_min"', 'unit = "h"\nrounding = "duration_h"')),
        f"Problem {PLACE} of (ann|ben|cat): .*“time” differently.*its unit was min, and now is h",
    ),
    "numbers that it can't read": (
        changed(('kind = "duration"\nunit = "min"', 'kind = "volume"\nunit = "mL"')),
        "corrected.toml, line [0-9]+: ",
    ),
    "code": (changed(('"bag + added"', "\"__import__('os')\"")), "corrected.toml, line 4[0-9]: step total: "),
    "no TOML": ("version = = 3", "corrected.toml, line 1: "),
    "an unsafe text": (changed(("Your unit", "QD your unit")), "corrected.toml, line 1[0-9]: "),
    "a page of brackets": ("a = " + "[" * 5_000, "corrected.toml"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_file_that_cant_key_the_set_is_refused(folder: Path, corrected: Path, name: str) -> None:
    """In one sentence that names what differs, or the line that is wrong; nothing is recorded."""
    text, said = REFUSED[name]
    corrected.write_text(text, encoding="utf-8")
    rows = gradebook_rows(class_folder(folder))
    with pytest.raises(BadInput, match=said) as caught:
        make_ruling(folder, SET, wish(corrected), now=NOW)
    assert "\n" not in str(caught.value)
    assert gradebook_rows(class_folder(folder)) == rows
    assert events(folder, "ruled") == []


def test_names_that_are_no_model_are_refused(folder: Path, corrected: Path) -> None:
    """A file that isn't there, a folder, bytes that are no text, an unknown id."""
    corrected.write_bytes(b"id = \xff")
    for model in (corrected, corrected.with_name("none.toml"), corrected.parent, "dose-by-wait"):
        with pytest.raises(BadInput):
            make_ruling(folder, SET, wish(model), now=NOW)
    with pytest.raises(BadInput, match="every problem of the item model"):
        make_ruling(folder, SET, RulingRequest("model", {"model": NAME, "printed": "yes"}, WHY, problem=PLACE), now=NOW)
    with reading(class_folder(folder)) as connection:
        assert in_force(rulings_of(connection, SET)) == ()


def test_the_command_shows_first_and_then_does_it(
    folder: Path, hand_in: HandIn, keys: dict[str, Answers], corrected: Path
) -> None:
    """`calclib rule --model`: whose key is another, who gains and who loses with --instead; then the ruling."""
    hand_in("ann", keys["ann"])
    hand_in("ben", keys["ben"] | truth(folder, "ben"))
    mark(folder, SET, now=NOW)
    words = ["rule", str(folder), SET, "--model", str(corrected), "--reason", WHY]
    run = CliRunner().invoke(calclib, [*words, "--instead", "--preview"])
    assert run.exit_code == 0, run.output
    assert re.search(
        rf"Problem {PLACE}b?, secondary rate: 3 of 3 students have another key, such as .*: [\d,]+ mL/h to", run.output
    )
    assert "1 student gains, 1 loses:" in run.output
    assert "the key that was handed out no longer counts" in run.output
    assert "Nothing was changed: this was a preview." in run.output
    run = CliRunner().invoke(calclib, [*words, "--yes"])
    assert run.exit_code == 0, run.output
    assert "Ruling 1 is recorded; 1 student has other marks." in run.output
