"""The rows of the catalogue's tables: read, written and marked as changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection, bindparam, func, insert, select, update

from basswright.catalogue.changes import Changes, Kept, plan
from basswright.database.engine import now
from basswright.database.tables import CATALOGUE, ITEM

DEFAULT_CURRENCY = "EUR"
_BATCH = 5000


def write_rows(
    connection: Connection,
    kind: str,
    rows: Sequence[Kept],
    *,
    kept: Mapping[str, Kept],
    supplier: str,
) -> Changes:
    """Write rows of one kind, within a transaction that the caller keeps or drops."""
    work = plan(kind, kept, rows)
    first = connection.execute(select(func.max(ITEM.c.number))).scalar() or 0
    stamp = {"supplier": supplier, "changed_at": now()}
    fresh = [
        {"kind": kind, "number": first + 1 + i, **vars(row), **stamp}
        for i, row in enumerate(work.insert)
    ]
    for start in range(0, len(fresh), _BATCH):
        connection.execute(insert(ITEM), fresh[start : start + _BATCH])
    if work.rewrite:
        statement = (
            update(ITEM)
            .where(ITEM.c.kind == kind, ITEM.c.id == bindparam("row_id"))
            .values({name: bindparam(name) for name in ("name_key", "price", "content")} | stamp)
        )
        again = [{"row_id": row.id, **vars(row)} for row in work.rewrite]
        for row in again:
            del row["id"]
        connection.execute(statement, again)
    return work.changes


def bump(connection: Connection, *, currency: str | None = None) -> None:
    """Mark the catalogue as changed, so that nobody goes on with an older snapshot."""
    revision, current = state(connection)
    values = {"revision": revision + 1, "currency": currency or current}
    if revision == 0:
        connection.execute(insert(CATALOGUE), {"id": 1, **values})
    else:
        connection.execute(update(CATALOGUE).values(values))


def state(connection: Connection) -> tuple[int, str]:
    """Return revision and currency of the catalogue."""
    row = connection.execute(select(CATALOGUE.c.revision, CATALOGUE.c.currency)).first()
    return (0, DEFAULT_CURRENCY) if row is None else (row[0], row[1])


def kept_rows(connection: Connection, kind: str) -> dict[str, Kept]:
    """Return the rows of one kind by id, in the order in which they came."""
    query = select(ITEM.c.id, ITEM.c.name_key, ITEM.c.price, ITEM.c.content)
    rows = connection.execute(query.where(ITEM.c.kind == kind).order_by(ITEM.c.number))
    return {
        id_: Kept(id=id_, name_key=key, price=price, content=content)
        for id_, key, price, content in rows
    }
