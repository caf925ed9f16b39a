import unicodedata
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.class_files.new_roster import new_roster_from_text
from calclib.class_files.roster import Accommodations, Roster, Student, read_roster, roster_from_text, roster_to_text
from calclib.errors import BadInput

GOOD = """id,name,hub_user,lms_name,accommodations
a1,Ann Ash,ann,Ash Ann,extra_attempts=1; extra_minutes=60
b2,Ben Birch,,,
"""


def test_a_roster_is_read_as_written() -> None:
    """Every column arrives in its field, and empty ones are empty."""
    assert roster_from_text(GOOD) == Roster(
        (
            Student("a1", "Ann Ash", "ann", "Ash Ann", Accommodations(1, 60)),
            Student("b2", "Ben Birch"),
        )
    )


def test_a_byte_order_mark_and_blank_lines_are_no_fault(tmp_path) -> None:
    """A spreadsheet's mark, its line ends and its empty rows change nothing."""
    path = tmp_path / "roster.csv"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode() + b",,,,\r\n\r\n")
    assert read_roster(path) == roster_from_text(GOOD)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("", None, "empty"),
        ("id,name\n", None, "no student"),
        ("id;name\na1;Ann\n", 1, "semicolons"),
        ("id\tname\na1\tAnn\n", 1, "tabs"),
        ("name\nAnn\n", 1, "'id' is missing"),
        ("id\na1\n", 1, "'name' is missing"),
        ("id,name,hubuser\na1,Ann,x\n", 1, "did you mean 'hub_user'"),
        ("id,name,shoes\na1,Ann,x\n", 1, "isn't known"),
        ("id,name,name\na1,Ann,x\n", 1, "twice"),
        ("id,name,lms_name\na1,Ann,=cmd|' /C calc'!A0\n", 2, "formula"),
        ("id,name\na1,＠SUM(1)\n", 2, "formula"),
        ("id,name\na1,Ann\n\na1,Ben\n", 4, "line 2"),
        ("id,name\na1,Ann\nA1,Ben\n", 3, "line 2"),
        ("id,name\n../x,Ann\n", 2, "can't name a folder"),
        ("id,name\na/b,Ann\n", 2, "can't name a folder"),
        ("id,name\na\\b,Ann\n", 2, "can't name a folder"),
        ("id,name\n.hidden,Ann\n", 2, "can't name a folder"),
        ("id,name\nann.,Ann\n", 2, "can't name a folder"),
        ("id,name\n-rf,Ann\n", 2, "can't name a folder"),
        ("id,name\na\x07b,Ann\n", 2, r"a\u0007b"),
        ("id,name\nNUL,Ann\n", 2, "reserved"),
        ("id,name\ncom1.txt,Ann\n", 2, "reserved"),
        ("id,name\nsolutions,Ann\n", 2, "reserved"),
        ("id,name\n,Ann\n", 2, "id is empty"),
        ("id,name\na1,\n", 2, "is empty"),
        ("id,name\na1,An\x1bn\n", 2, "hidden character"),
        ("id,name\na1,An\u202en\n", 2, "hidden character"),
        ("id,name\na1,Ash, Ann\n", 2, "quotes"),
        ('id,name\na1,"Ann\n', 2, "quotes"),
        ("id,name,accommodations\na1,Ann,more time\n", 2, "extra_minutes=60"),
        ("id,name,accommodations\na1,Ann,extra_minutes=an hour\n", 2, "whole number"),
        ("id,name,accommodations\na1,Ann,extra_minutes=-5\n", 2, "whole number"),
        ("id,name,accommodations\na1,Ann,extra_minutes=5;extra_minutes=6\n", 2, "twice"),
        ("id,name,hub_user\na1,Ann,x\nb2,Ben,x\n", 3, "hub_user"),
        ("id,name,lms_name\na1,Ann,x\nb2,Ben,X\n", 3, "lms_name"),
    ],
)
def test_a_wrong_roster_gets_one_sentence_with_its_line(text: str, line: int | None, words: str) -> None:
    """What is wrong is named with the line, and nothing is guessed."""
    with pytest.raises(BadInput) as caught:
        new_roster_from_text(text)
    assert caught.value.line == line
    assert words in caught.value.message
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("data", "line", "words"),
    [
        (b"\xff\xfei\x00d\x00", None, "UTF-16"),
        (b"id,name\na1,Ren\xe9\n", 2, "UTF-8"),
        (b"PK\x03\x04\x00\x00", 1, "isn't text"),
    ],
)
def test_a_file_in_another_encoding_is_explained(tmp_path, data: bytes, line: int | None, words: str) -> None:
    """A file that isn't UTF-8 text is refused with the way to save it again."""
    path = tmp_path / "roster.csv"
    path.write_bytes(data)
    with pytest.raises(BadInput, match=words) as caught:
        read_roster(path)
    assert caught.value.line == line


def test_a_missing_file_is_named(tmp_path) -> None:
    """A wrong path is one sentence."""
    with pytest.raises(BadInput, match="There is no file"):
        read_roster(tmp_path / "none.csv")


def no_formula(text: str) -> bool:
    """Whether a spreadsheet takes the text for a text."""
    return unicodedata.normalize("NFKC", text)[:1] not in ("=", "+", "-", "@")


names = st.text(st.characters(categories=["L", "N", "P", "Zs"], exclude_characters="\xa0"), min_size=1, max_size=30)
printable = names.filter(lambda text: text.isprintable() and bool(text.strip())).map(str.strip).filter(no_formula)


@given(st.lists(printable, min_size=1, max_size=5))
def test_a_roster_that_is_written_is_read_back(given_names: list[str]) -> None:
    """Writing and reading are each other's inverse, whatever commas and quotes a name holds."""
    roster = Roster(tuple(Student(f"s{n}", name) for n, name in enumerate(given_names)))
    assert roster_from_text(roster_to_text(roster)) == roster


@given(st.text(max_size=200))
def test_no_text_makes_the_reader_fail_otherwise(text: str) -> None:
    """Any text is a roster or one clear sentence."""
    with suppress(BadInput):
        roster_from_text(text)
