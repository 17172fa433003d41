"""Files beside a job: recordings, measured cabins, scans."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the table of files."""
    op.create_table(
        "job_file",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column(
            "job_id",
            sa.String(60),
            sa.ForeignKey("job.id", name=op.f("fk_job_file_job_id"), ondelete="CASCADE"),
            nullable=False,
        ),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("note", sa.String(200), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("job_id", "sha256", name=op.f("uq_job_file_job_id")),
        sa.Index("ix_job_file_job_id", "job_id"),
    )
