"""Brings the tables of a database to the state that this version of the program knows."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine, inspect, text

from basswright.errors import InputError

#: The newest migration in `migrations/versions`.
NEWEST: Final = "0003"
#: Every step, the oldest first.
STEPS: Final = ("0001", "0002", "0003")
_FOLDER: Final = Path(__file__).parent / "migrations"
#: Any number will do, as long as it is always the same.
_LOCK: Final = 2_718_281


def upgrade(engine: Engine, target: str = NEWEST) -> None:
    """Run the missing migrations, all of them or none.

    Raises
    ------
    InputError
        When the database was made by a newer version of the program.
    """
    with engine.connect() as connection:
        if version(connection) == target:
            return
    with engine.connect() as plain:
        connection = plain.execution_options(basswright_writes=True)
        with connection.begin():
            if engine.dialect.name == "postgresql":
                connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
            if version(connection) != target:
                _run(connection, target)


def version(connection: Connection) -> str | None:
    """Return the last migration that was run, or None for an empty database."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _run(connection: Connection, target: str) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    config.set_main_option("script_location", _FOLDER.as_posix().replace("%", "%%"))
    config.attributes["connection"] = connection
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    found = version(connection)
    if found is not None and found not in known:
        raise InputError(
            "the database was made by a newer version of the program",
            value=found,
            allowed=f"up to {NEWEST}",
        )
    command.upgrade(config, target)
