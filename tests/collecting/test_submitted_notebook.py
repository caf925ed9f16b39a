import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calclib.collecting.plain_file import Damaged, read_plain_file
from calclib.collecting.submitted_notebook import (
    SubmittedNotebook,
    TypedCell,
    read_notebook,
)
from calclib.records.set_aside import SetAsideKind

GOOD = {
    "nbformat": 4,
    "nbformat_minor": 5,
    "metadata": {"calclib": {"set": "week-3", "made_for": "p", "tag": "t"}},
    "cells": [
        {"cell_type": "code", "id": "a", "metadata": {"nbgrader": {"grade_id": "q1"}}, "source": ["x = 1\n", "y"]},
        {"cell_type": "markdown", "id": "b", "metadata": {}, "source": "text"},
    ],
}


def test_a_notebook_is_read_as_data() -> None:
    """Source is one text however it is stored; where nbgrader's id is lost the cell's own serves."""
    assert read_notebook(json.dumps(GOOD).encode()) == SubmittedNotebook(
        "p", "week-3", "t", (TypedCell("code", "q1", "x = 1\ny"), TypedCell("markdown", "b", "text"))
    )


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty file"),
        (b"  \n", "empty file"),
        (b"{", "line 1"),
        (json.dumps(GOOD).encode()[:-20], "well-formed"),
        (b"\xff\xfe\x00", "not UTF-8"),
        (b"[]", "isn't a notebook"),
        (b"null", "isn't a notebook"),
        (b'"text"', "isn't a notebook"),
        (b'{"nbformat": 3, "worksheets": []}', "older"),
        (b'{"nbformat": 4}', "no cells"),
        (b'{"nbformat": 4, "cells": {}}', "no cells"),
        (b'{"nbformat": 4, "cells": [], "metadata": NaN}', "NaN"),
        (b'{"nbformat": 4, "cells": [], "metadata": -Infinity}', "Infinity"),
        (b'{"nbformat": ' + b"9" * 5000 + b"}", "endless number"),
        (b"[" * 100_000, "deeply"),
        (b'{"a":' * 100_000, "deeply"),
        (b'{"nbformat": 4, "cells": [' + b",".join([b"{}"] * 6000) + b"]}", "more than"),
    ],
)
def test_a_damaged_notebook_is_said_to_be_so(data: bytes, words: str) -> None:
    """Each kind of damage has its reason, and none an error."""
    found = read_notebook(data)
    assert isinstance(found, Damaged)
    assert words in found.words


@pytest.mark.parametrize(
    "cell",
    [
        None,
        3,
        [],
        {},
        {"metadata": None, "source": None},
        {"metadata": {"nbgrader": "x"}, "source": 5},
        {"metadata": {"nbgrader": {"grade_id": ["q1"]}}, "source": [1, None, "x"]},
        {"metadata": {"nbgrader": {"grade_id": "q" * 10_000}}, "source": "x" * 10_000_000},
    ],
)
def test_a_cell_of_another_shape_is_harmless(cell: object) -> None:
    """A cell with wrong types is read as far as it goes, and never at length."""
    found = read_notebook(json.dumps({**GOOD, "cells": [cell]}).encode())
    assert isinstance(found, SubmittedNotebook)
    assert all(len(one.source) <= 100_000 and len(one.grade_id) <= 200 for one in found.cells)


@given(st.binary(max_size=300))
def test_any_bytes_are_a_notebook_or_damaged(data: bytes) -> None:
    """Nothing that is handed in raises."""
    assert isinstance(read_notebook(data), SubmittedNotebook | Damaged)


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@given(json_values, json_values)
def test_any_tree_in_a_notebook_is_read(cells: object, metadata: object) -> None:
    """Whatever stands where cells and metadata are expected, nothing raises."""
    tree = {"nbformat": 4, "cells": [cells, {"metadata": metadata}], "metadata": metadata}
    assert isinstance(read_notebook(json.dumps(tree).encode()), SubmittedNotebook | Damaged)


def test_only_a_plain_file_of_possible_size_is_read(tmp_path) -> None:
    """A link, a folder and a giant are refused without being read."""
    good = tmp_path / "good.ipynb"
    good.write_bytes(b"{}")
    link = tmp_path / "link.ipynb"
    link.symlink_to(good)
    giant = tmp_path / "giant.ipynb"
    with giant.open("wb") as file:
        file.truncate(100_000_000)
    assert read_plain_file(good) == b"{}"
    assert read_plain_file(link) == Damaged(SetAsideKind.NO_PLAIN_FILE)
    assert read_plain_file(tmp_path) == Damaged(SetAsideKind.NO_PLAIN_FILE)
    assert read_plain_file(giant) == Damaged(SetAsideKind.TOO_LARGE, "20")


def test_what_is_neither_file_nor_folder_is_not_read(tmp_path: Path) -> None:
    """A pipe with a notebook in it, and a device: nothing waits for them, and nothing of them is taken."""
    pipe = tmp_path / "week-3.ipynb"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/null")):
        found = read_plain_file(path)
        assert isinstance(found, Damaged)
        assert found.kind is SetAsideKind.NO_PLAIN_FILE
