"""The steps between states of the tables."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

import basswright.database.engine as engine_module
import basswright.database.upgrade as upgrade_module
from basswright.database import connect
from basswright.database.engine import reading
from basswright.database.tables import METADATA
from basswright.database.upgrade import NEWEST, STEPS, upgrade, version
from basswright.errors import InputError
from basswright.jobs.store import JobStore
from tests.jobs.stored import sample_job


def test_the_newest_step_is_the_last_one_in_the_folder() -> None:
    config = Config()
    folder = Path(upgrade_module.__file__).parent / "migrations"
    config.set_main_option("script_location", folder.as_posix())
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [NEWEST]
    assert [script.revision for script in scripts.walk_revisions()] == list(reversed(STEPS))


def test_the_steps_lead_to_the_tables_that_the_program_uses(engine: Engine) -> None:
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []


def test_a_database_of_the_first_version_is_upgraded_and_keeps_what_it_holds(
    database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Made by the first version, filled by it, opened by this one."""
    monkeypatch.setattr(engine_module, "upgrade", lambda engine: upgrade(engine, "0001"))
    first = connect(database_url)
    with reading(first) as connection:
        assert version(connection) == "0001"
    saved = JobStore(first).save(sample_job())
    first.dispose()
    monkeypatch.undo()
    now = connect(database_url)
    with reading(now) as connection:
        assert version(connection) == NEWEST
    store = JobStore(now)
    assert store.get("green-hatch") == saved
    store.attach_file("green-hatch", "scan", name="boot.ply", content=b"ply")
    now.dispose()


def test_a_step_that_fails_leaves_the_database_as_it_was(
    database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine_module, "upgrade", lambda engine: upgrade(engine, "0001"))
    first = connect(database_url)
    with first.connect() as connection, connection.begin():
        connection.exec_driver_sql("CREATE TABLE job_file (id INTEGER)")
    first.dispose()
    monkeypatch.undo()
    with pytest.raises(InputError, match="cannot be opened"):
        connect(database_url)
    monkeypatch.setattr(engine_module, "upgrade", lambda engine: None)
    again = connect(database_url)
    with reading(again) as connection:
        assert version(connection) == "0001"
    again.dispose()
