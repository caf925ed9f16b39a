"""Bring the tables of a gradebook up to the version of this program: wholly or not at all, after a copy was made."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from calclib.class_files.class_folder import ClassFolder
from calclib.errors import CalclibError
from calclib.records.schema.copies import copy_gradebook
from calclib.records.schema.version import NEWEST, refuse_newer, version_within
from calclib.records.tables import METADATA
from calclib.wording.facts import fact

if TYPE_CHECKING:
    from alembic.config import Config


def bring_up(connection: Connection, folder: ClassFolder) -> None:
    """Make our tables, or change older ones to those of this program.

    A run that is killed leaves the gradebook as it was: all of it is one transaction. The copy stands in the class
    folder before anything is changed.

    Args:
        connection: A connection in a transaction in which nobody else writes.
        folder: The class folder.

    Raises:
        BadInput: the tables are of a newer program.
        CalclibError: the copy can't be written.
    """
    found = version_within(connection)
    if found == NEWEST:
        return
    refuse_newer(found, folder.path)
    with _alembic(connection, folder) as config:
        from alembic.command import stamp, upgrade

        if found is None:
            METADATA.create_all(connection)
            stamp(config, "head")
            return
        try:
            copy_gradebook(connection, folder.gradebook_copy(found))
        except OSError as error:
            raise CalclibError(
                fact("errors_records.no_copy", reason=str(error.strerror)),
                where=str(folder.path),
            ) from None
        upgrade(config, "head")


@contextmanager
def _alembic(connection: Connection, folder: ClassFolder) -> Iterator[Config]:
    from alembic.config import Config

    config = Config()
    # A percent sign begins a reference there.
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.attributes["connection"] = connection
    config.attributes["folder"] = folder.path
    yield config
