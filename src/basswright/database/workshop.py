"""A whole workshop as one file: written while others work, read back all or nothing.

The file is a ZIP archive: ``manifest.json`` with the counts and checksums, one
``tables/NAME.jsonl`` a table with a JSON object a row, and pictures as they are under
``files/``. It is the same from SQLite and from PostgreSQL, and goes into either.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import (
    Connection,
    Engine,
    LargeBinary,
    Table,
    delete,
    func,
    insert,
    select,
    text,
    update,
)
from sqlalchemy.exc import DBAPIError

from basswright.database.checks import check_row
from basswright.database.engine import now, reading, writing
from basswright.database.tables import CATALOGUE, METADATA
from basswright.database.upgrade import NEWEST, STEPS
from basswright.errors import ConflictError, InputError, TooLargeError

_FORMAT: Final = "basswright workshop"
_VERSION: Final = 1
#: Most that a workshop file may unpack to [bytes].
MAX_UNPACKED_BYTES: Final = 8_000_000_000
_LONGEST_LINE: Final = 50_000_000
_BATCH: Final = 2_000
_ENDING: Final = ".workshop"


@dataclass(frozen=True, kw_only=True)
class WorkshopFile:
    """A workshop file that was written or read: how many rows of each table."""

    path: Path
    made_at: str
    counts: dict[str, int]


def export_workshop(engine: Engine, path: str | Path) -> WorkshopFile:
    """Write everything into one file, as it was at one moment, while others go on working.

    An older file of that name is replaced only once the new one is complete.

    Raises
    ------
    InputError
        The file cannot be written.
    """
    path = Path(path)
    counts: dict[str, int] = {}
    sums: dict[str, str] = {}
    made_at = now()
    try:
        handle, name = tempfile.mkstemp(prefix=".writing-", dir=path.parent)
    except OSError as error:
        raise InputError(f"cannot be written: {error.strerror}", item=str(path)) from error
    draft = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                with reading(engine) as connection:
                    for table in METADATA.sorted_tables:
                        counts[table.name] = _write_table(connection, table, archive, sums)
                manifest = {
                    "format": _FORMAT,
                    "version": _VERSION,
                    "tables": NEWEST,
                    "made_at": made_at,
                    "counts": counts,
                    "sha256": sums,
                }
                archive.writestr("manifest.json", json.dumps(manifest, indent=1))
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
    return WorkshopFile(path=path, made_at=made_at, counts=counts)


def backup(engine: Engine, folder: str | Path, *, keep: int = 10) -> WorkshopFile:
    """Write a workshop file named by the time into a folder; older ones beyond `keep` go.

    Raises
    ------
    InputError
        The file cannot be written.
    """
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"cannot be made: {error.strerror}", item=str(folder)) from error
    stamp = now().replace(":", "-").replace("+00-00", "Z")
    written = export_workshop(engine, folder / f"basswright-{stamp}{_ENDING}")
    older = sorted(folder.glob(f"basswright-*{_ENDING}"))
    for path in older[: max(len(older) - max(keep, 1), 0)]:
        path.unlink()
    return written


def import_workshop(engine: Engine, path: str | Path, *, replace: bool = False) -> WorkshopFile:
    """Read a workshop file into the database, all of it or nothing.

    Parameters
    ----------
    engine : sqlalchemy.Engine
    path : str or Path
    replace : bool
        Drop what the database holds now; otherwise it has to be empty.

    Raises
    ------
    ConflictError
        The database is not empty and `replace` is False.
    InputError
        The file is damaged, incomplete, of a newer version, or holds something that is
        no record. The database is as it was.
    TooLargeError
        It would unpack to more than the limit.
    """
    path = Path(path)
    try:
        with zipfile.ZipFile(path) as archive, writing(engine) as connection:
            manifest = _manifest(path, archive)
            revision = _clear(connection, replace=replace)
            counts = {
                table.name: _read_table(connection, table, archive, manifest, path=path)
                for table in METADATA.sorted_tables
                if manifest["tables"] == NEWEST or table.name in manifest["counts"]
            }
            if counts != manifest["counts"]:
                raise InputError("rows are missing", item=path.name)
            _go_on_counting(connection, revision)
    except (zipfile.BadZipFile, EOFError, NotImplementedError) as error:
        raise InputError("this is no workshop file, or it is damaged", item=path.name) from error
    except OSError as error:
        raise InputError(f"cannot be read: {error.strerror}", item=str(path)) from error
    except DBAPIError as error:
        reason = str(error.orig).strip().splitlines()[0]
        raise InputError(f"does not go together: {reason}", item=path.name) from error
    return WorkshopFile(path=path, made_at=str(manifest["made_at"]), counts=counts)


def _write_table(
    connection: Connection, table: Table, archive: zipfile.ZipFile, sums: dict[str, str]
) -> int:
    name = f"tables/{table.name}.jsonl"
    binary = {column.name for column in table.columns if isinstance(column.type, LargeBinary)}
    digest = hashlib.sha256()
    count = 0
    pictures: list[tuple[str, bytes]] = []
    order = list(table.primary_key.columns)
    rows = connection.execution_options(yield_per=_BATCH).execute(select(table).order_by(*order))
    with archive.open(name, "w", force_zip64=True) as member:
        for row in rows:
            values = dict(row._mapping)
            for column in binary & set(values):
                content = bytes(values[column])
                values[column] = f"files/{hashlib.sha256(content).hexdigest()}"
                pictures.append((values[column], content))
            line = json.dumps(values, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
            digest.update(line)
            member.write(line)
            count += 1
    sums[name] = digest.hexdigest()
    for file, content in pictures:
        if file not in sums:
            archive.writestr(file, content, compress_type=zipfile.ZIP_STORED)
            sums[file] = file.removeprefix("files/")
    return count


def _manifest(path: Path, archive: zipfile.ZipFile) -> dict[str, Any]:
    if sum(member.file_size for member in archive.infolist()) > MAX_UNPACKED_BYTES:
        limit = f"{MAX_UNPACKED_BYTES / 1e9:.0f} GB"
        raise TooLargeError(f"{path.name}: unpacks to more than {limit}; refused")
    try:
        manifest = json.loads(archive.read("manifest.json"))
        known = manifest["format"] == _FORMAT and isinstance(manifest["sha256"], dict)
        version = (int(manifest["version"]), str(manifest["tables"]))
        complete = {"made_at", "counts"} <= set(manifest)
    except (KeyError, TypeError, ValueError) as error:
        raise InputError("this is no workshop file", item=path.name) from error
    if not known or not complete:
        raise InputError("this is no workshop file", item=path.name)
    if version[0] != _VERSION or version[1] not in STEPS:
        raise InputError(
            "the file was written by a newer version of the program",
            item=path.name,
            value=f"{version[0]}, tables {version[1]}",
            allowed=f"{_VERSION}, tables up to {NEWEST}",
        )
    return dict(manifest)


def _clear(connection: Connection, *, replace: bool) -> int:
    """Empty the tables; return the revision that the catalogue had reached."""
    revision = connection.execute(select(func.max(CATALOGUE.c.revision))).scalar() or 0
    for table in reversed(METADATA.sorted_tables):
        if not replace and connection.execute(select(table).limit(1)).first() is not None:
            raise ConflictError(
                "the database is not empty; say that it may be replaced, or use an empty one"
            )
        connection.execute(delete(table))
    return int(revision)


def _read_table(
    connection: Connection,
    table: Table,
    archive: zipfile.ZipFile,
    manifest: dict[str, Any],
    *,
    path: Path,
) -> int:
    name = f"tables/{table.name}.jsonl"
    batch: list[dict[str, Any]] = []
    count = 0
    for count, row in enumerate(_rows(archive, name, manifest, path), start=1):
        place = f"{path.name}, {name}, line {count}"
        check_row(table, row, place)
        for column in table.columns:
            if isinstance(column.type, LargeBinary):
                row[column.name] = _file(archive, row[column.name], manifest, path)
        batch.append(row)
        if len(batch) >= _BATCH:
            connection.execute(insert(table), batch)
            batch = []
    if batch:
        connection.execute(insert(table), batch)
    return count


def _rows(
    archive: zipfile.ZipFile, name: str, manifest: dict[str, Any], path: Path
) -> Iterator[dict[str, Any]]:
    digest = hashlib.sha256()
    try:
        with archive.open(name) as member:
            while line := member.readline(_LONGEST_LINE):
                digest.update(line)
                row = json.loads(line)
                if not isinstance(row, dict):
                    raise InputError("not a row", item=f"{path.name}, {name}")
                yield row
    except (KeyError, ValueError) as error:
        raise InputError(f"{name} is damaged or missing", item=path.name) from error
    if digest.hexdigest() != manifest["sha256"].get(name):
        raise InputError(f"{name} was changed or damaged", item=path.name)


def _file(archive: zipfile.ZipFile, name: Any, manifest: dict[str, Any], path: Path) -> bytes:
    try:
        content = archive.read(str(name))
    except KeyError as error:
        raise InputError("a picture is missing", item=path.name, value=str(name)) from error
    if hashlib.sha256(content).hexdigest() != manifest["sha256"].get(name):
        raise InputError("a picture was changed or damaged", item=path.name, value=str(name))
    return content


def _go_on_counting(connection: Connection, revision: int) -> None:
    """Let numbers go on after those that came in, so that nothing is taken for older."""
    connection.execute(update(CATALOGUE).values(revision=CATALOGUE.c.revision + revision + 1))
    if connection.dialect.name != "postgresql":
        return
    for table in METADATA.sorted_tables:
        keys = list(table.primary_key.columns)
        if len(keys) == 1 and keys[0].name == "id" and keys[0].type.python_type is int:
            sequence = connection.execute(
                text("SELECT pg_get_serial_sequence(:name, 'id')"), {"name": table.name}
            ).scalar()
            highest = connection.execute(select(func.max(keys[0]))).scalar()
            if sequence and highest:
                connection.execute(
                    text("SELECT setval(CAST(:sequence AS regclass), :highest)"),
                    {"sequence": sequence, "highest": highest},
                )
