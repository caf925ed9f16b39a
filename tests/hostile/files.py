"""Files that aren't what they seem: beyond measure, malformed, links, devices, paths that lead out, and zips."""

from __future__ import annotations

import json
import os
import socket
import stat
import zipfile
from pathlib import Path

from tests.hostile.hall import SET, Hall, Notebook, answer_cell, check_cells, own_cell, written, zipped
from tests.hostile.kinds import Kinds

FILES = Kinds()
ZIPS = Kinds()
ASIDE = "eve): notebook set aside. The notebook "


def _malformed(name: str, data: bytes, says: str) -> None:
    def plant(hall: Hall) -> None:
        hall.put(f"eve/{SET}.ipynb", data)

    plant.__name__ = name
    FILES.add(points=0, says=ASIDE + says)(plant)


_malformed("nested a hundred thousand deep", b'{"nbformat": 4, "cells": ' + b"[" * 100_000, "is nested too deeply")
_malformed("nested in tables", b'{"cells":' * 50_000, "is nested too deeply")
_malformed("not a number", b'{"nbformat": 4, "cells": [{"source": NaN}]}', "isn't well-formed (it holds NaN)")
_malformed("infinity", b'{"nbformat": -Infinity, "cells": []}', "isn't well-formed (it holds -Infinity)")
_malformed("number of a million digits", b'{"nbformat": ' + b"4" * 1_000_000 + b"}", "isn't well-formed")
_malformed("decimals without end", b'{"nbformat": 4.' + b"1" * 1_000_000 + b', "cells": []}', "is in another notebook")
_malformed("not UTF-8", b'{"nbformat": 4, "cells": ["\xff\xfe\xc0\xaf"]}', "isn't well-formed (not UTF-8)")
_malformed("a program", b"#!/bin/sh\ntouch planted\n", "isn't well-formed (line 1)")
_malformed("a list", b"[]", "isn't a notebook")
_malformed("cells as a table", b'{"nbformat": 4, "cells": {"0": {}}}', "has no cells")
_malformed(
    "cells of another kind", b'{"nbformat": 4, "cells": [1, null, [], "x", {"source": {}}]}', "doesn't say for whom"
)
_malformed("million of empty cells", b'{"nbformat": 4, "cells": [' + b"[]," * 1_500_000 + b"[]]}", "has more parts")
_malformed("six thousand cells", b'{"nbformat": 4, "cells": [' + b"{}," * 6_000 + b"{}]}", "has more than 5000 cells")


@FILES.add(points=1, says="The answer cell is missing")
def schema_broken_in_every_cell(hall: Hall) -> None:
    """Fields of a kind that no notebook has, in cells that aren't asked for, and in one that is."""

    def change(notebook: Notebook) -> None:
        for one in check_cells(notebook):
            one |= {"metadata": [], "source": {"a": 1}, "outputs": "many", "cell_type": 3}
        answer_cell(notebook, 2).update(id=7, metadata={"nbgrader": {"grade_id": ["x"]}})
        notebook["cells"] += [None, 5, "cell", [[]], {"cell_type": "code", "source": [1, None, {}]}]
        notebook["metadata"]["kernelspec"] = []

    hall.eve(change)


@FILES.add(points=1, says="The answer cell is there twice")
def duplicate_cell_ids(hall: Hall) -> None:
    """Every cell twice, one of them changed: stock marking stops the whole class at this."""

    def change(notebook: Notebook) -> None:
        notebook["cells"] += [dict(one) for one in notebook["cells"]]
        answer_cell(notebook, 2)["source"] = 'answer_2 = "1 mL"'
        notebook["cells"].append({**answer_cell(notebook, 2), "source": 'answer_2 = "2 mL"'})

    hall.eve(change)


@FILES.add(points=1, says="")
def keys_that_come_twice(hall: Hall) -> None:
    """A second list of cells, before the one that Jupyter would show."""
    path = hall.eve()
    path.write_text(path.read_text(encoding="utf-8").replace("{", '{"cells": [{"id": "x"}], ', 1), encoding="utf-8")


@FILES.add(points=0, says="is larger than 20 MB: it was left alone")
def hundred_megabytes(hall: Hall) -> None:
    """A file whose length is a claim that costs nothing."""
    with hall.put(f"eve/{SET}.ipynb", b"{").open("r+b") as file:
        file.truncate(100_000_000)


@FILES.add(points=0, says=ASIDE + "is larger than 20 MB.")
def hundred_megabytes_in_the_submissions(hall: Hall) -> None:
    """The same, where nbgrader's own collecting puts it."""
    with hall.submit("eve", b"{").open("r+b") as file:
        file.truncate(100_000_000)


@FILES.add(points=0, says=f"eve/{SET}.ipynb is a link, not a file")
def link_to_anothers_paper(hall: Hall) -> None:
    """A symbolic link to ann's."""
    (hall.inbox / "eve").mkdir()
    (hall.inbox / "eve" / f"{SET}.ipynb").symlink_to(hall.inbox / "ann" / f"{SET}.ipynb")


@FILES.add(points=0, says="eve is a link, not a file")
def link_to_a_folder(hall: Hall) -> None:
    """A symbolic link to everything."""
    (hall.inbox / "eve").symlink_to("/")


@FILES.add(points=0, says=ASIDE + "isn't a plain file.")
def link_in_the_submissions(hall: Hall) -> None:
    """A symbolic link out of the class folder, to a right paper."""
    right = written(hall.outside / "right.ipynb", hall.answered("eve", hall.key("eve")))
    hall.submit("eve", b"").unlink()
    (hall.folder / "submissions" / "eve" / SET / f"{SET}.ipynb").symlink_to(right)


@FILES.add(points=0, says=ASIDE + "lies behind a link, not in a folder.")
def linked_folder_in_the_submissions(hall: Hall) -> None:
    """Eve's folder is a symbolic link, so that reading and writing there happens elsewhere."""
    written(hall.outside / SET / f"{SET}.ipynb", hall.answered("eve", hall.key("eve")))
    (hall.folder / "submissions").mkdir(exist_ok=True)
    (hall.folder / "submissions" / "eve").symlink_to(hall.outside)


@FILES.add(points=0, says="The folder of eve in submissions is a link")
def collecting_into_a_link(hall: Hall) -> None:
    """The same before collecting, which would write through it."""
    hall.eve()
    (hall.folder / "submissions").mkdir(exist_ok=True)
    (hall.folder / "submissions" / "eve").symlink_to(hall.outside)


@FILES.add(points=0, says=f"eve/{SET}.ipynb isn't a plain file")
def pipe(hall: Hall) -> None:
    """A reader would wait for ever."""
    (hall.inbox / "eve").mkdir()
    os.mkfifo(hall.inbox / "eve" / f"{SET}.ipynb")


@FILES.add(points=0, says=f"eve/{SET}.ipynb isn't a plain file")
def socket_in_place_of_a_file(hall: Hall) -> None:
    """Neither can be read nor copied."""
    folder = hall.inbox / "eve"
    folder.mkdir()
    os.chdir(folder)  # the path of a socket may have a hundred characters at most
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(f"{SET}.ipynb")
    os.chdir(hall.root / "cwd")


@FILES.add(points=0, says=ASIDE + "isn't a plain file.")
def pipe_in_the_submissions(hall: Hall) -> None:
    """The same, where nbgrader's own collecting puts it."""
    path = hall.submit("eve", b"")
    path.unlink()
    os.mkfifo(path)


@FILES.add(points=1, says="lies more than 20 folders deep")
def folders_within_folders(hall: Hall) -> None:
    """Deeper than a program can go by calling itself."""
    hall.eve()
    os.chdir(hall.inbox)
    for _ in range(1_100):
        Path("a").mkdir()
        os.chdir("a")
    os.chdir(hall.root / "cwd")


@FILES.add(points=1, says="handed in 41 notebooks: only the latest 20 were looked at")
def hundreds_of_notebooks(hall: Hall) -> None:
    """Copies without number under names that fit; eve's own is still found."""
    hall.eve()
    for number in range(40):
        hall.put(f"eve/{SET} ({number}).ipynb", b"{}", hours=-number)


@FILES.add(points=1, says="")
def names_without_end(hall: Hall) -> None:
    """A name as long as a file system allows, made to be slow to compare."""
    path = hall.eve()
    path.rename(path.with_name("a_" * 124 + ".ipynb"))


def _eve(hall: Hall) -> bytes:
    """Eve's paper with one right answer."""
    return json.dumps(hall.answered("eve", {1: hall.key("eve")[1]})).encode()


def _zip(name: str, entry: str | zipfile.ZipInfo, says: str, data: bytes = b"{}") -> None:
    def plant(hall: Hall) -> None:
        zipped(hall.inbox / "eve.zip", (entry, data), (f"good/{SET}.ipynb", _eve(hall)))

    plant.__name__ = name
    ZIPS.add(points=1, says=says)(plant)


def _special(name: str, kind: int) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, (2026, 11, 26, 12, 0, 0))
    entry.create_system = 3
    entry.external_attr = (kind | 0o777) << 16
    return entry


_zip("zip that climbs out", f"../../class/submissions/ann/{SET}/{SET}.ipynb", "leads out")
_zip("zip with an absolute path", f"/tmp/{SET}.ipynb", "leads out")  # noqa: S108 - it is never written
_zip("zip with a path of a device", "/dev/sda.ipynb", "leads out")
_zip("zip with a drive", f"C:\\ann\\{SET}.ipynb", "leads out")
_zip("zip with a device of Windows", "\\\\.\\PhysicalDrive0.ipynb", "leads out")
_zip("zip with a stream of Windows", f"ann/{SET}.ipynb::$DATA.ipynb", "leads out")
_zip("zip with a link", _special(f"x/{SET}.ipynb", stat.S_IFLNK), "is a link", b"/etc/passwd")
_zip("zip with a device", _special(f"x/{SET}.ipynb", stat.S_IFCHR), "is a device")
_zip("zip with a pipe", _special(f"x/{SET}.ipynb", stat.S_IFIFO), "is a device")
_zip("bomb by ratio", f"x/{SET}.ipynb", "grows more than", b"\0" * 19_000_000)
_zip("bomb by size", f"x/{SET}.ipynb", "larger than", b"0123456789abcdef" * 2_000_000)
_zip("bomb by nesting", "x/42.zip", "zip within a zip", b"PK")


@ZIPS.add(points=0, says="eve.zip holds more than 100,000 files")
def bomb_by_count(hall: Hall) -> None:
    """More entries than any class hands in, all of which are the same few bytes."""
    one = zipped(hall.inbox / "eve.zip", ("x.ipynb", _eve(hall)))
    data = one.read_bytes()
    start = data.index(b"PK\1\2")
    entry = data[start : data.index(b"PK\5\6")]
    count, size = 100_001, len(entry) * 100_001
    wide = b"PK\6\6" + (44).to_bytes(8, "little") + bytes([45, 3, 45, 0]) + bytes(8)
    wide += count.to_bytes(8, "little") * 2 + size.to_bytes(8, "little") + start.to_bytes(8, "little")
    where = b"PK\6\7" + bytes(4) + (start + size).to_bytes(8, "little") + (1).to_bytes(4, "little")
    end = b"PK\5\6" + bytes(4) + b"\xff" * 12 + bytes(2)
    one.write_bytes(data[:start] + entry * count + wide + where + end)


@ZIPS.add(points=0, says="is damaged within the zip")
def size_that_lies(hall: Hall) -> None:
    """The head of the entry says five megabytes, what comes out is more than twenty."""
    path = zipped(hall.inbox / "eve.zip", (f"x/{SET}.ipynb", os.urandom(10) * 2_500_000))
    lie = path.read_bytes().replace((25_000_000).to_bytes(4, "little"), (5_000_000).to_bytes(4, "little"))
    path.write_bytes(lie)


@ZIPS.add(points=1, says="is locked with a password")
def password(hall: Hall) -> None:
    """An entry that nobody can read."""
    path = zipped(hall.inbox / "eve.zip", (f"a/{SET}.ipynb", b"{}"), (f"good/{SET}.ipynb", _eve(hall)))
    data = bytearray(path.read_bytes())
    data[6] |= 1
    data[data.index(b"PK\1\2") + 8] |= 1
    path.write_bytes(bytes(data))


@ZIPS.add(points=1, says="is damaged within the zip")
def way_of_packing_that_is_not_known(hall: Hall) -> None:
    """An entry whose way of packing doesn't exist."""
    path = zipped(hall.inbox / "eve.zip", (f"a/{SET}.ipynb", b"{}"), (f"good/{SET}.ipynb", _eve(hall)))
    data = bytearray(path.read_bytes())
    data[8], data[data.index(b"PK\1\2") + 10] = 77, 77
    path.write_bytes(bytes(data))


@ZIPS.add(points=1, says="eve.zip holds a file without a name")
def entry_without_a_name(hall: Hall) -> None:
    """A name that begins with a zero byte, where names of files end."""
    path = zipped(hall.inbox / "eve.zip", ("?.ipynb", b"{}"), (f"good/{SET}.ipynb", _eve(hall)))
    path.write_bytes(path.read_bytes().replace(b"?.ipynb", b"\0.ipynb"))


@ZIPS.add(points=1, says="handed in 2 notebooks of this set")
def entries_of_one_name(hall: Hall) -> None:
    """Two entries under one name, of which a viewer shows the first and another the last."""
    path = zipped(hall.inbox / "eve.zip", (f"a/{SET}.ipynb", _eve(hall)), (f"b/{SET}.ipynb", b"{}"))
    path.write_bytes(path.read_bytes().replace(b"b/week-3", b"a/week-3"))


@ZIPS.add(points=0, says="eve.zip isn't a zip that can be read")
def not_a_zip(hall: Hall) -> None:
    """A program that calls itself a zip."""
    hall.put("eve.zip", b"#!/bin/sh\n")


@ZIPS.add(points=0, says="eve.zip isn't a zip that can be read, or is too large")
def huge_zip(hall: Hall) -> None:
    """A zip whose length is a claim that costs nothing."""
    with hall.put("eve.zip", b"PK").open("r+b") as file:
        file.truncate(300_000_000)


@ZIPS.add(points=1, says="has an impossible time")
def times_that_cannot_be(hall: Hall) -> None:
    """Month 0 of a year in a zip."""
    entry = zipfile.ZipInfo(f"x/{SET}.ipynb", (1980, 0, 0, 0, 0, 0))
    zipped(hall.inbox / "eve.zip", (entry, _eve(hall)))


@ZIPS.add(points=1, says="")
def passed_over(hall: Hall) -> None:
    """Checkpoints and what an operating system leaves, with another's name."""
    hall.eve(lambda notebook: notebook["cells"].append(own_cell("code", "")))
    zipped(
        hall.inbox / "more.zip", (f"__MACOSX/ann/{SET}.ipynb", b"{}"), (f".ipynb_checkpoints/ann/{SET}.ipynb", b"{}")
    )
    hall.put(f"ann/.ipynb_checkpoints/{SET}-checkpoint.ipynb", b"{}", hours=3)
