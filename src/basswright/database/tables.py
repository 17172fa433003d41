"""The tables of the database, the same for SQLite and PostgreSQL.

Things are kept as the JSON of their record, beside the few columns that are searched.
Times are ISO 8601 text in UTC, so that both databases sort and give them alike; rows
that have an order carry a number, so that no answer hangs on a collation.
"""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

METADATA: Final = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

#: One row: the state of the catalogue as a whole. `revision` grows with every change.
CATALOGUE: Final = Table(
    "catalogue",
    METADATA,
    Column("id", Integer, CheckConstraint("id = 1", name="single"), primary_key=True),
    Column("revision", Integer, nullable=False),
    Column("currency", String(3), nullable=False),
)

#: What can be bought, one row a thing.
ITEM: Final = Table(
    "item",
    METADATA,
    Column("kind", String(20), primary_key=True),
    Column("id", String(80), primary_key=True),
    Column("number", Integer, nullable=False),
    Column("name_key", String(200), nullable=False),
    Column("supplier", String(80), nullable=False),
    Column("price", Float, nullable=False),
    Column("content", Text, nullable=False),
    Column("changed_at", String(32), nullable=False),
    Index("ix_item_name_key", "kind", "name_key"),
    Index("ix_item_number", "kind", "number"),
)

#: Supplier sheets that were taken in.
IMPORT: Final = Table(
    "sheet_import",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("at", String(32), nullable=False),
    Column("supplier", String(80), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("file_name", String(255), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("summary", Text, nullable=False),
    Index("ix_sheet_import_sha256", "sha256"),
)

#: How the columns of a supplier's sheets were mapped last.
MAPPING: Final = Table(
    "sheet_mapping",
    METADATA,
    Column("supplier", String(80), primary_key=True),
    Column("kind", String(20), primary_key=True),
    Column("content", Text, nullable=False),
    Column("changed_at", String(32), nullable=False),
)

#: Jobs as they stand.
JOB: Final = Table(
    "job",
    METADATA,
    Column("id", String(60), primary_key=True),
    Column("revision", Integer, nullable=False),
    Column("archived", Integer, nullable=False),
    Column("search_text", Text, nullable=False),
    Column("created_at", String(32), nullable=False),
    Column("changed_at", String(32), nullable=False),
    Column("content", Text, nullable=False),
    CheckConstraint("archived IN (0, 1)", name="archived"),
)

#: Every state that a job was ever saved in. `restores` names the revision that an undo
#: brought back.
JOB_REVISION: Final = Table(
    "job_revision",
    METADATA,
    Column("job_id", String(60), ForeignKey("job.id", ondelete="CASCADE"), primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("restores", Integer),
    Column("at", String(32), nullable=False),
    Column("note", String(200), nullable=False),
    Column("content", Text, nullable=False),
)

#: Pictures of the car, of the fitted box and so on.
PHOTO: Final = Table(
    "job_photo",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("job_id", String(60), ForeignKey("job.id", ondelete="CASCADE"), nullable=False),
    Column("name", String(120), nullable=False),
    Column("media_type", String(40), nullable=False),
    Column("at", String(32), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("content", LargeBinary, nullable=False),
    UniqueConstraint("job_id", "sha256"),
    Index("ix_job_photo_job_id", "job_id"),
)

#: Files beside a job: recordings, measured cabins, scans.
FILE: Final = Table(
    "job_file",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("job_id", String(60), ForeignKey("job.id", ondelete="CASCADE"), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("name", String(120), nullable=False),
    Column("note", String(200), nullable=False),
    Column("at", String(32), nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("content", LargeBinary, nullable=False),
    UniqueConstraint("job_id", "sha256"),
    Index("ix_job_file_job_id", "job_id"),
)

#: What measured cars teach about others of their kind; one row a job, the newest reading.
#: It outlives the job, as it names neither customer nor recording.
MEASURED_CAR: Final = Table(
    "measured_car",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("kind_key", String(120), nullable=False),
    Column("job_id", String(60), nullable=False),
    Column("at", String(32), nullable=False),
    Column("content", Text, nullable=False),
    UniqueConstraint("job_id"),
    Index("ix_measured_car_kind_key", "kind_key"),
)
