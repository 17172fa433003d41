"""What lies beside a job: photographs, recordings, measured cabins, scans.

The functions work within a transaction that the caller keeps or drops; people reach
them through :class:`basswright.jobs.store.JobStore`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any, Final, Literal, get_args

from sqlalchemy import Connection, Row, Select, Table, func, insert, select

from basswright.database.engine import now
from basswright.database.tables import FILE, JOB, PHOTO
from basswright.errors import InputError, NotFoundError, TooLargeError

#: Largest photo, and largest file of another sort, that is taken [bytes].
PHOTO_LIMIT: Final = 20_000_000
FILE_LIMIT: Final = 100_000_000
#: First bytes of the picture formats that are taken, and their media types (RFC 2046,
#: ISO/IEC 15948 for PNG, RFC 9649 for WebP).
_PICTURES: Final = ((b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", "image/png"))

FileKind = Literal["recording", "impedance", "cabin", "scan", "paper", "other"]


@dataclass(frozen=True, kw_only=True)
class Photo:
    """A picture that belongs to a job, without its bytes."""

    id: int
    job_id: str
    name: str
    media_type: str
    at: str
    size: int


@dataclass(frozen=True, kw_only=True)
class JobFile:
    """A file that belongs to a job, without its bytes. `car` is the name of the job's car."""

    id: int
    job_id: str
    kind: FileKind
    name: str
    note: str
    at: str
    size: int
    car: str


def add_photo(connection: Connection, job_id: str, name: str, content: bytes) -> Photo:
    """Keep a picture with a job; the same picture again is kept once."""
    media_type = _media_type(name, content)
    values = {"name": _name(name, "photo"), "media_type": media_type}
    _add(connection, PHOTO, job_id, content, values)
    return _photo(connection.execute(_photos().where(_same(PHOTO, job_id, content))).one())


def photos_of(connection: Connection, job_id: str) -> tuple[Photo, ...]:
    """Return the photos of a job, in the order in which they were attached."""
    query = _photos().where(PHOTO.c.job_id == job_id).order_by(PHOTO.c.id)
    return tuple(_photo(row) for row in connection.execute(query))


def add_file(
    connection: Connection,
    job_id: str,
    kind: FileKind,
    *,
    name: str,
    content: bytes,
    note: str,
) -> JobFile:
    """Keep a file with a job; the same bytes again are kept once."""
    if kind not in get_args(FileKind):
        allowed = ", ".join(get_args(FileKind))
        raise InputError("no such sort of file", item=name, value=kind, allowed=allowed)
    _check_size(name, content, FILE_LIMIT)
    values = {"kind": kind, "name": _name(name, "file"), "note": note[:200]}
    _add(connection, FILE, job_id, content, values)
    return _file(connection.execute(_files().where(_same(FILE, job_id, content))).one())


def files_of(
    connection: Connection, *, job_id: str | None, kind: FileKind | None
) -> tuple[JobFile, ...]:
    """Return the files of one job or of all, of one kind or of all, the oldest first."""
    query = _files().order_by(FILE.c.id)
    if job_id is not None:
        query = query.where(FILE.c.job_id == job_id)
    if kind is not None:
        query = query.where(FILE.c.kind == kind)
    return tuple(_file(row) for row in connection.execute(query))


def content_of(connection: Connection, table: Table, job_id: str, id_: int) -> bytes:
    """Return the bytes of a photo or file.

    Raises
    ------
    NotFoundError
    """
    query = select(table.c.content).where(table.c.job_id == job_id, table.c.id == id_)
    content = connection.execute(query).scalar()
    if content is None:
        what = "photo" if table is PHOTO else "file"
        raise NotFoundError(what, f"{job_id}/{id_}")
    return bytes(content)


def _add(
    connection: Connection, table: Table, job_id: str, content: bytes, values: dict[str, Any]
) -> None:
    same = select(table.c.id).where(_same(table, job_id, content))
    if connection.execute(same).first() is None:
        row = {"job_id": job_id, "at": now(), "sha256": _digest(content), "content": content}
        connection.execute(insert(table), {**row, **values})


def _same(table: Table, job_id: str, content: bytes) -> Any:
    return (table.c.job_id == job_id) & (table.c.sha256 == _digest(content))


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _name(name: str, otherwise: str) -> str:
    return name.strip()[:120] or otherwise


def _check_size(name: str, content: bytes, limit: int) -> None:
    if len(content) > limit:
        size, allowed = (f"{count / 1e6:.0f} MB" for count in (len(content), limit))
        raise TooLargeError(f"{name!r}: {size}; allowed: up to {allowed}")


def _media_type(name: str, content: bytes) -> str:
    _check_size(name, content, PHOTO_LIMIT)
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    for start, media_type in _PICTURES:
        if content.startswith(start):
            return media_type
    raise InputError("not a picture", item=name, allowed="JPEG, PNG or WebP")


def _photos() -> Select[Any]:
    size = func.length(PHOTO.c.content).label("size")
    return select(PHOTO.c.id, PHOTO.c.job_id, PHOTO.c.name, PHOTO.c.media_type, PHOTO.c.at, size)


def _photo(row: Row[Any]) -> Photo:
    return Photo(**row._mapping)


def _files() -> Select[Any]:
    columns = (FILE.c.id, FILE.c.job_id, FILE.c.kind, FILE.c.name, FILE.c.note, FILE.c.at)
    size = func.length(FILE.c.content).label("size")
    return select(*columns, size, JOB.c.content.label("job")).join(JOB, JOB.c.id == FILE.c.job_id)


def _file(row: Row[Any]) -> JobFile:
    import json

    values = dict(row._mapping)
    car = str(json.loads(values.pop("job"))["car"]["name"])
    return JobFile(**values, car=car)
