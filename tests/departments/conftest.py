"""A PostgreSQL server of our own for these tests, and a class whose draws are the same wherever its gradebook is."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from calclib.releasing import hand_out, start_class
from tests.small_class.started import BLUEPRINT, NOW, ROSTER

POSTGRES = "postgres"


def program(name: str) -> str:
    """Path of one of the server's programs; Debian keeps them out of PATH."""
    found = shutil.which(name) or max(map(str, Path("/usr/lib/postgresql").glob(f"*/bin/{name}")), default=None)
    if found is None:
        pytest.fail("PostgreSQL is not on this machine: install it (Debian: apt-get install postgresql).")
    return found


def as_postgres(*command: str) -> None:
    """Run a command as the server's own account: it refuses to run as root."""
    who = ["runuser", "-u", POSTGRES, "--"] if os.geteuid() == 0 else []
    done = subprocess.run([*who, *command], cwd="/", capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr or done.stdout


@pytest.fixture(scope="session")
def postgresql() -> Iterator[Callable[[], str]]:
    """Makes a new database and returns its address; the server is started before and torn down after."""
    place = Path(tempfile.mkdtemp(prefix="calclib-pg-"))
    data, port = place / "data", "54377"
    if os.geteuid() == 0:
        shutil.chown(place, POSTGRES)
        # Other accounts of the machine reach the socket, and are told apart by the system.
        place.chmod(0o755)
    as_postgres(program("initdb"), "-A", "peer", "--no-sync", "-D", str(data))
    options = f"-k {place} -c listen_addresses= -p {port} -F"
    as_postgres(program("pg_ctl"), "-w", "-D", str(data), "-l", str(place / "log"), "-o", options, "start")
    try:
        me = "root" if os.geteuid() == 0 else POSTGRES
        psql = (program("psql"), "-h", str(place), "-p", port, "-d", "postgres", "-q", "-c")
        if me == "root":
            as_postgres(*psql, "CREATE ROLE root LOGIN CREATEDB")
        count = iter(range(1_000))

        def make() -> str:
            name = f"class{next(count)}"
            as_postgres(*psql, f"CREATE DATABASE {name} OWNER {me}")
            return f"postgresql+psycopg://{me}@/{name}?host={place}&port={port}"

        yield make
    finally:
        as_postgres(program("pg_ctl"), "-D", str(data), "-m", "fast", "stop")
        shutil.rmtree(place)


@pytest.fixture
def make_class(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., Path]:
    """Makes the class of three with its set handed out; with the same secret each time, so with the same draws."""
    monkeypatch.setattr("secrets.token_hex", lambda count: "5a" * count)

    def make(name: str, db_url: str | None = None) -> Path:
        place = tmp_path / name
        place.mkdir()
        (place / "roster.csv").write_text(ROSTER, encoding="utf-8")
        (place / "week-3.toml").write_text(BLUEPRINT, encoding="utf-8")
        start_class(place / "class", place / "roster.csv", db_url=db_url)
        hand_out(place / "class", place / "week-3.toml", now=NOW)
        return place / "class"

    return make
