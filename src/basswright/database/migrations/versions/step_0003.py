"""Measured cars, by their kind."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table of measured cars."""
    op.create_table(
        "measured_car",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("kind_key", sa.String(120), nullable=False),
        sa.Column("job_id", sa.String(60), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.UniqueConstraint("job_id", name=op.f("uq_measured_car_job_id")),
        sa.Index("ix_measured_car_kind_key", "kind_key"),
    )
