"""Classes that are measured: of the demo's problems and simulated students, and larger ones made of their papers."""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import shutil
from decimal import Decimal
from pathlib import Path

from sqlalchemy import insert, select

from calclib.class_files import class_folder
from calclib.class_files.blueprint import read_blueprint
from calclib.class_files.catalogue import whole_catalogue
from calclib.class_files.secrets_file import read_secret
from calclib.collecting import collect
from calclib.demo.class_list import SET, demo_blueprint, demo_roster
from calclib.demo.filling_in import PREPARED, fill_in
from calclib.demo.run import run_demo
from calclib.gradebook.opening import gradebook_transaction
from calclib.records import reading
from calclib.records.people import pseudonyms
from calclib.records.sealed import numbers_hash
from calclib.records.tables import ITEM, PAPER, PERSON
from calclib.releasing import hand_out, start_class
from calclib.releasing.seal import sealed_or_found
from calclib.releasing.slots import Ordered

NOW = dt.datetime(2026, 11, 25, 8, 0, tzinfo=dt.UTC)


def simulated(folder: Path, students: int) -> None:
    """Make a class of which each student has numbers and answers of his or her own, handed in and collected."""
    with contextlib.redirect_stderr(io.StringIO()):
        run_demo(folder, students, "demo", now=NOW, prepared=Decimal(0), retest=False)
    (folder / "nbgrader_config.py").unlink()


def of_twenty_items(place: Path, students: int) -> tuple[Path, str]:
    """Make a class that has handed in a set of twenty items, and return where it is and its blueprint."""
    blueprint = demo_blueprint().replace("[[items]]\n", "[[items]]\ncount = 2\n")
    (place / "roster.csv").write_text(demo_roster(students))
    (place / "blueprint.toml").write_text(blueprint)
    folder = place / "class"
    with contextlib.redirect_stderr(io.StringIO()):
        start_class(folder, place / "roster.csv")
        hand_out(folder, place / "blueprint.toml", now=NOW)
        fill_in(class_folder(folder), SET, folder / "handed-in", "demo", prepared=PREPARED)
        collect(folder, SET, folder / "handed-in", now=NOW)
    return folder, blueprint


def unmarked(folder: Path) -> None:
    """Take all marks out of a class, so that it is marked for the first time again."""
    tables = "grade comment submitted_notebook submitted_assignment calclib_mark calclib_answer calclib_set_aside"
    with gradebook_transaction(class_folder(folder)) as connection:
        for table in (*tables.split(), "calclib_history"):
            connection.exec_driver_sql(f"delete from {table}")  # noqa: S608 - names from the line above
    shutil.rmtree(folder / "autograded", ignore_errors=True)


def larger(folder: Path, source: Path, students: int, blueprint: str = "") -> None:
    """Make a class of many students out of a small one: records and notebooks are copied under new names.

    Args:
        folder: Where it goes.
        source: The small class.
        students: How many.
        blueprint: That of the set of the small class, the demo's if none is given.
    """
    folder.mkdir(parents=True)
    roster = folder / "roster.csv"
    lines = ["id,name", *(f"s{n:05},Student {n}" for n in range(students))]
    roster.write_text("\n".join(lines) + "\n")
    start_class(folder / "class", roster)
    seal_set(folder / "class", blueprint or demo_blueprint())
    with reading(class_folder(source)) as connection:
        papers = [dict(row) for row in connection.execute(select(PAPER)).mappings()]
        items = [dict(row) for row in connection.execute(select(ITEM)).mappings()]
        people = {row.pseudonym: row.student_id for row in connection.execute(select(PERSON))}
    where = class_folder(folder / "class")
    with gradebook_transaction(where) as connection:
        names = pseudonyms(connection)
        for n in range(students):
            paper = papers[n % len(papers)]
            old, new = paper["pseudonym"], names[f"s{n:05}"]
            path = class_folder(source).submitted(SET, people[old])
            connection.execute(insert(PAPER).values(**paper | {"pseudonym": new, "numbers": numbers_hash([str(n)])}))
            connection.execute(insert(ITEM), [item | {"pseudonym": new} for item in items if item["pseudonym"] == old])
            if path.is_file():
                target = where.submitted(SET, f"s{n:05}")
                target.parent.mkdir(parents=True)
                target.write_text(path.read_text().replace(old, new))


def seal_set(folder: Path, text: str) -> None:
    """Seal a set in a new class without drawing for anybody."""
    blueprint = folder.parent / "blueprint.toml"
    blueprint.write_text(text)
    where = class_folder(folder)
    catalogue = whole_catalogue()
    order = read_blueprint(blueprint, catalogue)
    with gradebook_transaction(where) as connection:
        sealed_or_found(connection, where, Ordered(order, catalogue, {}), read_secret(where.secret), NOW)
