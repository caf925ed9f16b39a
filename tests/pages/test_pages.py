import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from nbgrader.api import Gradebook

from calclib.class_files import class_folder
from calclib.errors import BadInput
from calclib.judging_papers import mark
from calclib.pages import write_feedback, write_report
from calclib.pages.templating import own_script
from tests.small_class.started import NOW

_EMPTY = {"meta", "img", "br", "hr", "link", "input"}


class Outline(HTMLParser):
    """Checks that tags nest, and keeps tags, attributes and text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag."""
        self.tags.append((tag, dict(attrs)))
        if tag not in _EMPTY:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        """Hold that it closes the last open one."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Keep the text outside of style sheets and scripts."""
        if self.open and self.open[-1] not in ("style", "script"):
            self.words += data

    def all(self, tag: str) -> list[dict[str, str | None]]:
        """The attributes of every such tag."""
        return [attributes for name, attributes in self.tags if name == tag]


def outline(path: Path) -> Outline:
    """A page, parsed."""
    return Outline(path.read_text(encoding="utf-8"))


def test_feedback_shows_what_was_typed_read_and_right(marked: Path, keys: dict[str, dict[str, str]]) -> None:
    """Every question has its text, the typed answer, the right one, the verdict, and the worked solution."""
    pages = write_feedback(marked, "week-3").pages
    words = " ".join(outline(pages["ann"]).words.split())
    assert "Week 3: <infusions>" in words
    for answer in keys["ann"].values():
        assert answer in words
    assert "98.3%" in words
    assert "Read as" in words
    assert "Joint Commission" in words
    assert "drop rate = " in words
    assert "The cut score of 90% is reached." in words


def test_feedback_tells_what_awaits_review(marked: Path) -> None:
    """An answer that can't be read is said to await a person, and not called wrong."""
    words = outline(write_feedback(marked, "week-3").pages["ben"]).words
    assert "One answer awaits review." in words
    assert "Awaiting review, 0 of 1" in words
    assert "No answer" in words
    assert "is not reached" in words


def test_a_student_without_a_notebook_has_no_page(marked: Path) -> None:
    """Nobody gets a page that says 0 for nothing handed in."""
    written = write_feedback(marked, "week-3")
    assert written.without == ("cat",)
    assert set(written.pages) == {"ann", "ben"}


@pytest.mark.parametrize("kind", ["feedback", "report"])
def test_nothing_that_was_typed_becomes_part_of_a_page(marked: Path, kind: str) -> None:
    """Tags in answers, titles and names are text; no page loads anything, or runs a script but our own."""
    path = write_report(marked, "week-3") if kind == "report" else write_feedback(marked, "week-3").pages["ben"]
    page = outline(path)
    assert "<script>alert(1)</script>" in page.words
    assert len(page.all("script")) == (kind == "report")
    assert not any(name.startswith("on") for _, attributes in page.tags for name in attributes)
    assert all((image["src"] or "").startswith("data:image/svg+xml;base64,") for image in page.all("img"))
    policy = next(meta["content"] or "" for meta in page.all("meta") if "http-equiv" in meta)
    assert policy.startswith("default-src 'none'")
    assert (f"script-src '{own_script('report.js')['script_hash']}'" in policy) == (kind == "report")


@pytest.mark.parametrize("kind", ["feedback", "report"])
def test_a_page_can_be_read_without_seeing_it(marked: Path, kind: str) -> None:
    """Language, title, one main heading, named table heads, words for each picture, and words beside each sign."""
    path = write_report(marked, "week-3") if kind == "report" else write_feedback(marked, "week-3").pages["ben"]
    page = outline(path)
    assert page.all("html") == [{"lang": "en"}]
    assert len(page.all("h1")) == len(page.all("title")) == len(page.all("main")) == 1
    assert all(head.get("scope") for head in page.all("th"))
    assert all(image.get("alt") for image in page.all("img"))
    ids = [attributes["id"] for _, attributes in page.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    links = {link["href"] or "" for link in page.all("a")}
    assert {link[1:] for link in links if link.startswith("#")} <= set(ids)
    assert [link for link in links if link[:1] != "#" and not (path.parent / link.partition("#")[0]).is_file()] == []


def test_feedback_is_small(marked: Path) -> None:
    """Twenty kilobytes at the most, and sixteen for each plot of a wrong number that was run."""
    for path in write_feedback(marked, "week-3").pages.values():
        plots = path.read_text("utf-8").count("What your number would do.")
        assert path.stat().st_size < 20_000 + 16_000 * plots


def test_a_wrong_rate_is_run_against_the_order(marked: Path) -> None:
    """Beside a wrong rate stands what it would do, in words, and a plot with the same words and a caution."""
    told = 0
    for path in write_feedback(marked, "week-3").pages.values():
        text = path.read_text("utf-8")
        for found in re.findall(r"What your number would do\.</strong> ([^<]*)</p>", text):
            told += 1
            assert f"as ordered and at your number. {found}" in text
            assert found.endswith("A model for learning: it shows the arithmetic, not your patient.")
    assert told


def test_a_second_run_writes_the_same_bytes(marked: Path) -> None:
    """Neither time nor chance is on a page."""
    first = [*write_feedback(marked, "week-3").pages.values(), write_report(marked, "week-3")]
    before = [path.read_bytes() for path in first]
    second = [*write_feedback(marked, "week-3").pages.values(), write_report(marked, "week-3")]
    assert [path.read_bytes() for path in second] == before


def test_points_and_comments_given_by_hand_are_shown(marked: Path) -> None:
    """What a person put into nbgrader's gradebook stands in feedback and report."""
    with Gradebook(class_folder(marked).gradebook_url) as gradebook:
        grade = gradebook.find_grade("week-3-q2-drops-check", "week-3", "week-3", "ben")
        grade.manual_score, grade.needs_manual_grade = 1.0, False
        comment = gradebook.find_comment("week-3-q2-drops-answer", "week-3", "week-3", "ben")
        comment.manual_comment = "Seen & accepted <orally>."
        gradebook.db.commit()
    words = outline(write_feedback(marked, "week-3").pages["ben"]).words
    assert "Seen & accepted <orally>." in words
    assert "awaits review" not in words
    report = outline(write_report(marked, "week-3")).words
    assert "points given by hand" in report
    assert "What needs a person" in report
    assert "Typed:" not in report


def test_the_report_names_what_faculty_needs(marked: Path) -> None:
    """Scores with the cut, who handed in nothing, what waits, each problem, the mistakes and the notation."""
    page = outline(write_report(marked, "week-3"))
    words = " ".join(page.words.split())
    assert "1 of 2 is below the cut score of 90%: Ben Birch." in words
    assert "Nothing handed in: Cat Cedar (cat)." in words
    assert "Ben Birch (ben), problem 2, drop rate: " in words
    assert "Drop rate by gravity" in words
    assert "Unsafe notation" in words
    assert "look at the answers instead" in words
    assert "discrimination can't be judged: that takes 30" in words
    assert "Too few to say how reliable the scores are: 2 students" in words
    order = ("1 of 2 pass at 90%", "What needs a person", "What to teach again first", "Problems to look at")
    places = [words.index(one) for one in (*order, "Skills by student", "Scores", "The answers behind the figures")]
    assert places == sorted(places)
    assert len(page.all("img")) >= 2


def test_a_notebook_set_aside_is_on_both_pages(marked: Path) -> None:
    """The student reads that it awaits a person, faculty reads why."""
    path = class_folder(marked).submitted("week-3", "ann")
    path.write_bytes(b"{")
    mark(marked, "week-3", now=NOW)
    words = outline(write_feedback(marked, "week-3").pages["ann"]).words
    assert "Your notebook awaits review by a person." in words
    report = " ".join(outline(write_report(marked, "week-3")).words.split())
    assert "Ann Ash (ann): notebook set aside. The notebook isn't well-formed" in report


def test_pages_of_a_set_that_was_never_marked(folder: Path) -> None:
    """The report says that there is nothing yet; no feedback is written."""
    assert write_feedback(folder, "week-3").pages == {}
    assert "No notebook has been marked yet." in outline(write_report(folder, "week-3")).words
    with pytest.raises(BadInput, match="No set"):
        write_report(folder, "week-9")
