"""One engine for the whole program: SQLite in the data folder, or PostgreSQL by URL."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from platformdirs import user_data_path
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from basswright.database.upgrade import upgrade
from basswright.errors import InputError, MissingPartError

#: Environment variable that names another database than the default one.
VARIABLE: Final = "BASSWRIGHT_DATABASE"
_ALLOWED: Final = "a SQLite file, sqlite:///FILE or postgresql://USER@HOST/NAME"
_BUSY_S: Final = 15.0
_WRITES: Final = "basswright_writes"


def default_url() -> URL:
    """Return the URL of the default database, a file in the user's data folder."""
    path = user_data_path("basswright", appauthor=False) / "basswright.sqlite"
    return URL.create("sqlite", database=str(path))


def connect(url: str | None = None) -> Engine:
    """Open the database, make or upgrade its tables, and return the engine.

    Parameters
    ----------
    url : str, optional
        ``sqlite:///FILE``, a plain path of a SQLite file, or ``postgresql://...``.
        Otherwise the environment variable ``BASSWRIGHT_DATABASE``, otherwise a file
        in the user's data folder.

    Raises
    ------
    InputError
        The URL cannot be used, nothing answers there, it is no database, or it was
        made by a newer version of the program.
    MissingPartError
        PostgreSQL is asked for and its driver is not installed.
    """
    given = url or os.environ.get(VARIABLE) or ""
    target = _read_url(given) if given else default_url()
    if target.get_backend_name() == "sqlite":
        engine = _sqlite(target)
    elif target.get_backend_name() == "postgresql":
        engine = _postgresql(target)
    else:
        raise InputError("this kind of database is not supported", value=given, allowed=_ALLOWED)
    try:
        upgrade(engine)
    except DBAPIError as error:
        engine.dispose()
        shown = target.render_as_string(hide_password=True)
        reason = str(error.orig).strip().splitlines()[0]
        raise InputError(f"the database cannot be opened: {reason}", value=shown) from error
    except BaseException:
        engine.dispose()
        raise
    return engine


def settings_folder(url: str | URL | None = None) -> Path:
    """Return the folder of a workshop's own settings: beside its SQLite file, if it has one.

    Parameters
    ----------
    url : str, URL or None
        As for :func:`connect`; nothing is opened.
    """
    given = url or os.environ.get(VARIABLE) or ""
    target = given if isinstance(given, URL) else _read_url(given) if given else default_url()
    file = target.database if target.get_backend_name() == "sqlite" else None
    if file and file != ":memory:":
        return Path(file).resolve().parent
    return user_data_path("basswright", appauthor=False)


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Give a connection that sees one state of the database from first to last."""
    with engine.connect() as plain:
        connection = plain
        if engine.dialect.name == "postgresql":
            connection = plain.execution_options(isolation_level="REPEATABLE READ")
        with connection.begin():
            yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Give a connection whose changes are all kept together, or none of them.

    On SQLite the right to write is taken at once, so that two writers queue.
    """
    with engine.connect() as plain:
        connection = plain.execution_options(**{_WRITES: True})
        with connection.begin():
            yield connection


def now() -> str:
    """Return the time in UTC, as it is kept."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")


def _read_url(given: str) -> URL:
    if "://" not in given:
        return URL.create("sqlite", database=given)
    try:
        return make_url(given)
    except ArgumentError as error:
        raise InputError("not the URL of a database", value=given, allowed=_ALLOWED) from error


def _sqlite(url: URL) -> Engine:
    if url.database not in (None, "", ":memory:"):
        folder = Path(str(url.database)).expanduser().absolute()
        url = url.set(database=str(folder))
        try:
            folder.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(
                f"the folder of the database cannot be made: {error.strerror}",
                value=str(folder.parent),
            ) from error
    engine = create_engine(url, connect_args={"timeout": _BUSY_S})
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: Any, _record: object) -> None:
    """Set what SQLite forgets between connections.

    A write-ahead log lets others read while one writes; with full synchronisation a
    confirmed change survives a power cut. Transactions are begun by ourselves, since
    the driver would leave table changes outside of them.
    """
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _postgresql(url: URL) -> Engine:
    try:
        return create_engine(url.set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    except (ModuleNotFoundError, NoSuchModuleError) as error:
        raise MissingPartError("psycopg", "postgres") from error
