"""Whatever a student hands in harms nobody, gains nothing, and is named where a person must look."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

import calclib.answers
import calclib.reading
from calclib.class_files import class_folder
from calclib.gradebook.cells import checksum
from tests.hostile.disguises import DISGUISES
from tests.hostile.files import FILES, ZIPS
from tests.hostile.forgeries import FORGED
from tests.hostile.hall import ANSWERS, SET, WRITTEN, Hall, Outcome, live_parts, tree
from tests.hostile.kinds import Kind
from tests.hostile.running_code import CODE
from tests.hostile.texts import TEXTS

ALL = [*CODE, *FORGED, *TEXTS, *FILES, *ZIPS, *DISGUISES]
LONGEST_SENTENCE = 400
LONGEST_RUN = 60.0


def test_the_list_is_long_and_without_repetition() -> None:
    """At least 25 kinds, each with a name of its own."""
    names = [kind.name for kind in ALL]
    assert len(names) == len(set(names)) >= 25


def test_the_control_run_is_what_it_should_be(control: Outcome) -> None:
    """Without anything hostile each has the points of the answers, and nobody needs to look."""
    assert [control.points(student) for student in ("ann", "ben", "eve")] == [5.0, 3.0, 1.0]
    assert control.sentences == ()
    assert {name.split("/")[0] for name in control.pages} == {"feedback", "reports"}


@pytest.mark.parametrize("kind", ALL, ids=[kind.name.replace(" ", "-") for kind in ALL])
def test_a_hostile_paper_does_no_harm(kind: Kind, hall: Hall, control: Outcome) -> None:
    """No point is gained and no other's mark changed; nothing is left outside of what marking writes; no page has
    anything live in it; the others are marked; and one clear sentence tells a person where to look."""
    kind.plant(hall)
    around, within = tree(hall.root, without=hall.folder), class_without_marks(hall)
    names = calclib.answers.judge_item, calclib.reading.show_answer
    outcome = hall.run()
    assert outcome.seconds < LONGEST_RUN
    assert (calclib.answers.judge_item, calclib.reading.show_answer) == names
    assert tree(hall.root, without=hall.folder) == around
    assert class_without_marks(hall) == within
    no_mark_is_changed(outcome, control)
    assert outcome.points("eve") == kind.points
    every_check_cell_has_its_score(outcome)
    no_page_is_alive(outcome, control)
    nothing_of_hers_but_text_is_shown(hall)
    the_person_is_told(outcome, kind)


def class_without_marks(hall: Hall) -> dict[str, tuple[object, ...]]:
    """The class folder without what marking writes."""
    everything = tree(hall.folder, without=hall.folder / "submissions")
    return {path: state for path, state in everything.items() if path.split("/")[0] not in WRITTEN}


def no_mark_is_changed(outcome: Outcome, control: Outcome) -> None:
    """The honest students' grades and pages are those of the control run, and nobody came to be a student."""
    assert set(outcome.grades) <= {"ann", "ben", "eve"}
    assert outcome.worth == control.worth
    for student in ("ann", "ben"):
        assert outcome.grades[student] == control.grades[student]
        page = f"feedback/{student}/{SET}/{SET}.html"
        assert outcome.pages[page] == control.pages[page]


def every_check_cell_has_its_score(outcome: Outcome) -> None:
    """nbgrader would count a check cell without a score in full; points by hand come from a person alone."""
    for student, cells in outcome.grades.items():
        assert len(cells) == ANSWERS, student
        for auto, manual, extra, _ in cells.values():
            assert auto is not None
            assert (manual, extra) == (None, None)


def no_page_is_alive(outcome: Outcome, control: Outcome) -> None:
    """Pages are those of the class alone, and hold nothing that runs, loads or hides."""
    assert set(outcome.pages) <= set(control.pages)
    for name, text in outcome.pages.items():
        assert live_parts(text) == [], name
        assert all(sign.isprintable() or sign == "\n" for sign in text), name


def without_printed_rules(cell: dict[str, Any]) -> dict[str, Any]:
    """A cell of ours without its outputs and without the rules that only the student's own notebook prints."""
    source = "".join(cell["source"]).partition("\n\n**How it is marked**")[0]
    source = re.sub(r",\n    costs=.*,\n", "", source)
    nbgrader = {name: value for name, value in cell["metadata"]["nbgrader"].items() if name != "checksum"}
    return {**cell, "source": source, "outputs": [], "metadata": {**cell["metadata"], "nbgrader": nbgrader}}


def nothing_of_hers_but_text_is_shown(hall: Hall) -> None:
    """The notebook that nbgrader's own pages are made from has our stems, what was typed as code, and plain outputs."""
    path = class_folder(hall.folder).autograded(SET, "eve")
    if not path.is_file():
        return
    shown, handed_out = json.loads(path.read_text(encoding="utf-8")), hall.paper("eve")
    assert shown["metadata"] == handed_out["metadata"]
    for one, own in zip(shown["cells"], handed_out["cells"], strict=True):
        if one["metadata"]["nbgrader"]["solution"]:
            assert (one["id"], one["cell_type"], one["outputs"]) == (own["id"], "code", [])
        else:
            assert without_printed_rules(one) == without_printed_rules(own)
            assert one["metadata"]["nbgrader"]["checksum"] == checksum({**one, "source": "".join(one["source"])})
        for output in one.get("outputs", []):
            assert output["output_type"] == "stream" or set(output["data"]) == {"text/plain"}


def the_person_is_told(outcome: Outcome, kind: Kind) -> None:
    """There is one sentence with the words, short, printable, and about eve, the file, or the folder."""
    told = [sentence for sentence in outcome.sentences if kind.says and kind.says in sentence]
    assert len(told) == (1 if kind.says else 0), outcome.sentences
    for sentence in outcome.sentences:
        assert sentence.isprintable()
        assert len(sentence) < LONGEST_SENTENCE
    if not kind.says:
        assert not any("eve" in sentence for sentence in outcome.sentences), outcome.sentences
