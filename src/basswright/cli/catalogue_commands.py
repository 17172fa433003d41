"""The catalogue from a terminal: import, check, export, make the demo range."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from basswright.cli import codes
from basswright.cli.work import write_data
from basswright.errors import InputError

if TYPE_CHECKING:
    from basswright.catalogue.sheets import SheetMapping, SheetReport
    from basswright.catalogue.store import Catalogue

app = typer.Typer(help="What can be bought.", no_args_is_help=True)

Store = Annotated[
    str | None, typer.Option("--store", help="database address; default: the user's own")
]
Sheet = Annotated[Path, typer.Argument(metavar="SHEET", help=".csv, .xlsx or .json")]
Kind = Annotated[
    str, typer.Option("--kind", help="enclosures, amplifiers, cables, fuses ... as in a snapshot")
]
Supplier = Annotated[str, typer.Option("--supplier", help="whose sheet; its columns are kept")]
Columns = Annotated[
    list[str] | None,
    typer.Option("--column", help="correct a column: 'Head=field [unit]'; 'Head=' leaves it out"),
]
Report = Annotated[Path | None, typer.Option("--report", help="write every remark as CSV")]
AsJson = Annotated[bool, typer.Option("--json", help="print JSON")]


@app.command("make-demo")
def make_demo(
    store: Store = None,
    seed: Annotated[int, typer.Option(help="another seed makes another range")] = 1,
    force: Annotated[bool, typer.Option("--force", help="replace a real catalogue")] = False,
) -> None:
    """Fill the store with the invented demo range, in place of what it holds."""
    from basswright.catalogue import demo
    from basswright.errors import ConflictError

    catalogue = _open(store)
    real = [e for e in catalogue.snapshot().enclosures if not e.maker.startswith("Demo ")]
    if real and not force:
        raise ConflictError(
            f"the store holds {len(real)} enclosures that are not of the demo range; "
            "they stay as they are (--force replaces them, --store names another store)"
        )
    catalogue.replace(demo.make(seed).snapshot)
    for kind, count in catalogue.counts().items():
        typer.echo(f"{count:6d}  {kind}")


@app.command()
def check(
    sheet: Sheet,
    kind: Kind = "enclosures",
    supplier: Supplier = "",
    column: Columns = None,
    report: Report = None,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Read a sheet and tell what would be taken; the store stays as it is."""
    from basswright.catalogue.sheets import read_sheet

    catalogue = _open(store)
    remembered = catalogue.remembered_mapping(supplier, kind) if supplier else None
    with _progress(quiet=as_json) as progress:
        found = read_sheet(
            sheet,
            kind=kind,
            mapping=_corrections(column),
            remembered=remembered,
            known=catalogue.known(kind),
            progress=progress,
        )
    _tell(found, report, as_json=as_json)
    raise typer.Exit(codes.BAD_INPUT if found.refused else codes.DONE)


@app.command("import")
def import_(
    sheet: Sheet,
    kind: Kind = "enclosures",
    supplier: Supplier = "",
    column: Columns = None,
    partial: Annotated[
        bool, typer.Option("--partial", help="take the good rows although others are refused")
    ] = False,
    report: Report = None,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Take a sheet in: all rows or none, unless --partial; known things are updated."""
    catalogue = _open(store)
    with _progress(quiet=as_json) as progress:
        result = catalogue.import_sheet(
            sheet,
            kind=kind,
            supplier=supplier,
            mapping=_corrections(column),
            partial=partial,
            progress=progress,
        )
    _tell(result.report, report, as_json=as_json)
    if not as_json:
        changes = result.changes
        typer.echo(
            f"{len(changes.added)} new, {len(changes.changed)} changed, {changes.same} as they were"
        )


@app.command()
def export(
    path: Annotated[Path, typer.Argument(help="CSV file to write")],
    kind: Kind = "enclosures",
    store: Store = None,
) -> None:
    """Write one kind of thing as CSV that can be imported again."""
    from basswright.catalogue.sheets import write_csv

    snapshot = _open(store).snapshot()
    items = getattr(snapshot, kind, None)
    if not isinstance(items, tuple):
        raise InputError("no such kind of thing", field="kind", value=kind)
    typer.echo(f"{write_csv(path, kind, items)} {kind} written to {path}")


@app.command()
def doubts(as_json: AsJson = False, store: Store = None) -> None:
    """Data sheets that contradict physics, with the figures that clash."""
    from basswright.catalogue import plausibility

    snapshot = _open(store).snapshot()
    reports = (
        plausibility.check(snapshot.enclosures),
        plausibility.check_amplifiers(snapshot.amplifiers),
    )
    clashes = [clash for report in reports for clash in report.clashes]
    if as_json:
        write_data(
            [
                {"id": c.id, "rule": c.rule, "severity": c.severity, "text": c.sentence}
                for c in clashes
            ]
        )
        return
    for clash in clashes:
        typer.echo(f"{clash.id} ({clash.severity}): {clash.sentence}")
    typer.echo(f"{len(clashes)} doubts in {sum(report.checked for report in reports)} sheets")


def _open(store: str | None) -> Catalogue:
    from basswright import database
    from basswright.catalogue.store import Catalogue

    return Catalogue(database.connect(store))


def _corrections(columns: list[str] | None) -> dict[str, str | None] | None:
    if not columns:
        return None
    found: dict[str, str | None] = {}
    for text in columns:
        head, sign, target = text.rpartition("=")
        if not sign or not head:
            raise InputError(
                "not a correction", field="--column", value=text, allowed="'Head=field [unit]'"
            )
        found[head.strip()] = target.strip() or None
    return found


@contextmanager
def _progress(*, quiet: bool) -> Iterator[Callable[[int, int], None] | None]:
    import sys

    if quiet or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("reading rows", total=None)
        yield lambda done, expected: bar.update(task, completed=done, total=expected)


def _tell(found: SheetReport, report: Path | None, *, as_json: bool) -> None:
    if report is not None:
        found.write_csv(report)
    if as_json:
        write_data(_as_data(found))
        return
    _tell_mapping(found.mapping)
    for assumption in found.assumptions:
        typer.echo(f"assumed: {assumption}")
    for note in found.notes[:40]:
        typer.echo(f"{note.fate}: {note.as_error()}")
    if len(found.notes) > 40:
        typer.echo(f"... and {len(found.notes) - 40} more; --report writes them all")
    typer.echo(found.summary())


def _tell_mapping(mapping: SheetMapping) -> None:
    for column in mapping.columns:
        unit = f" [{column.unit}]" if column.unit else ""
        target = column.target or "not used"
        sure = f", {column.score:.0f} of 100" if column.how == "guessed" else ""
        typer.echo(f"{column.head} -> {target}{unit} ({column.how}{sure})")


def _as_data(found: SheetReport) -> dict[str, Any]:
    return {
        "file": found.file,
        "kind": found.kind,
        "rows": found.rows,
        "accepted": found.accepted,
        "remarked": found.remarked,
        "refused": found.refused,
        "columns": found.mapping.remembered(),
        "assumptions": list(found.assumptions),
        "notes": [
            {
                "row": note.row,
                "outcome": note.fate,
                "column": note.column,
                "problem": note.problem,
                "read": note.read,
                "allowed": note.allowed,
            }
            for note in found.notes
        ],
    }
