"""The first tables: catalogue, supplier sheets, jobs."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables of the first version."""
    op.create_table(
        "catalogue",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_catalogue_single")),
    )
    op.create_table(
        "item",
        sa.Column("kind", sa.String(20), primary_key=True),
        sa.Column("id", sa.String(80), primary_key=True),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("name_key", sa.String(200), nullable=False),
        sa.Column("supplier", sa.String(80), nullable=False),
        sa.Column("price", sa.Float, nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("changed_at", sa.String(32), nullable=False),
        sa.Index("ix_item_name_key", "kind", "name_key"),
        sa.Index("ix_item_number", "kind", "number"),
    )
    op.create_table(
        "sheet_import",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("supplier", sa.String(80), nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("file_name", sa.String(255), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("summary", sa.Text, nullable=False),
        sa.Index("ix_sheet_import_sha256", "sha256"),
    )
    op.create_table(
        "sheet_mapping",
        sa.Column("supplier", sa.String(80), primary_key=True),
        sa.Column("kind", sa.String(20), primary_key=True),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("changed_at", sa.String(32), nullable=False),
    )
    op.create_table(
        "job",
        sa.Column("id", sa.String(60), primary_key=True),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("archived", sa.Integer, nullable=False),
        sa.Column("search_text", sa.Text, nullable=False),
        sa.Column("created_at", sa.String(32), nullable=False),
        sa.Column("changed_at", sa.String(32), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.CheckConstraint("archived IN (0, 1)", name=op.f("ck_job_archived")),
    )
    op.create_table(
        "job_revision",
        sa.Column(
            "job_id",
            sa.String(60),
            sa.ForeignKey("job.id", name=op.f("fk_job_revision_job_id"), ondelete="CASCADE"),
            primary_key=True,
        ),
        sa.Column("revision", sa.Integer, primary_key=True),
        sa.Column("restores", sa.Integer),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("note", sa.String(200), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
    )
    op.create_table(
        "job_photo",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column(
            "job_id",
            sa.String(60),
            sa.ForeignKey("job.id", name=op.f("fk_job_photo_job_id"), ondelete="CASCADE"),
            nullable=False,
        ),
        sa.Column("name", sa.String(120), nullable=False),
        sa.Column("media_type", sa.String(40), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("sha256", sa.String(64), nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.UniqueConstraint("job_id", "sha256", name=op.f("uq_job_photo_job_id")),
        sa.Index("ix_job_photo_job_id", "job_id"),
    )
