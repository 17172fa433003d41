"""The demo range, the store, and a sheet of 100,000 rows taken in, with the memory it takes."""

from __future__ import annotations

import csv
import multiprocessing
import resource
import tempfile
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path
from statistics import median
from time import process_time

from basswright.catalogue import demo, plausibility
from basswright.catalogue.sheets import read_sheet, rows, write_csv, write_xlsx
from basswright.catalogue.store import Catalogue
from basswright.database import connect
from basswright.database.workshop import export_workshop, import_workshop
from basswright.records.snapshot import Snapshot

_ROWS = 100_000


def _seconds(work: Callable[[], object], *, rounds: int = 3) -> float:
    taken = []
    for _ in range(rounds):
        start = process_time()
        work()
        taken.append(process_time() - start)
    return median(taken)


def _line(what: str, seconds: float, note: str = "") -> None:
    print(f"{what:58s} {seconds:8.3f} s CPU  {note}")


def _long_sheet(folder: Path) -> Path:
    """Write 100,000 rows from 20,000 invented boxes, each with another number."""
    short, long = folder / "short.csv", folder / "long.csv"
    write_csv(short, "enclosures", demo.make(7, enclosures=20_000).snapshot.enclosures)
    with short.open(encoding="utf-8-sig", newline="") as file:
        head, *lines = csv.reader(file)
    with long.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(head)
        for copy in range(_ROWS // len(lines)):
            for cells in lines:
                writer.writerow([f"{cells[0]}-{copy}", cells[1], f"{cells[2]}-{copy}", *cells[3:]])
    return long


def _alone(work: Callable[..., None], *arguments: Path) -> float:
    """Run something in a fresh process; return its largest memory [MB]."""
    context = multiprocessing.get_context("spawn")
    reading, writing = context.Pipe(duplex=False)
    process = context.Process(target=_measured, args=(writing, work, *arguments))
    process.start()
    used = float(reading.recv())
    process.join()
    return used


def _measured(pipe: Connection, work: Callable[..., None], *arguments: Path) -> None:
    start = process_time()
    work(*arguments)
    largest = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3
    print(f"{'  ... in a fresh process':58s} {process_time() - start:8.3f} s CPU")
    pipe.send(largest)


def _take_in(database: Path, sheet: Path) -> None:
    result = Catalogue(connect(str(database))).import_sheet(sheet, kind="enclosures")
    assert len(result.changes.added) + result.changes.same == _ROWS


def _demo_and_store(folder: Path) -> None:
    made = demo.make()
    _line("demo range, 1,600 boxes and 440 amplifiers", _seconds(demo.make))
    large = demo.make(enclosures=20_000, amplifiers=2_000)
    _line(
        "demo range, 20,000 boxes and 2,000 amplifiers",
        _seconds(lambda: demo.make(enclosures=20_000, amplifiers=2_000), rounds=1),
    )
    for name, snapshot in (("1,600", made.snapshot), ("20,000", large.snapshot)):
        _store(folder, name, snapshot)
    _line(
        "plausibility of 20,000 data sheets",
        _seconds(lambda: plausibility.check(large.snapshot.enclosures)),
    )


def _store(folder: Path, name: str, snapshot: Snapshot) -> None:
    engine = connect(str(folder / f"{name}.sqlite"))
    catalogue = Catalogue(engine)
    _line(f"store {name} boxes", _seconds(lambda: catalogue.replace(snapshot), rounds=1))
    _line("  snapshot, first", _seconds(lambda: Catalogue(engine).snapshot()))
    catalogue.snapshot()
    _line("  snapshot, again", _seconds(catalogue.snapshot))
    path = folder / f"{name}.workshop"
    _line("  workshop to a file", _seconds(lambda: export_workshop(engine, path), rounds=1))
    _line(
        "  workshop from a file",
        _seconds(lambda: import_workshop(engine, path, replace=True), rounds=1),
        f"{path.stat().st_size / 1e6:.1f} MB",
    )
    engine.dispose()


def _sheets(folder: Path) -> None:
    sheet = _long_sheet(folder)
    note = f"{sheet.stat().st_size / 1e6:.0f} MB"
    remembered = _seconds(lambda: read_sheet(sheet, kind="enclosures"), rounds=1)
    _line("100,000 rows of CSV read, cells remembered", remembered, note)
    kept, rows._MEMORY = rows._MEMORY, 0
    afresh = _seconds(lambda: read_sheet(sheet, kind="enclosures"), rounds=1)
    rows._MEMORY = kept
    _line("100,000 rows of CSV read, every cell afresh", afresh, f"{afresh / remembered:.1f} times")
    database = folder / "long.sqlite"
    for what in ("taken in, all new", "taken in again, all known"):
        used = _alone(_take_in, database, sheet)
        print(f"100,000 rows {what}: at most {used:.0f} MB")
    book = folder / "book.xlsx"
    write_xlsx(book, "enclosures", demo.make(7, enclosures=20_000).snapshot.enclosures)
    _line(
        "20,000 rows of XLSX read",
        _seconds(lambda: read_sheet(book, kind="enclosures"), rounds=1),
        f"{book.stat().st_size / 1e6:.0f} MB",
    )


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        _demo_and_store(folder)
        _sheets(folder)


if __name__ == "__main__":
    main()
