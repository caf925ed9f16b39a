import pytest

from calclib.class_files.new_roster import new_roster_from_text
from calclib.class_files.roster import roster_from_text
from calclib.errors import BadInput

HEAD = "id,name,hub_user,lms_name\n"


@pytest.mark.parametrize(
    ("ann", "ben", "named"),
    [
        ("j.smith,Ann,,", "j_smith,Ben,,", ("id 'j_smith'", "id 'j.smith'")),
        ("j-smith,Ann,,", "J.Smith,Ben,,", ("id 'J.Smith'", "id 'j-smith'")),
        ("ann,Ann,,ben", "ben,Ben,,", ("id 'ben'", "lms_name 'ben'")),
        ("ann,Ann,,", "ben,Ben,ann,", ("hub_user 'ann'", "id 'ann'")),
        ("ann,Ann,ben,", "ben,Ben,,", ("id 'ben'", "hub_user 'ben'")),
        ("ann,Ann,lee,", "ben,Ben,,LEE", ("lms_name 'LEE'", "hub_user 'lee'")),
        ("ann,Ann,,Lee Ann", "ben,Ben,,Lee  Ann", ("lms_name 'Lee  Ann'", "lms_name 'Lee Ann'")),
        ("ann,Ann,,\uff4c\uff45\uff45", "lee,Ben,,", ("id 'lee'", "lms_name '\uff4c\uff45\uff45'")),
        (
            "ann,Ann,,Jos\u00e9 Lee",
            "ben,Ben,,Jose\u0301 Lee",
            ("lms_name 'Jose\u0301 Lee'", "lms_name 'Jos\u00e9 Lee'"),
        ),
        ("ann,Ann,,Jos\u00e9 Lee", "jose.lee,Ben,,", ("id 'jose.lee'", "lms_name 'Jos\u00e9 Lee'")),
        ("ann,Ann,,\u0130pek", "ipek,Ben,,", ("id 'ipek'", "lms_name '\u0130pek'")),
        ("ann,Ann,,Stra\u00dfe", "strasse,Ben,,", ("id 'strasse'", "lms_name 'Stra\u00dfe'")),
        ("ann.zip,Ann,,", "ann,Ben,,", ("id 'ann'", "id 'ann.zip'")),
        ("ann.ipynb,Ann,,", "ben,Ben,ann,", ("hub_user 'ann'", "id 'ann.ipynb'")),
    ],
)
def test_names_that_collecting_cannot_tell_apart_are_refused(ann: str, ben: str, named: tuple[str, str]) -> None:
    """Across id, hub user and LMS name, in either order of the lines; both names, columns and lines are told."""
    with pytest.raises(BadInput) as caught:
        new_roster_from_text(f"{HEAD}{ann}\n\n{ben}\n")
    assert caught.value.line == 4
    for words in (f"{named[0]} of Ben (line 4)", f"{named[1]} of Ann (line 2)"):
        assert words.lower() in caught.value.message.lower()
    assert any(words in caught.value.message for words in ("another id", "or leave it out"))
    assert "\n" not in str(caught.value)
    with pytest.raises(BadInput):
        new_roster_from_text(f"{HEAD}{ben}\n{ann}\n")


@pytest.mark.parametrize(
    ("ann", "ben"),
    [
        ("ann,Ann,Ann,A.N.N", "ben,Ben,,"),
        ("ann,Ann,ann,ann", "anna,Ben,,"),
        ("s1,Ann Lee,,", "s2,Ann Lee,,"),
        ("ann1,Ann,,", "ann2,Ben,,"),
        ("ann,Ann,,\u0915\u093f\u0930\u0923", "ben,Ben,,\u0915\u0941\u0930\u0923"),
        ("ann,Ann,,\u304b\u306a", "ben,Ben,,\u304c\u306a"),
    ],
)
def test_names_that_can_be_told_apart_are_taken(ann: str, ben: str) -> None:
    """One student may have one name in several columns, and two may have one name to be shown by."""
    assert len(new_roster_from_text(f"{HEAD}{ann}\n{ben}\n").students) == 2


def test_a_class_that_has_such_names_already_is_still_read() -> None:
    """Ids of old stay as they are, since records are kept under them; a third name like them is refused."""
    text = f"{HEAD}j.smith,Ann,,\nj_smith,Ben,j_smith,\n"
    assert [one.id for one in roster_from_text(text).students] == ["j.smith", "j_smith"]
    assert len(new_roster_from_text(text, known={"j.smith", "j_smith"}).students) == 2
    for known, more in (({"j.smith"}, ""), ({"j.smith", "j_smith"}, "cat,Cat,,J. Smith\n")):
        with pytest.raises(BadInput, match="are one name"):
            new_roster_from_text(text + more, known=known)


@pytest.mark.parametrize("row", ["j_smith,Cat,,", "cat,Cat,J.Smith,", "cat,Cat,,J. Smith"])
def test_a_new_student_does_not_get_the_name_of_one_who_left(row: str) -> None:
    """Records of who left stay, so a name like that id is refused with each way out."""
    with pytest.raises(BadInput, match=r"\(line 3\) can't be told apart from the id 'j\.smith'") as caught:
        new_roster_from_text(f"{HEAD}ann,Ann,,\n{row}\n", known={"ann", "j.smith"})
    assert "calclib erase" in caught.value.message
    assert len(new_roster_from_text(f"{HEAD}ann,Ann,,\n{row}\n", known={"ann"}).students) == 2
