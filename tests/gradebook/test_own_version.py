from pathlib import Path

import pytest
from nbgrader.api import Base
from sqlalchemy import Engine, create_engine, inspect, text

from calclib.gradebook.own_version import finish_version
from calclib.releasing import start_class
from tests.small_class.started import ROSTER

NEW, OLD = "e43177bfe90b", "167914646830"


@pytest.fixture
def engine(tmp_path: Path) -> Engine:
    """A database with nbgrader's tables and no version, as a run leaves it that is killed in between."""
    engine = create_engine(f"sqlite:///{tmp_path / 'gradebook.db'}")
    Base.metadata.create_all(engine)
    return engine


def versions(engine: Engine) -> list[str]:
    """What is recorded, in the order of writing."""
    with engine.connect() as connection:
        return list(connection.execute(text("SELECT version_num FROM alembic_version")).scalars())


@pytest.mark.parametrize("table", [False, True], ids=["no table", "an empty table"])
def test_tables_of_this_nbgrader_get_their_version_once(engine: Engine, table: bool) -> None:
    """Killed between the tables and their version, or between the version's table and its row."""
    if table:
        with engine.begin() as connection:
            connection.execute(text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)"))
    finish_version(engine, Base.metadata, NEW)
    finish_version(engine, Base.metadata, NEW)
    assert versions(engine) == [NEW]


def test_another_version_stays(engine: Engine) -> None:
    """What nbgrader wrote is left to nbgrader."""
    finish_version(engine, Base.metadata, OLD)
    finish_version(engine, Base.metadata, NEW)
    assert versions(engine) == [OLD]


def test_tables_of_an_earlier_date_are_not_called_new(engine: Engine) -> None:
    """They lack a column: nbgrader itself has to upgrade them."""
    with engine.begin() as connection:
        connection.execute(text("ALTER TABLE student DROP COLUMN lms_user_id"))
    finish_version(engine, Base.metadata, NEW)
    assert not inspect(engine).has_table("alembic_version")


def test_a_class_whose_start_was_killed_in_between_is_finished(tmp_path: Path) -> None:
    """The next command writes what is missing: nbgrader's tables stand in the gradebook, nothing else."""
    (tmp_path / "roster.csv").write_text(ROSTER, encoding="utf-8")
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    path = tmp_path / "class" / "gradebook.db"
    engine = create_engine(f"sqlite:///{path}")
    expected = versions(engine)
    # A connection that is kept would go on with the file that is removed.
    engine.dispose()
    path.unlink()
    Base.metadata.create_all(engine)
    engine.dispose()
    assert not inspect(engine).has_table("alembic_version")
    engine.dispose()
    start_class(tmp_path / "class", tmp_path / "roster.csv")
    assert versions(engine) == expected
    assert len(expected) == 1
