"""What a student holds in hand tells nothing that isn't asked; what could tell lies where its owner alone reads it."""

from __future__ import annotations

import copy
import json
import os
import re
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from calclib.class_files import class_folder
from calclib.class_files.secrets_file import make_secret, read_secret
from calclib.errors import BadInput
from calclib.models import item_model
from calclib.records import SealedPaper, reading, sealed_papers
from calclib.wording import sentence
from tests.hostile.hall import SET, Hall, Notebook

STUDENTS = ("ann", "ben", "eve")
# Words of records, keys and models, none of which has a place in a notebook.
TELLING = ("seed", "secret", "salt", "accepted", "answer_key", "worked", "fault", "hash", "exact", "enclosure")


@pytest.fixture(scope="module")
def papers(made_hall: Hall) -> tuple[SealedPaper, ...]:
    """What was recorded of the set."""
    with reading(class_folder(made_hall.folder)) as connection:
        return tuple(sealed_papers(connection, SET))


def raw(hall: Hall, student: str) -> bytes:
    """The notebook that a student was given, byte by byte."""
    return class_folder(hall.folder).rendered(SET, student).read_bytes()


def without_stems(notebook: Notebook) -> Notebook:
    """A notebook without what is stated to the student, and without whose it is."""
    bare = copy.deepcopy(notebook)
    for cell in bare["cells"]:
        if cell["cell_type"] == "markdown":
            cell["source"] = []
            del cell["metadata"]["nbgrader"]["checksum"]
        elif cell["id"].endswith("-check"):
            # The units and names of the stem, by which marking reads an answer too.
            cell["source"] = [re.sub(r'about="[^"0-9]*"', "", line) for line in cell["source"]]
            del cell["metadata"]["nbgrader"]["checksum"]
    for name in ("made_for", "tag"):
        del bare["metadata"]["calclib"][name]
    return bare


def test_notebooks_differ_in_the_stems_alone(made_hall: Hall) -> None:
    """Beside the stems, with the checksums that follow from them, two students' notebooks differ in whose they are."""
    first, *others = (without_stems(made_hall.paper(student)) for student in STUDENTS)
    assert all(other == first for other in others)


def test_stems_are_those_of_the_record(made_hall: Hall, papers: tuple[SealedPaper, ...]) -> None:
    """What is stated is the stem of the drawn item and its question, and nothing that was computed."""
    stated = {(p.pseudonym, item.slot): item.record["stem"] for p in papers for item in p.items}
    for student in STUDENTS:
        notebook = made_hall.paper(student)
        name = notebook["metadata"]["calclib"]["made_for"]
        for cell in notebook["cells"]:
            if found := re.fullmatch(rf"{SET}-q(\d)-stem", cell["id"]):
                text = "".join(cell["source"]).removeprefix(f"## Problem {found.group(1)}\n\n")
                assert text.startswith(stated[name, int(found.group(1))].strip())


def test_no_answer_is_in_a_notebook(made_hall: Hall) -> None:
    """Outside of what the stems state, no right answer stands anywhere, neither with its unit nor as a number."""
    for student in STUDENTS:
        bare = json.dumps(without_stems(made_hall.paper(student)), ensure_ascii=False)
        bare = re.sub(r"\b\d+%|\b\d+ times too", "", bare)  # the marking rules, the same for everyone
        for text in made_hall.key(student).values():
            assert text not in bare
            if len(text.split()[0]) > 1:
                assert not re.search(rf"(?<![\w.]){re.escape(text.split()[0])}(?![\w.])", bare)


def test_no_seed_record_or_model_is_in_a_notebook(made_hall: Hall, papers: tuple[SealedPaper, ...]) -> None:
    """Neither the course secret, nor a seed, hash, accepted value or line of an item model, nor a word for them."""
    secret = made_hall.folder.joinpath("course-secret.txt").read_text(encoding="ascii").strip()
    hidden = {secret, secret[:16], secret[-16:]}
    for paper in papers:
        hidden |= {paper.numbers, *(item.numbers for item in paper.items), *(item.model_hash for item in paper.items)}
        hidden |= {item.record["seed"] for item in paper.items}
        hidden |= {
            sentence(line) for item in paper.items for part in item.record["worked"] for line in item.worked(part)
        }
        models = (item_model(item.model_id).text for item in paper.items)
        code = re.compile(r"^(kind|of|draw|forms|that|rounding|quantity|asks) = ")
        hidden |= {line for text in models for line in text.splitlines() if code.match(line)}
    for student in STUDENTS:
        text = raw(made_hall, student).decode()
        assert [one for one in hidden if one and one in text] == []
        assert [word for word in TELLING if word in text.casefold()] == []


def test_the_tag_tells_nothing_without_the_secret(made_hall: Hall, papers: tuple[SealedPaper, ...]) -> None:
    """Tags and pseudonyms are 32 and 16 digits that nobody shares."""
    tags = [paper.tag for paper in papers]
    assert len(set(tags)) == len({paper.pseudonym for paper in papers}) == len(STUDENTS)
    assert all(re.fullmatch("[0-9a-f]{32}", tag) for tag in tags)
    assert all(re.fullmatch("[0-9a-f]{16}", paper.pseudonym) for paper in papers)
    assert not any(student in paper.pseudonym for paper in papers for student in STUDENTS)


def test_the_secret_is_in_no_other_file(made_hall: Hall) -> None:
    """Whoever has the gradebook or a notebook can't foresee a draw."""
    secret = made_hall.folder / "course-secret.txt"
    digits = secret.read_bytes().strip()
    others = [path for path in made_hall.folder.rglob("*") if path.is_file() and path != secret]
    assert len(others) > len(STUDENTS)
    for path in others:
        data = path.read_bytes()
        assert digits not in data and bytes.fromhex(digits.decode()) not in data, path


@pytest.fixture
def careless() -> Iterator[None]:
    """A person whose new files everybody may read and write."""
    before = os.umask(0)
    yield
    os.umask(before)


@pytest.mark.usefixtures("careless")
@pytest.mark.skipif(os.name != "posix", reason="rights of files are those of POSIX")
def test_the_secret_is_its_owners_alone(made_hall: Hall, tmp_path: Path) -> None:
    """It can be read by nobody else from the moment it exists, and isn't used where others can; so is the class."""
    make_secret(tmp_path / "secret.txt")
    assert stat.S_IMODE((tmp_path / "secret.txt").stat().st_mode) == 0o600
    assert stat.S_IMODE((made_hall.folder / "course-secret.txt").stat().st_mode) == 0o600
    assert stat.S_IMODE(made_hall.folder.stat().st_mode) == 0o700
    for mode in (0o640, 0o604, 0o644, 0o660):
        (tmp_path / "secret.txt").chmod(mode)
        with pytest.raises(BadInput, match="Other accounts can read the course secret: run  chmod 600"):
            read_secret(tmp_path / "secret.txt")
