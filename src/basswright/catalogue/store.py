"""The catalogue in the database: read as one snapshot, changed all at once or not at all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import Connection, bindparam, delete, func, insert, select, update

from basswright.catalogue.changes import Changes, Kept, plan
from basswright.catalogue.contents import (
    kind_of_item,
    name_key,
    read_back,
    record_of,
    written,
)
from basswright.catalogue.intake import (
    ImportResult,
    PastImport,
    import_sheet,
    known_of,
    past_imports,
    remember_mapping,
    remembered_mapping,
)
from basswright.catalogue.sheets.known import Known
from basswright.catalogue.sheets.mapping import SheetMapping
from basswright.catalogue.sheets.read import Progress
from basswright.database.engine import now, reading, writing
from basswright.database.kinds import RECORDS, Item
from basswright.database.measured_cars import measured_cars
from basswright.database.tables import CATALOGUE, ITEM
from basswright.errors import InputError, InputErrors, NotFoundError
from basswright.records.snapshot import Snapshot

if TYPE_CHECKING:
    from sqlalchemy import Engine

DEFAULT_CURRENCY = "EUR"
_BATCH = 5000


class Catalogue:
    """What can be bought, kept in a database.

    Parameters
    ----------
    engine : sqlalchemy.Engine
        From :func:`basswright.database.connect`.
    """

    def __init__(self, engine: Engine) -> None:
        self.engine = engine
        self._cached: tuple[int, Snapshot] | None = None

    def snapshot(self) -> Snapshot:
        """Return everything that can be bought, as it stands now.

        A second call gives the same object as long as nobody has changed the catalogue.
        """
        with reading(self.engine) as connection:
            revision, currency = state(connection)
            if self._cached is not None and self._cached[0] == revision:
                return self._cached[1]
            query = select(ITEM.c.kind, ITEM.c.content).order_by(ITEM.c.number)
            contents: dict[str, list[str]] = {kind: [] for kind in RECORDS}
            for kind, content in connection.execute(query):
                contents[kind].append(content)
            cars = tuple(each.car for each in measured_cars(connection))
        tables: dict[str, Any] = {kind: read_back(kind, rows) for kind, rows in contents.items()}
        snapshot = Snapshot(currency=currency, measured_cars=cars, **tables)
        self._cached = (revision, snapshot)
        return snapshot

    def counts(self) -> dict[str, int]:
        """Return how many things of each kind there are."""
        with reading(self.engine) as connection:
            query = select(ITEM.c.kind, func.count()).group_by(ITEM.c.kind)
            found: dict[str, int] = dict(iter(connection.execute(query)))
        return {kind: found.get(kind, 0) for kind in RECORDS}

    def get(self, kind: str, id_: str) -> Item:
        """Return one thing.

        Raises
        ------
        NotFoundError
        """
        record_of(kind)
        with reading(self.engine) as connection:
            query = select(ITEM.c.content).where(ITEM.c.kind == kind, ITEM.c.id == id_)
            content = connection.execute(query).scalar()
            if content is None:
                ids = connection.execute(select(ITEM.c.id).where(ITEM.c.kind == kind)).scalars()
                raise NotFoundError(kind, id_, _near(id_, ids.all()))
        return read_back(kind, [content])[0]

    def update(self, items: Iterable[Item], *, supplier: str = "") -> Changes:
        """Add things, or replace those that have the same id; nothing is removed.

        Raises
        ------
        InputErrors
            Two of the things have the same id; then nothing is changed.
        """
        by_kind = _sorted_by_kind(items)
        with writing(self.engine) as connection:
            changes = Changes()
            for kind, rows in by_kind.items():
                kept = kept_rows(connection, kind)
                changes += write_rows(connection, kind, rows, kept=kept, supplier=supplier)
            if changes.added or changes.changed:
                bump(connection)
        return changes

    def replace(self, snapshot: Snapshot, *, supplier: str = "") -> Changes:
        """Make the catalogue equal to a snapshot; what is not in it is removed.

        Raises
        ------
        InputErrors
            Two of the things have the same id; then nothing is changed.
        """
        by_kind = _sorted_by_kind(item for kind in RECORDS for item in getattr(snapshot, kind))
        with writing(self.engine) as connection:
            changes = Changes()
            for kind in RECORDS:
                rows = by_kind.get(kind, [])
                kept = kept_rows(connection, kind)
                gone = set(kept) - {row.id for row in rows}
                _remove(connection, kind, sorted(gone))
                changes += write_rows(connection, kind, rows, kept=kept, supplier=supplier)
                changes += Changes(removed=tuple(sorted(gone)))
            bump(connection, currency=snapshot.currency)
        return changes

    def import_sheet(
        self,
        path: str | Path,
        *,
        kind: str,
        supplier: str = "",
        mapping: SheetMapping | Mapping[str, str | None] | None = None,
        partial: bool = False,
        progress: Progress | None = None,
    ) -> ImportResult:
        """Take a supplier's sheet in, all rows or none; known things are updated.

        A thing is known by its id, or else by maker and model. What a sheet does not
        tell of it stays, so a list of numbers and prices is enough to follow prices.

        Parameters
        ----------
        path, kind, mapping, progress
            As in :func:`basswright.catalogue.sheets.read_sheet`. What was corrected for
            a supplier once is remembered.
        supplier : str
            Whose sheet it is.
        partial : bool
            Take the accepted rows although others are refused.

        Raises
        ------
        InputErrors
            Rows were refused and `partial` is False; the store is as it was.
        InputError, TooLargeError
            The file cannot be read.
        ConflictError
            Somebody changed the catalogue meanwhile; the store is as they left it.
        """
        return import_sheet(
            self,
            path,
            kind=kind,
            supplier=supplier,
            mapping=mapping,
            partial=partial,
            progress=progress,
        )

    def known(self, kind: str) -> Known:
        """Return what is known of a kind, for reading a sheet without taking it in."""
        record_of(kind)
        with reading(self.engine) as connection:
            return known_of(kept_rows(connection, kind))

    def remembered_mapping(self, supplier: str, kind: str) -> dict[str, str | None]:
        """Return how this supplier's columns were mapped last, empty if never."""
        return remembered_mapping(self.engine, supplier, kind)

    def remember_mapping(self, supplier: str, mapping: SheetMapping) -> None:
        """Keep a mapping that was looked at, for the supplier's next sheet."""
        with writing(self.engine) as connection:
            remember_mapping(connection, supplier, mapping)

    def past_imports(self) -> tuple[PastImport, ...]:
        """Return the sheets that were taken in, the latest first."""
        return past_imports(self.engine)

    def remove(self, kind: str, ids: Sequence[str]) -> Changes:
        """Take things out of the catalogue.

        Raises
        ------
        NotFoundError
            One of them is not there; then none is removed.
        """
        record_of(kind)
        with writing(self.engine) as connection:
            there = kept_rows(connection, kind)
            for id_ in ids:
                if id_ not in there:
                    raise NotFoundError(kind, id_, _near(id_, list(there)))
            _remove(connection, kind, list(ids))
            bump(connection)
        return Changes(removed=tuple(ids))


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


def as_row(item: Item) -> Kept:
    """Return a record as a row of the store."""
    return Kept(
        id=item.id,
        name_key=name_key(item.maker, item.model),
        price=item.price,
        content=written(item),
    )


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


def _remove(connection: Connection, kind: str, ids: Sequence[str]) -> None:
    if ids:
        statement = delete(ITEM).where(ITEM.c.kind == kind, ITEM.c.id == bindparam("row_id"))
        connection.execute(statement, [{"row_id": id_} for id_ in ids])


def _sorted_by_kind(items: Iterable[Item]) -> dict[str, list[Kept]]:
    by_kind: dict[str, list[Kept]] = {}
    seen: set[tuple[str, str]] = set()
    twice: list[InputError] = []
    for item in items:
        kind = kind_of_item(item)
        if (kind, item.id) in seen:
            twice.append(InputError("this id is there twice", item=item.id, field="id"))
        seen.add((kind, item.id))
        by_kind.setdefault(kind, []).append(as_row(item))
    if twice:
        raise InputErrors(twice, item="catalogue")
    return by_kind


def _near(name: str, names: Sequence[str]) -> tuple[str, ...]:
    from rapidfuzz import process

    return tuple(match for match, _, _ in process.extract(name, names, limit=3, score_cutoff=60))
