from dataclasses import replace
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.gradebook import SetResults, set_results
from calclib.pages.class_report import report_page
from calclib.records import policies_in_words, reading
from tests.pages.test_pages import Outline

FAULTS = ("inverted", "unit slip", "factor left out", "other weight", "rounded too soon")


def cause(fault: str, *, certain: bool) -> dict[str, object]:
    """A cause as verdicts have it."""
    what = {"kind": "recorded.text", "text": f"{fault}?"}
    return {"fault": fault, "certain": certain, "what": what, "step": "", "given": ""}


def with_causes(results: SetResults, *causes: tuple[dict[str, object], ...]) -> SetResults:
    """Results in which Ann's first answers have these causes, and no other answer has any."""
    ann, *others = results.students
    every = iter(causes)
    parts = tuple(replace(one, mark=one.mark._replace(causes=next(every, ()))) for one in ann.parts)
    bare = [replace(o, parts=tuple(replace(p, mark=p.mark._replace(causes=())) for p in o.parts)) for o in others]
    return replace(results, students=(replace(ann, parts=parts), *bare))


@pytest.mark.parametrize("certain", [True, False])
def test_an_answer_with_several_ways_is_in_no_bar(marked: Path, certain: bool) -> None:
    """One guessed choice to which five mistakes may lead makes no five bars; the table still names them."""
    where = class_folder(marked)
    results = set_results(where, "week-3")
    guessed = tuple(cause(fault, certain=False) for fault in FAULTS)
    known = (cause("tenfold", certain=True),) if certain else ()
    with reading(where) as connection:
        words = policies_in_words(connection, results.sealed)
    page = Outline(report_page(with_causes(results, guessed, known), words).decode())
    charts = [str(image["alt"]) for image in page.all("img") if "mistakes" in str(image["alt"])]
    assert charts == (["Bar chart of mistakes found, most frequent first. Tenfold: 1."] if certain else [])
    assert all(f"{fault}?" in page.words for fault in FAULTS)
    assert "perhaps factor left out (1)" in page.words
