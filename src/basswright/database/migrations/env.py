"""Runs the steps on the connection that is handed over."""

from alembic import context

from basswright.database.tables import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    transactional_ddl=True,
)
context.run_migrations()
