"""What takes the place of a problem that went wrong, by commands as faculty give them."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.models import bank
from calclib.records import reading, sealed_paper
from calclib.records.people import pseudonyms
from tests.cli.test_faculty_commands import run
from tests.cli.test_whole_term import CLOCK, NAME, ORDER, done, keys_of, page_of, percents, report_of, send, soon

NOT_CREDITED = "Problem 1 was credited to everyone, so it isn't asked again"


@pytest.fixture
def start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Path]:
    """Hands out an exam of one line and lets Ann hand in a blank one, which is marked and credited."""
    monkeypatch.chdir(tmp_path)
    from tests.cli.test_whole_term import start as whole

    begin = whole.__wrapped__(tmp_path, monkeypatch)

    def started(line: str, top: str = "") -> Path:
        order = ORDER.replace("attempts = 2", "attempts = 5").partition("[appeal]")[0]
        folder = begin(f"{order}{top}\n[[items]]\n{line}\n")
        return credited(folder)

    return started


def credited(folder: Path, attempt: int = 1) -> Path:
    """Ann hands in nothing, and everyone is credited with the problem."""
    send(folder, "ann", {}, soon())
    done("mark", str(folder), NAME, "--yes")
    done("rule", str(folder), NAME, "--problem", "1", "--credit-all", "--reason", "Unclear.", "--yes")
    return folder


def replaced(folder: Path, *more: str) -> str:
    """The item model that takes the place now."""
    (model,) = re.findall(r"Problem 1 is “(.*?)” in this attempt", done("again", str(folder), NAME, *more))
    return str(model)


def refused(folder: Path, *more: str) -> str:
    """What is said where no attempt is given."""
    found = run("again", str(folder), NAME, *more)
    assert found.exit_code == 1
    return str(found.exception)


def own_model(of: str, name: str) -> str:
    """A file of faculty's own: an item model of the bank under another id."""
    Path("mine.toml").write_text(bank()[of].text.replace(f'id = "{of}"', f'id = "{name}"'), encoding="utf-8")
    return "mine.toml"


def test_another_of_the_topic_takes_the_place_though_its_parts_have_other_names(start: Callable[..., Path]) -> None:
    """As many answers of the same kinds; what is right counts in full, and it is explained, reported and re-keyed."""
    folder = start('item = "surface-dose"')
    other = replaced(folder)
    parts = {name: [part.name for part in bank()[name].parts] for name in ("surface-dose", other)}
    assert parts["surface-dose"] != parts[other]
    assert len(parts["surface-dose"]) == len(parts[other]) == 2
    right = keys_of(folder, "ann", 2)
    send(folder, "ann", right, soon())
    done("mark", str(folder), NAME, "--yes")
    done("rule", str(folder), NAME, "--withdraw", "1", "--reason", "To see the second.", "--yes")
    assert percents(folder) == {"ann": 100}
    assert_titles(folder, bank()["surface-dose"].title, bank()[other].title)
    assert right["answer_2"] in done("explain", str(folder), NAME, "ann", "1")
    assert right["answer_2"] in page_of(folder, "ann")
    assert "1: 0%, 2: 100% (counts)" in report_of(folder)
    done("rule", str(folder), NAME, "--rounding", "tenths", "--reason", "We teach tenths.", "--yes")
    assert percents(folder) == {"ann": 100}


def assert_titles(folder: Path, first: str, second: str) -> None:
    """The row of an answer has the title of the problem that the student had; what speaks of the place names both."""
    done("export", str(folder), NAME, "--to", "answers.csv", "--answers")
    rows = Path("answers.csv").read_text(encoding="utf-8-sig").splitlines()
    assert all(second in row and first not in row for row in rows if row.startswith("ann,"))
    done("export", str(folder), NAME, "--to", "students.csv")
    assert f"1. {first}; {second}" in Path("students.csv").read_text(encoding="utf-8-sig").splitlines()[0]
    assert f"Problem 1, {first} (in later attempts: {second})" in report_of(folder)


def test_the_blueprint_names_what_takes_the_place_and_it_stays(start: Callable[..., Path]) -> None:
    """A file of faculty's own, as it was when it was handed out; in a third attempt it stands there again."""
    name = own_model("newborn-dose", "my-newborn")
    folder = start(f'item = "newborn-dose"\nreplacement = "{name}"')
    Path(name).unlink()
    assert replaced(folder) == "my-newborn"
    send(folder, "ann", {}, soon())
    done("mark", str(folder), NAME, "--yes")
    assert replaced(folder) == "my-newborn"
    right = keys_of(folder, "ann", 3)
    send(folder, "ann", right, soon())
    done("mark", str(folder), NAME, "--yes")
    done("rule", str(folder), NAME, "--withdraw", "1", "--reason", "To see the third.", "--yes")
    assert right["answer_1"] in done("explain", str(folder), NAME, "ann", "1")


def test_what_took_the_place_and_went_wrong_too_gives_way(start: Callable[..., Path]) -> None:
    """To another that the set didn't have yet, never to the first again."""
    folder = start('item = "surface-dose"')
    second = replaced(folder)
    credited(folder, 2)
    third = replaced(folder)
    assert len({"surface-dose", second, third}) == 3


def test_where_nothing_is_alike_it_is_said_and_any_of_as_many_answers_may_be_named(start: Callable[..., Path]) -> None:
    """Of another topic and with answers of other kinds, or a file of one's own; not one of more or fewer answers."""
    folder = start('item = "newborn-dose"')
    said = refused(folder)
    assert NOT_CREDITED in said
    assert "no problem like it is left (a number, a number)" in said
    assert "--replace 1=ITEM, or a file of yours" in said
    said = refused(folder, "--replace", "1=case-sepsis-child")
    assert "asks for 5, and problem 1 has room for 2." in said
    assert "There is no item model 'nothing' in the bank" in refused(folder, "--replace", "1=nothing")
    taken = own_model("pump-rate", "drop-rate")
    assert "has room for 2." in refused(folder, "--replace", f"1={taken}")
    taken = own_model("surface-dose", "drop-rate")
    assert "the id “drop-rate” is that of one that ships with calclib" in refused(folder, "--replace", f"1={taken}")
    assert replaced(folder, "--replace", "1=choose-syringe") == "choose-syringe"
    right = keys_of(folder, "ann", 2)
    send(folder, "ann", right, soon())
    done("mark", str(folder), NAME, "--yes")
    done("rule", str(folder), NAME, "--withdraw", "1", "--reason", "To see the second.", "--yes")
    assert percents(folder) == {"ann": 100}


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("newborn-dose", "The replacement “newborn-dose” is the problem itself: name another."),
        (
            "case-sepsis-child",
            "“case-sepsis-child” is 5, and that of “newborn-dose”, whose place it would take, 2: name another",
        ),
        ("newborn-dos", "There is no item model 'newborn-dos': did you mean 'newborn-dose'?"),
        ("gone.toml", "There is no file 'gone.toml' in the folder of this blueprint"),
    ],
)
def test_a_replacement_that_cannot_be_is_refused_with_its_line(
    name: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, start: Callable[..., Path]
) -> None:
    """Before anything goes out: also in the preview."""
    folder = start('item = "newborn-dose"')
    order = Path("exam.toml").read_text(encoding="utf-8").replace(NAME, "exam-2")
    Path("other.toml").write_text(f'{order}replacement = "{name}"\n', encoding="utf-8")
    for more in ((), ("--preview",)):
        found = run("hand-out", str(folder), "other.toml", *more)
        assert found.exit_code == 1
        assert said in str(found.exception)


def test_reviewed_problems_give_way_to_reviewed_ones(start: Callable[..., Path]) -> None:
    """Where the blueprint asks for reviewed problems, none that nobody has reviewed comes in by the back door."""
    of = [name for name, model in bank().items() if model.topic == "body_surface" and len(model.parts) == 2]
    only = ("surface-dose", next(name for name in sorted(of) if name != "surface-dose"))
    drugs = {drug for name in only for drug in bank()[name].formulary}
    lines = [f'[[model]]\nid = "{name}"\nversion = {bank()[name].version}' for name in only]
    lines += [f'[[drug]]\nname = "{drug}"' for drug in sorted(drugs)]
    review = "".join(f'{line}\nby = "A. Reviewer"\non = "2030-01-01"\n' for line in lines)
    Path("reviews.toml").write_text(review, encoding="utf-8")
    folder = start('item = "surface-dose"', "reviewed = true\n")
    Path("reviews.toml").unlink()
    assert "asks for reviewed problems: nobody has reviewed version" in refused(folder, "--replace", "1=divided-doses")
    assert replaced(folder) == only[1]
    with reading(class_folder(folder)) as connection:
        paper = sealed_paper(connection, NAME, pseudonyms(connection)["ann"], 2)
    assert paper is not None
    assert paper.items[0].model_id == only[1]
    credited(folder, 2)
    assert "no reviewed problem like it is left (a number, a number)" in refused(folder)
    assert CLOCK["now"].year == 2030


@pytest.mark.parametrize("due", ["9999-12-31T23:59:59-14:00", "0001-01-01T00:00:00+14:00", "2030-06-03T12:00:00"])
def test_a_due_time_that_no_clock_reaches_is_refused(start: Callable[..., Path], due: str) -> None:
    """Before anything is drawn, as in a blueprint: a year beyond every calendar can't be turned into UTC."""
    folder = start('item = "surface-dose"')
    assert "--due takes a date and time with the UTC offset" in refused(folder, "--due", due)
