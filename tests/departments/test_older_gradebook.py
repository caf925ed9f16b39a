"""An older gradebook on PostgreSQL is brought up as on SQLite: after a copy, wholly or not at all."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, MetaData, create_engine, func, insert, inspect, select, text

from calclib.errors import BadInput
from calclib.records.schema import NEWEST
from tests.departments.conftest import as_postgres, program
from tests.records.schema.older_folders import NOTES, SETS, OlderFolder, done, exported, run, unpack
from tests.records.schema.test_schema_version import KILLED

pytestmark = [
    pytest.mark.service("postgresql"),
    pytest.mark.filterwarnings("ignore:Object of type:sqlalchemy.exc.SAWarning"),
]


def moved(folder: Path, url: str) -> None:
    """Put the gradebook of a class folder on a server, as an earlier version would have made it there."""
    file, server = create_engine(f"sqlite:///{folder / 'gradebook.db'}"), create_engine(url)
    tables = MetaData()
    tables.reflect(file)
    for table in tables.tables.values():
        for column in table.columns:
            column.type = column.type.as_generic()
    with file.connect() as source, server.begin() as target:
        tables.create_all(target)
        for table in tables.sorted_tables:
            found = [dict(row) for row in source.execute(select(table)).mappings()]
            if found:
                target.execute(insert(table), found)
        last = target.execute(select(func.max(tables.tables["calclib_history"].c.id))).scalar()
        target.execute(text(f"SELECT setval('calclib_history_id_seq', {last})"))
    file.dispose()
    server.dispose()
    (folder / "gradebook.db").unlink()
    (folder / "class.toml").write_text(f'course = "dosage"\ngradebook_url = "{url}"\n', encoding="utf-8")


def rows(engine: Engine) -> dict[str, list[Any]]:
    """Every row of every table, as text, since a time is one type here and another there."""
    tables = MetaData()
    tables.reflect(engine)
    with engine.connect() as connection:
        return {
            name: sorted([str(value) for value in row] for row in connection.execute(select(table)))
            for name, table in tables.tables.items()
        }


@pytest.fixture
def older(postgresql: Callable[[], str], tmp_path: Path) -> tuple[OlderFolder, Engine]:
    """The class of 0.1.0 with its gradebook on the server."""
    found, url = unpack("by_0_1_0", tmp_path), postgresql()
    moved(found.folder, url)
    return found, create_engine(url)


def test_scores_history_and_review_are_those_of_then(older: tuple[OlderFolder, Engine], tmp_path: Path) -> None:
    """The copy holds every row of the server, and the class goes on."""
    found, engine = older
    before = rows(engine)
    for set_name in SETS:
        wanted = {one: (NOTES.get((set_name, one), ""), scores) for one, scores in found.scores[set_name].items()}
        assert exported(found.folder, set_name, tmp_path / "results.csv") == wanted
        events = done("history", found.folder, set_name)
        assert events.count("\n") == found.printed(f"{set_name}-history").count("\n")
    assert done("review", found.folder, "w1") == found.printed("w1-review").replace("keyed anew", "re-keyed")
    copy = create_engine(f"sqlite:///{found.folder / 'gradebook-copies' / 'tables-0.db'}")
    assert rows(copy) == before
    copy.dispose()
    with engine.connect() as connection:
        assert connection.execute(text("SELECT version_num FROM calclib_schema_version")).scalar() == str(NEWEST)
    done("rule", found.folder, "w1", "--problem", 7, "--void", "--reason", "Later.", "--yes")
    done("erase", found.folder, "fay", "--yes")
    assert not (found.folder / "gradebook-copies").exists()
    engine.dispose()


def test_a_run_that_is_killed_leaves_the_older_gradebook(older: tuple[OlderFolder, Engine]) -> None:
    """Also after tables were changed; the next run brings all of it up."""
    found, engine = older
    before = rows(engine)
    for statement in (2, 5):
        command = [sys.executable, "-c", KILLED, str(statement), "review", str(found.folder), "w1"]
        assert subprocess.run(command, capture_output=True, timeout=120).returncode == 9
        assert rows(engine) == before
    assert done("review", found.folder, "w1") == found.printed("w1-review").replace("keyed anew", "re-keyed")
    engine.dispose()


def test_a_newer_gradebook_is_refused(older: tuple[OlderFolder, Engine]) -> None:
    """As on SQLite: one sentence, and nothing is written."""
    found, engine = older
    done("review", found.folder, "w1")
    with engine.begin() as connection:
        connection.execute(text("UPDATE calclib_schema_version SET version_num = '99'"))
    before = rows(engine)
    for command, *words in (("review", "w1"), ("mark", "w1", "--yes")):
        refused = run(command, found.folder, *words).exception
        assert isinstance(refused, BadInput)
        assert "version 99" in str(refused)
    assert rows(engine) == before
    engine.dispose()


@pytest.mark.skipif(os.geteuid() != 0, reason="acts as another account of the server")
def test_an_account_without_the_right_is_told_who_has_it(older: tuple[OlderFolder, Engine]) -> None:
    """One that may read the tables and not change them; they stay as they were."""
    found, engine = older
    place, port = engine.url.query["host"], engine.url.query["port"]
    psql = (program("psql"), "-h", str(place), "-p", str(port), "-d", str(engine.url.database), "-q", "-c")
    as_postgres(
        *psql, "CREATE ROLE reader; GRANT reader TO root; GRANT SELECT ON ALL TABLES IN SCHEMA public TO reader"
    )
    before = rows(engine)
    url = engine.url.render_as_string(hide_password=False)
    as_reader = f"{url}&options=-c%20role%3Dreader"
    (found.folder / "class.toml").write_text(f'course = "dosage"\ngradebook_url = "{as_reader}"\n', encoding="utf-8")
    refused = run("review", found.folder, "w1").exception
    assert isinstance(refused, BadInput)
    assert "may not change its tables" in str(refused)
    assert rows(engine) == before
    assert not inspect(engine).has_table("calclib_schema_version")
    engine.dispose()
