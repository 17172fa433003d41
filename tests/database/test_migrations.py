"""The steps between states of the tables."""

from __future__ import annotations

from pathlib import Path

from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine

import basswright.database.upgrade as upgrade_module
from basswright.database.tables import METADATA
from basswright.database.upgrade import NEWEST


def test_the_newest_step_is_the_last_one_in_the_folder() -> None:
    config = Config()
    folder = Path(upgrade_module.__file__).parent / "migrations"
    config.set_main_option("script_location", folder.as_posix())
    assert ScriptDirectory.from_config(config).get_heads() == [NEWEST]


def test_the_steps_lead_to_the_tables_that_the_program_uses(engine: Engine) -> None:
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, METADATA) == []
