"""Takes a supplier's sheet into the store: all of it or nothing, and known things once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, insert, select, update

from basswright.catalogue.changes import Changes, Kept
from basswright.catalogue.contents import name_key, read_back, written
from basswright.catalogue.sheets.read import Progress, read_sheet
from basswright.catalogue.sheets.report import Note, SheetReport
from basswright.database.engine import now, reading, writing
from basswright.database.tables import IMPORT, MAPPING

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from basswright.catalogue.sheets.mapping import SheetMapping
    from basswright.catalogue.store import Catalogue


@dataclass(frozen=True, kw_only=True)
class ImportResult:
    """What a sheet did to the catalogue.

    `known_by_name` are notes on rows whose thing was there under another id, found by
    maker and model; it keeps its id. `seen_before` is when this very file was taken in
    already, empty if never.
    """

    report: SheetReport
    changes: Changes
    known_by_name: tuple[Note, ...] = ()
    seen_before: str = ""


@dataclass(frozen=True, kw_only=True)
class PastImport:
    """One sheet that was taken in."""

    at: str
    supplier: str
    kind: str
    file_name: str
    summary: str


def import_sheet(
    catalogue: Catalogue,
    path: str | Path,
    *,
    kind: str,
    supplier: str,
    mapping: SheetMapping | Mapping[str, str | None] | None,
    partial: bool,
    progress: Progress | None,
) -> ImportResult:
    """Read a sheet and keep what it tells; see :meth:`Catalogue.import_sheet`."""
    from basswright.catalogue.store import bump, kept_rows, write_rows

    report = read_sheet(
        path,
        kind=kind,
        mapping=mapping,
        remembered=remembered_mapping(catalogue.engine, supplier, kind),
        progress=progress,
    )
    if not partial:
        report.raise_if_refused()
    with writing(catalogue.engine) as connection:
        kept = kept_rows(connection, kind)
        rows, notes = _known_once(report, kept)
        changes = write_rows(connection, kind, rows, kept=kept, supplier=supplier)
        if changes.added or changes.changed:
            bump(connection)
        seen = _seen_before(connection, report)
        _remember(connection, report, supplier, changes)
    return ImportResult(report=report, changes=changes, known_by_name=notes, seen_before=seen)


def remembered_mapping(engine: Engine, supplier: str, kind: str) -> dict[str, str | None]:
    """Return how this supplier's columns were mapped last, empty if never."""
    query = select(MAPPING.c.content)
    query = query.where(MAPPING.c.supplier == supplier, MAPPING.c.kind == kind)
    with reading(engine) as connection:
        content = connection.execute(query).scalar()
    known: dict[str, str | None] = json.loads(content) if content else {}
    return known


def remember_mapping(connection: Connection, supplier: str, mapping: SheetMapping) -> None:
    """Keep a mapping for the supplier's next sheet, beside heads of earlier ones."""
    where = (MAPPING.c.supplier == supplier) & (MAPPING.c.kind == mapping.kind)
    content = connection.execute(select(MAPPING.c.content).where(where)).scalar()
    merged = {**(json.loads(content) if content else {}), **mapping.remembered()}
    values = {"content": json.dumps(merged, ensure_ascii=False), "changed_at": now()}
    if content:
        connection.execute(update(MAPPING).where(where).values(values))
    else:
        keys = {"supplier": supplier, "kind": mapping.kind}
        connection.execute(insert(MAPPING), {**keys, **values})


def past_imports(engine: Engine) -> tuple[PastImport, ...]:
    """Return the sheets that were taken in, the latest first."""
    columns = IMPORT.c
    query = select(
        columns.at, columns.supplier, columns.kind, columns.file_name, columns.summary
    ).order_by(columns.id.desc())
    with reading(engine) as connection:
        return tuple(PastImport(**row._mapping) for row in connection.execute(query))


def _known_once(
    report: SheetReport, kept: Mapping[str, Kept]
) -> tuple[list[Kept], tuple[Note, ...]]:
    """Return the rows to keep; what is known by maker and model gets the id it has."""
    by_name = {row.name_key: row.id for row in kept.values()}
    rows: list[Kept] = []
    notes: list[Note] = []
    taken: set[str] = set()
    for number, content in zip(report.row_numbers, report.contents, strict=True):
        row = _row(content)
        known = by_name.get(row.name_key)
        if row.id not in kept and known is not None and known not in taken:
            record = read_back(report.kind, [content])[0].model_copy(update={"id": known})
            notes.append(
                Note(
                    fate="accepted with a remark",
                    row=number,
                    column="id",
                    problem=f"maker and model are known as {known}; that id was kept",
                    read=row.id,
                )
            )
            row = Kept(id=known, name_key=row.name_key, price=row.price, content=written(record))
        taken.add(row.id)
        rows.append(row)
    return rows, tuple(notes)


def _row(content: str) -> Kept:
    data = json.loads(content)
    return Kept(
        id=data["id"],
        name_key=name_key(data["maker"], data["model"]),
        price=float(data["price"]),
        content=content,
    )


def _seen_before(connection: Connection, report: SheetReport) -> str:
    query = (
        select(IMPORT.c.at)
        .where(IMPORT.c.sha256 == report.sha256, IMPORT.c.kind == report.kind)
        .order_by(IMPORT.c.id.desc())
        .limit(1)
    )
    return str(connection.execute(query).scalar() or "")


def _remember(connection: Connection, report: SheetReport, supplier: str, changes: Changes) -> None:
    remember_mapping(connection, supplier, report.mapping)
    summary = (
        f"{report.summary()}; {len(changes.added)} new, {len(changes.changed)} changed "
        f"({len(changes.prices)} in price), {changes.same} as before"
    )
    row = {
        "at": now(),
        "supplier": supplier,
        "kind": report.kind,
        "file_name": report.file[:255],
        "sha256": report.sha256,
        "summary": summary,
    }
    connection.execute(insert(IMPORT), row)
