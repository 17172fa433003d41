"""The two databases that the store has to work with alike: SQLite and a real PostgreSQL.

The PostgreSQL cluster is private to the test run: made in a temporary directory,
reached through a socket in it, owned by an unprivileged user, and gone afterwards.
A missing PostgreSQL is an error and not a reason to skip.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_engine, text

from basswright.database import connect


def _programs() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    on_path = shutil.which("initdb")
    if not found and on_path is None:
        raise RuntimeError(
            "these tests need a PostgreSQL server: install Debian's postgresql package"
        )
    return found[-1].parent if found else Path(str(on_path)).parent


def _run(*command: str | Path) -> None:
    """Run a program as an unprivileged user; PostgreSQL refuses to run as root."""
    user = "postgres" if os.getuid() == 0 else None
    environment = {"PATH": os.environ["PATH"], "LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        [str(part) for part in command],
        user=user,
        group=pwd.getpwnam(user).pw_gid if user else None,
        extra_groups=[] if user else None,
        env=environment,
        cwd="/",
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise RuntimeError(f"{command[0]} failed: {done.stderr}{done.stdout}")


@pytest.fixture(scope="session")
def postgresql() -> Iterator[str]:
    """Start a private cluster and give the URL of its first database."""
    programs = _programs()
    folder = Path(tempfile.mkdtemp(prefix="pg-", dir="/tmp"))
    if os.getuid() == 0:
        shutil.chown(folder, "postgres", pwd.getpwnam("postgres").pw_gid)
    data = folder / "data"
    try:
        _run(
            programs / "initdb",
            *("-D", data, "-U", "workshop", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8"),
            "--no-sync",
        )
        settings = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"
        _run(programs / "pg_ctl", "-D", data, "-w", "-l", folder / "log", "-o", settings, "start")
        try:
            yield f"postgresql://workshop@/postgres?host={folder}"
        finally:
            _run(programs / "pg_ctl", "-D", data, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _fresh_schema(url: str) -> None:
    engine = create_engine(url.replace("postgresql:", "postgresql+psycopg:", 1))
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Give the URL of an empty database of either sort."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'store.sqlite'}"
    url = str(request.getfixturevalue("postgresql"))
    _fresh_schema(url)
    return url


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """Give an empty store of either sort."""
    opened = connect(database_url)
    yield opened
    opened.dispose()
