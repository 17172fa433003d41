"""Takes a supplier's sheet into the store: all of it or nothing, and known things once."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, insert, select, update

from basswright.catalogue.changes import Changes, Kept
from basswright.catalogue.contents import name_key
from basswright.catalogue.item_rows import bump, kept_rows, state, write_rows
from basswright.catalogue.sheets.known import Known
from basswright.catalogue.sheets.read import Progress, read_sheet
from basswright.catalogue.sheets.report import SheetReport
from basswright.database.engine import now, reading, writing
from basswright.database.tables import IMPORT, MAPPING
from basswright.errors import ConflictError

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from basswright.catalogue.sheets.mapping import SheetMapping


@dataclass(frozen=True, kw_only=True)
class ImportResult:
    """What a sheet did to the catalogue.

    `seen_before` is when this very file was taken in already, empty if never.
    """

    report: SheetReport
    changes: Changes
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
    engine: Engine,
    path: str | Path,
    *,
    kind: str,
    supplier: str,
    mapping: SheetMapping | Mapping[str, str | None] | None,
    partial: bool,
    progress: Progress | None,
) -> ImportResult:
    """Read a sheet and keep what it tells; see :meth:`Catalogue.import_sheet`."""
    with reading(engine) as connection:
        revision, _ = state(connection)
        known = known_of(kept_rows(connection, kind))
    report = read_sheet(
        path,
        kind=kind,
        mapping=mapping,
        remembered=remembered_mapping(engine, supplier, kind),
        known=known,
        progress=progress,
    )
    if not partial:
        report.raise_if_refused()
    with writing(engine) as connection:
        if state(connection)[0] != revision:
            raise ConflictError("the catalogue was changed while the sheet was read; try again")
        kept = kept_rows(connection, kind)
        rows = [_row(content) for content in report.contents]
        changes = write_rows(connection, kind, rows, kept=kept, supplier=supplier)
        if changes.added or changes.changed:
            bump(connection)
        seen = _seen_before(connection, report)
        _remember(connection, report, supplier, changes)
    return ImportResult(report=report, changes=changes, seen_before=seen)


def known_of(kept: Mapping[str, Kept]) -> Known:
    """Return rows of the store as what a sheet's reader needs to know of them."""
    return Known(
        contents={id_: row.content for id_, row in kept.items()},
        ids_by_name={row.name_key: id_ for id_, row in kept.items()},
    )


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
