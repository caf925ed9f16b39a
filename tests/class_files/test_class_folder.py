import pytest

from calclib.class_files.class_folder import class_folder, class_folder_from_text
from calclib.class_files.text_files import replace_file
from calclib.errors import BadInput


def test_a_class_folder_names_its_files(tmp_path) -> None:
    """Student and set give a path inside of the folder."""
    folder = class_folder_from_text(tmp_path, 'course = "n101"\n')
    assert folder.course == "n101"
    assert folder.submitted("week-3", "a1") == tmp_path.resolve() / "submissions/a1/week-3/week-3.ipynb"
    assert folder.gradebook_url.endswith("/gradebook.db")


@pytest.mark.parametrize(("name", "student"), [("../x", "a1"), ("week-3", ".."), ("week-3", "a/b"), ("a.b", "a1")])
def test_no_name_leads_out_of_the_folder(tmp_path, name: str, student: str) -> None:
    """A name that isn't safe never becomes a path."""
    with pytest.raises(BadInput):
        class_folder_from_text(tmp_path, "").submitted(name, student)


@pytest.mark.parametrize("text", ["course = 3", "color = 'x'", "course = '../x'", "course = "])
def test_a_wrong_class_file_is_explained(tmp_path, text: str) -> None:
    """The line is named."""
    with pytest.raises(BadInput) as caught:
        class_folder_from_text(tmp_path, text)
    assert caught.value.line == 1


def test_another_folder_is_not_taken_for_a_class(tmp_path) -> None:
    """A folder without class.toml is refused with what to do."""
    with pytest.raises(BadInput, match="isn't a class folder"):
        class_folder(tmp_path)


def test_a_file_is_replaced_whole(tmp_path) -> None:
    """A second writing of the same content touches nothing, and no temporary file stays."""
    path = tmp_path / "a" / "b.txt"
    assert replace_file(path, b"one") is True
    assert replace_file(path, b"one") is False
    assert replace_file(path, b"two") is True
    assert path.read_bytes() == b"two"
    assert list(path.parent.iterdir()) == [path]


def test_a_link_is_replaced_and_not_followed(tmp_path) -> None:
    """Writing to a place where somebody put a link never writes to where it points."""
    target = tmp_path / "target.txt"
    target.write_bytes(b"kept")
    link = tmp_path / "link.txt"
    link.symlink_to(target)
    replace_file(link, b"kept")
    assert not link.is_symlink()
    replace_file(link, b"new")
    assert target.read_bytes() == b"kept"
