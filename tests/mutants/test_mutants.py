"""Laws that users rely on are held by tests: a change of one line that breaks such a law fails one of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.mutants.tree import ROOT, Mutant, changed, copied_tree, mutants, mutated, run_tests

MUTANTS = mutants()


def test_there_are_mutants_enough_and_each_law_once() -> None:
    """At least 60 laws are listed, each with the tests that hold it; no law and no change stands there twice."""
    assert len(MUTANTS) >= 60
    assert (
        len({mutant.law for mutant in MUTANTS})
        == len({(m.file, m.old, m.new, m.after) for m in MUTANTS})
        == len(MUTANTS)
    )
    assert all(mutant.tests for mutant in MUTANTS)


@pytest.mark.parametrize("mutant", MUTANTS, ids=[mutant.law for mutant in MUTANTS])
def test_the_line_is_still_there(mutant: Mutant) -> None:
    """Each mutant changes a line that its file holds today, and names tests that exist."""
    text = (ROOT / mutant.file).read_text(encoding="utf-8")
    assert mutated(text, mutant) != text
    for test in mutant.tests:
        assert (ROOT / test.partition("::")[0]).exists(), test


@pytest.fixture(scope="module")
def tree(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Path:
    """A copy of the tree, in which the tests that are named by the mutants of this run pass as long as it is whole."""
    place = copied_tree(tmp_path_factory.mktemp("tree"))
    chosen = [
        item.callspec.params["mutant"] for item in request.session.items if "tree" in getattr(item, "fixturenames", ())
    ]  # type: ignore[attr-defined]
    passed, said = run_tests(place, [test for mutant in chosen for test in mutant.tests])
    assert passed, said
    return place


@pytest.mark.parametrize(
    "mutant",
    [pytest.param(m, id=m.law, marks=() if m.sample else pytest.mark.full) for m in MUTANTS],
)
def test_a_broken_law_is_noticed(tree: Path, mutant: Mutant) -> None:
    """With the line changed, one of the named tests fails, and no file fails to be read."""
    with changed(tree, mutant):
        passed, said = run_tests(tree, mutant.tests)
    assert passed is False, f"no test notices that {mutant.file} says {mutant.new!r}:\n{said}"
