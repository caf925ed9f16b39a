import pytest

from calclib.class_files.secrets_file import make_secret, read_secret
from calclib.class_files.seeds import draw_seed, paper_tag, pseudonym
from calclib.errors import BadInput

SECRET = bytes(32)


def seed(**changed) -> str:
    """Return the seed of one usual draw with some fields changed."""
    fields = {"set_name": "week-3", "student": "a1", "item": "1:drop-rate", "attempt": 1, "turn": 0} | changed
    return draw_seed(changed.pop("secret", SECRET), **{k: v for k, v in fields.items() if k != "secret"})


def test_a_seed_is_fixed_for_ever() -> None:
    """The same class, set, student, item and attempt give the same draw in every version of the library."""
    assert seed() == "ffc5cac1330ccec2b24e7f685d395987"


@pytest.mark.parametrize(
    "changed",
    [
        {"set_name": "week-4"},
        {"student": "a2"},
        {"item": "2:drop-rate"},
        {"attempt": 2},
        {"turn": 1},
        {"secret": bytes([1] * 32)},
    ],
)
def test_every_field_counts(changed) -> None:
    """Changing any one field changes the seed."""
    assert seed(**changed) != seed()


def test_fields_do_not_run_together() -> None:
    """A field's end is part of what is hashed."""
    assert seed(set_name="week-31", student="1") != seed(set_name="week-3", student="11")


def test_a_pseudonym_and_a_tag_need_the_secret() -> None:
    """Another course gives the same student another pseudonym and the same paper another tag."""
    other = bytes([1] * 32)
    assert pseudonym(SECRET, "a1") != pseudonym(other, "a1")
    tag = {"set_name": "s", "student": "a1", "attempt": 1, "content": "125 mL/h"}
    assert paper_tag(SECRET, **tag) != paper_tag(other, **tag)


def test_a_secret_is_made_once_for_its_owner_alone(tmp_path) -> None:
    """The file has owner-only rights, and a second call changes nothing."""
    path = tmp_path / "course-secret.txt"
    make_secret(path)
    first = read_secret(path)
    make_secret(path)
    assert read_secret(path) == first
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_secret_that_others_can_read_is_refused(tmp_path) -> None:
    """The sentence says how to mend it."""
    path = tmp_path / "course-secret.txt"
    make_secret(path)
    path.chmod(0o644)
    with pytest.raises(BadInput, match="chmod 600"):
        read_secret(path)


@pytest.mark.parametrize("text", ["", "secret", "0" * 63, "Ω" * 64])
def test_a_damaged_secret_is_refused(tmp_path, text: str) -> None:
    """A secret that was edited isn't used: it would draw other numbers."""
    path = tmp_path / "course-secret.txt"
    path.write_text(text, encoding="utf-8")
    path.chmod(0o600)
    with pytest.raises(BadInput, match="backup"):
        read_secret(path)
