"""`calclib formulary`."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from calclib.cli.commands.formulary import formulary
from calclib.errors import BadInput


def test_a_drug_is_shown_with_the_source_of_each_figure() -> None:
    """A figure ends with the number of its source, or says that it is from memory; the sources follow."""
    done = CliRunner().invoke(formulary, ["amikacin"])

    lines = [line.split() for line in done.output.splitlines()]
    assert done.exit_code == 0
    assert ["a", "day,", "at", "most", "1,500", "mg/day", "[1]"] in lines
    assert ["concentration,", "at", "most", "10", "mg/mL", "from", "memory"] in lines
    assert (
        "[1] US FDA, US prescribing information, amikacin sulfate injection, Intramuscular Administration"
        in done.output
    )
    assert "Nobody has reviewed this drug yet." in done.output


def test_the_list_counts_what_rests_on_memory() -> None:
    """Each drug has a line, and the last says how many figures there are and how many are from memory."""
    done = CliRunner().invoke(formulary, [])

    assert "  lorazepam " in done.output
    assert "100% from memory, not reviewed" in done.output
    assert "0 of them reviewed" in done.output.splitlines()[-1]


def test_an_unknown_drug_is_one_sentence() -> None:
    """A name that nobody knows is answered with the nearest."""
    done = CliRunner().invoke(formulary, ["vancomycine"])

    assert isinstance(done.exception, BadInput)
    assert str(done.exception) == "the formulary has no drug “vancomycine”; did you mean vancomycin?"


def test_a_page_marks_what_is_from_memory(tmp_path: Path) -> None:
    """The page names each drug, the source of each figure, and the share from memory; it holds no script."""
    path = tmp_path / "formulary.html"
    done = CliRunner().invoke(formulary, ["heparin", "morphine", "--page", str(path)])

    page = path.read_text("utf-8")
    assert done.output == f"Wrote {path}: 2 drugs. Open it in a browser.\n"
    assert '<h2 id="heparin">' in page and '<h2 id="morphine">' in page
    assert "US prescribing information, heparin sodium injection" in page
    assert '<span class="unread">from memory</span>' in page
    assert "Nobody has reviewed this drug yet." in page
    assert "<script" not in page
