"""`calclib items`, `draw` and `judge` for faculty: the catalogue, the proof, and models of their own."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from calclib.cli.main import calclib
from calclib.errors import BadInput
from calclib.models import bank
from calclib.proving.stem_notation import unsafe_notation
from tests.models.own_model import OWN_MODEL, changed, line_of

MODELS = ("drop-rate", "tablets-per-dose", "safe-dose-range")


@pytest.fixture
def own(tmp_path: Path) -> str:
    """The path of a model of one's own."""
    path = tmp_path / "mine.toml"
    path.write_text(OWN_MODEL, "utf-8")
    return str(path)


def run(*arguments: str) -> Result:
    """What the command prints; its own errors are raised."""
    result = CliRunner().invoke(calclib, arguments)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def test_the_catalogue_names_every_model() -> None:
    """The list has each model's id and skill, what it asks, and how much there is to do."""
    shown = run("items").output

    for model in bank().values():
        assert model.id in shown and model.skill in shown
        assert all(part.asked in shown for part in model.parts)
        assert f'(topic = "{model.topic}")' in shown
    assert len(re.findall(r"^ +[a-z ]+; \d+ steps?, [\d to]+ conversions?", shown, re.MULTILINE)) == len(bank())


def test_a_model_of_ones_own_is_proved(own: str) -> None:
    """A sound file is proved with exit code 0."""
    result = run("items", "--prove", own, "--draws", "20", "--jobs", "1")

    assert result.exit_code == 0
    assert "none falls short" in result.output


def test_what_falls_short_gives_exit_code_1(tmp_path: Path) -> None:
    """A file that falls short gives exit code 1, with the file, the line and the cause."""
    text = changed('of = "order / strength"', 'of = "order"')
    (tmp_path / "mine.toml").write_text(text, "utf-8")
    result = run("items", "--prove", str(tmp_path / "mine.toml"), "--draws", "5")

    assert result.exit_code == 1
    line = line_of(text, "[[step]]")
    assert (
        f"mine.toml, line {line}: step volume gives mg, but its unit is mL: did you leave out the conc" in result.output
    )


def test_a_damaged_file_is_explained(tmp_path: Path) -> None:
    """A file that can't be read falls short in the table of a proof, and is refused by the other commands."""
    text = changed('kind = "mixture"\n', "")
    path = tmp_path / "mine.toml"
    path.write_text(text, "utf-8")
    place = f"mine.toml, line {line_of(text, '[given.strength]')}: “kind” is missing"

    proof = run("items", "--prove", str(path))
    assert proof.exit_code == 1 and place in proof.output
    for arguments in (("items", "--try"), ("draw",), ("judge",)):
        with pytest.raises(BadInput) as caught:
            run(*arguments, str(path))
        assert place in str(caught.value)


def test_ten_draws_are_shown(own: str) -> None:
    """A trial shows ten draws, each with its solution and the answer to which each mistake leads."""
    shown = run("items", "--try", own).output

    assert shown.count("On hand:") == 10
    assert shown.count("Answer: ") >= 10
    assert shown.count("Mistakes that are looked for") == 10
    assert re.search(r"^    [\d,.]+ mL: the .* left out$", shown, re.MULTILINE)
    assert not [found for line in shown.splitlines() for found in unsafe_notation(line)]


def test_a_model_of_ones_own_is_drawn_and_judged(own: str) -> None:
    """Draw and judge take the path of a file in the place of an id."""
    drawn = json.loads(run("draw", own, "--seed", "7", "--json").output)
    judged = json.loads(run("judge", own, "--seed", "7", "--answer", drawn["parts"][0]["answer"], "--json").output)

    assert drawn["item"] == "own-syringe-volume"
    assert judged["parts"][0]["right"] is True


def test_programs_can_not_name_files(own: str) -> None:
    """The line-by-line judge takes ids only: who sends it requests can't make it read files."""
    result = CliRunner().invoke(calclib, ["judge", "-"], input=json.dumps({"id": 1, "item": own}) + "\n")

    assert "there is no item model" in json.loads(result.output)["error"]


@pytest.mark.parametrize("name", ["missing.toml", "folder.toml", "latin.toml"])
def test_what_is_no_file_of_text_is_refused(tmp_path: Path, name: str) -> None:
    """A path that is missing, a folder, or no UTF-8 gives one sentence."""
    (tmp_path / "folder.toml").mkdir()
    (tmp_path / "latin.toml").write_bytes(OWN_MODEL.encode().replace(b"IM once", b"IM once \xe9"))
    with pytest.raises(BadInput, match=r"no such file|UTF-8"):
        run("items", "--prove", str(tmp_path / name))


class Page(HTMLParser):
    """What the tests look at in a page: its tags, its attributes, its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.text = ""
        self.hidden = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag."""
        self.tags.append(tag)
        values = dict(attrs)
        self.hidden = tag in ("style", "title", "script")
        if values.get("id"):
            self.ids.append(str(values["id"]))
        if values.get("href"):
            self.links.append(str(values["href"]))

    def handle_endtag(self, tag: str) -> None:
        """Note the end of a tag."""
        self.hidden = False
        self.text += "\n"

    def handle_data(self, data: str) -> None:
        """Note what is shown."""
        if not self.hidden:
            self.text += data


@pytest.fixture
def page(tmp_path: Path) -> Page:
    """The catalogue page of some models."""
    path = tmp_path / "catalogue.html"
    run("items", *MODELS, "--page", str(path))
    return Page(path.read_text("utf-8"))


def test_the_page_is_folded_and_whole(page: Page) -> None:
    """Every topic and every kind stands in it folded, each with an id of its own; it loads nothing."""
    assert page.tags.count("script") == 1
    assert page.tags.count("details") == page.tags.count("summary") == len(MODELS) + 3
    assert len(page.ids) == len(set(page.ids))
    assert set(MODELS) <= set(page.ids)
    assert page.links == []


def test_the_page_runs_no_script_but_its_own(tmp_path: Path) -> None:
    """Its policy names the one script by the hash of its text."""
    path = tmp_path / "catalogue.html"
    run("items", *MODELS, "--page", str(path))
    text = path.read_text("utf-8")
    script = text.partition("<script>")[2].partition("</script>")[0]
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"default-src 'none'; style-src 'unsafe-inline'; img-src data:; script-src 'sha256-{digest}'" in text


def test_the_page_has_headings_in_order(page: Page) -> None:
    """Headings go down one level at a time, and tables have captions and headed columns."""
    levels = [int(tag[1]) for tag in page.tags if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))
    assert page.tags.count("caption") == page.tags.count("table")


def test_the_page_shows_what_faculty_choose_by(page: Page) -> None:
    """Sample, solution, mistakes and sources are there, and what is from memory says so."""
    for name in MODELS:
        model = bank()[name]
        assert model.title in page.text and model.skill in page.text
        assert all(part.asked in page.text for part in model.parts if "{" not in part.asked)
    assert page.text.count("Mistakes that are looked for") == sum(len(bank()[name].parts) for name in MODELS)
    assert "from memory" in page.text and "[1]" in page.text
    assert not re.search(r"[{}]|None|Fraction\(", page.text)


def test_markup_of_a_stranger_gets_onto_no_page(tmp_path: Path) -> None:
    """A file with markup in its texts is refused before anything is made of it."""
    path = tmp_path / "mine.toml"
    path.write_text(changed("Volume for a syringe", "<script>alert(1)</script>"), "utf-8")
    with pytest.raises(BadInput, match=r"line 3.*HTML"):
        run("items", str(path), "--page", str(tmp_path / "page.html"))
    assert not (tmp_path / "page.html").exists()


def test_a_program_has_all_that_it_compares() -> None:
    """A drawn part carries exact value, key, answer, unit and accepted answers, with values given as books do."""
    drawn = json.loads(
        run(
            "draw", "tablets-per-dose", "--given", "order=0.25 mg", "--given", "strength=125 mcg tablets", "--json"
        ).output
    )
    part = drawn["parts"][0]

    assert drawn["policy"] == "by-size"
    assert drawn["givens"]["strength"] == "125 mcg/tablet"
    assert (part["exact"], part["key"], part["answer"], part["unit"]) == ("2", "2", "2 tablets", "tablet")
    assert part["accepted"][0]["low"] == part["accepted"][0]["high"] == "2"


def test_a_wrong_value_is_answered_with_forms() -> None:
    """A value that does not fit gives one sentence with forms that do."""
    with pytest.raises(BadInput) as caught:
        run("draw", "titrated-rate", "--given", "dose=5 mg")

    assert "write it like “5 mcg/kg/min”" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_help_shows_forms_of_values() -> None:
    """The help of draw shows how values are written, and each of them can be drawn."""
    shown = run("draw", "--help").output

    for text in ("q8h", "in 3 divided doses", "7:30 pm", "50 mg scored tablets", "5 ft 4 in"):
        assert text in shown


def test_models_are_found_by_words() -> None:
    """The catalogue can be narrowed to the models that speak of all of some words; none is an error."""
    found = [json.loads(line)["item"] for line in run("items", "--find", "Drop rate", "--json").output.splitlines()]

    assert {"drop-rate", "drop-rate-from-hourly-rate"} <= set(found)
    assert len(found) < len(bank()) / 4
    with pytest.raises(BadInput, match="no item model mentions “zebra”"):
        run("items", "--find", "zebra")
