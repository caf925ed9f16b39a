"""Files, names and words that look like something else: packed twice, written in other letters, of two minds."""

from __future__ import annotations

import gzip
import json
import os
import zipfile
import zlib

from tests.hostile.files import ASIDE, _eve
from tests.hostile.hall import SET, Hall, Notebook, answer_cell, zipped
from tests.hostile.kinds import Kinds
from tests.hostile.texts import UNREAD

DISGUISES = Kinds()

_OVERLAPPING = 40


@DISGUISES.add(points=1, says="in the name of Ann Ash (ann) isn't the one that was handed out to this student")
def name_in_other_letters(hall: Hall) -> None:
    """Ann's id in full-width letters, later than her own paper."""
    hall.eve()
    hall.put(f"\uff41\uff4e\uff4e/{SET}.ipynb", hall.paper("eve"), hours=3)


@DISGUISES.add(points=0, says=ASIDE + "isn't well-formed")
def packed_by_itself(hall: Hall) -> None:
    """A notebook that a program pressed, under a notebook's name."""
    hall.put(f"eve/{SET}.ipynb", gzip.compress(_eve(hall), mtime=0))


@DISGUISES.add(points=0, says=ASIDE + "isn't well-formed")
def notebook_with_a_zip_behind_it(hall: Hall) -> None:
    """One file that is a notebook from its start and a zip from its end."""
    inner = zipped(hall.outside / "inner.zip", (f"ann/{SET}.ipynb", b"{}")).read_bytes()
    hall.put(f"eve/{SET}.ipynb", _eve(hall) + inner)


@DISGUISES.add(points=1, says="")
def zip_behind_a_program(hall: Hall) -> None:
    """A zip that unpacks itself: only what it holds is looked at."""
    inner = zipped(hall.outside / "inner.zip", (f"{SET}.ipynb", _eve(hall))).read_bytes()
    hall.put("eve.zip", b"#!/bin/sh\ntouch planted\nexit\n" + inner)


@DISGUISES.add(points=1, says="The answer cell is missing")
def ids_that_are_lists(hall: Hall) -> None:
    """Names that can't be looked up in a table."""

    def change(notebook: Notebook) -> None:
        one = answer_cell(notebook, 2)
        one["id"] = ["x"]
        one["metadata"]["nbgrader"]["grade_id"] = {"q": [1]}

    hall.eve(change)


@DISGUISES.add(points=0, says=ASIDE)
def made_for_everybody(hall: Hall) -> None:
    """A list of all pseudonyms in the place of one's own."""
    names = [hall.paper(student)["metadata"]["calclib"]["made_for"] for student in ("eve", "ann", "ben")]
    hall.eve(lambda notebook: notebook["metadata"]["calclib"].update(made_for=names))


@DISGUISES.add(points=0, says=ASIDE)
def format_in_words(hall: Hall) -> None:
    """The number of the format as a text."""
    hall.eve(lambda notebook: notebook.update(nbformat="4"))


@DISGUISES.add(points=1, says="handed in 26 notebooks")
def zip_in_anothers_name(hall: Hall) -> None:
    """Five and twenty of eve's notebooks in a zip that is called ann's; ann's own stands."""
    hall.eve()
    zipped(hall.inbox / "ann.zip", *((f"{number}/{SET}.ipynb", _eve(hall) + b" " * number) for number in range(25)))


@DISGUISES.add(points=1, says="")
def entry_with_two_names(hall: Hall) -> None:
    """A second name in Unicode beside the first, which some programs show in its place."""
    entry = zipfile.ZipInfo(f"{SET}.ipynb", (2026, 11, 26, 12, 0, 0))
    other = f"../../class/submissions/ann/{SET}/{SET}.ipynb".encode()
    more = b"\1" + zlib.crc32(entry.filename.encode()).to_bytes(4, "little") + other
    entry.extra = b"\x75\x70" + len(more).to_bytes(2, "little") + more
    zipped(hall.inbox / "eve.zip", (entry, _eve(hall)))


@DISGUISES.add(points=1, says="")
def folder_that_holds_words(hall: Hall) -> None:
    """An entry that calls itself a folder, and holds a notebook in ann's name."""
    folder = zipfile.ZipInfo(f"ann/{SET}.ipynb/", (2026, 11, 26, 12, 0, 0))
    zipped(hall.inbox / "eve.zip", (folder, b"{}"), (f"good/{SET}.ipynb", _eve(hall)))


@DISGUISES.add(points=1, says="only the latest 20 were looked at; left alone were eve.zip/x/")
def entries_that_overlap(hall: Hall) -> None:
    """Forty names for the same packed megabytes, each of which would be unpacked again."""
    path = zipped(hall.inbox / "eve.zip", (f"x/{SET} (00).ipynb", _eve(hall) + b" " * 19_000_000))
    data = path.read_bytes()
    start, end = data.index(b"PK\1\2"), data.index(b"PK\5\6")
    entry = data[start:end]
    entries = b"".join(entry.replace(b"(00)", b"(%02d)" % number) for number in range(_OVERLAPPING))
    tail = data[end : end + 8] + _OVERLAPPING.to_bytes(2, "little") * 2
    tail += len(entries).to_bytes(4, "little") + start.to_bytes(4, "little") + bytes(2)
    path.write_bytes(data[:start] + entries + tail)


@DISGUISES.add(points=0, says="eve): notebook set aside. The notebook was made for student ann.")
def second_name_of_anothers_file(hall: Hall) -> None:
    """A hard link to ann's paper: the same file under eve's name; nothing tells it from a copy."""
    (hall.inbox / "eve").mkdir()
    os.link(hall.inbox / "ann" / f"{SET}.ipynb", hall.inbox / "eve" / f"{SET}.ipynb")


@DISGUISES.add(points=1, says="eve/receipts.json isn't a notebook")
def receipts_of_ones_own(hall: Hall) -> None:
    """What collecting itself writes beside a notebook, handed in with it: an early time, and a list of receipts."""
    hall.eve()
    hall.put("eve/timestamp.txt", b"1999-01-01 00:00:00.000000 UTC")
    hall.put("eve/receipts.json", json.dumps({"0" * 64: {"time": "1999-01-01"}}).encode())
    hall.put("eve/submission_secret.txt", b"x" * 64)


@DISGUISES.add(points=0, says=ASIDE + "isn't well-formed")
def notes_between_the_lines(hall: Hall) -> None:
    """Remarks and a comma too many, which some readers of JSON pass over."""
    hall.put(f"eve/{SET}.ipynb", b"// mine\n" + _eve(hall).replace(b"}", b",}", 1))


def _digits(name: str, first: int, says: str) -> None:
    def plant(hall: Hall) -> None:
        other = "".join(chr(first + int(sign)) if sign.isdecimal() else sign for sign in "100 mL")
        hall.eve(lambda notebook: answer_cell(notebook, 2).update(source=f'answer_2 = "{other}"'))

    plant.__name__ = name
    DISGUISES.add(points=1, says=says)(plant)


_digits("digits of another script", 0x0966, UNREAD)
# They are the same digits to every program, and are read as such.
_digits("digits that look like bold ones", 0x1D7CE, "")
