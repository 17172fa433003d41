"""The workshop: what it puts on every paper; catalogue and jobs in one file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from basswright.cli.catalogue_commands import Store
from basswright.cli.work import workshop_folder

app = typer.Typer(
    help="What goes on every paper; the whole workshop in one file.", no_args_is_help=True
)


@app.command("set")
def set_(
    settings: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="KEY=VALUE...",
            help="such as 'name=Sample workshop' 'tax=19 %' logo=our-logo.svg",
        ),
    ] = None,
    store: Store = None,
) -> None:
    """Keep what goes on every paper and into every price of new jobs; then show it.

    Keys: name, address, contact, tax_number, valid_days, currency, hourly_rate, tax, paper,
    lengths, language, and logo (a file; empty takes it away).
    """
    from basswright.jobs import own
    from basswright.papers.language import language
    from basswright.papers.logo import read_logo

    folder = workshop_folder(store)
    changes = _changes(settings or [])
    logo = changes.pop("logo", None)
    checked = read_logo(Path(logo)) if logo else ""
    language(changes.get("language", "en"))
    workshop = own.keep_workshop(folder, changes)
    if logo is not None:
        own.keep_logo(folder, checked)
    typer.echo("\n".join(own.lines(workshop)))
    typer.echo(f"# logo: {'kept' if own.own_logo(folder) else 'none'}; all in {folder}")


def _changes(settings: list[str]) -> dict[str, str]:
    from basswright.errors import InputError

    changes = {}
    for text in settings:
        key, found, value = text.partition("=")
        if not found:
            raise InputError("not a setting", value=text, allowed="key=value")
        changes[key.strip()] = value.strip()
    return changes


@app.command()
def export(
    path: Annotated[Path, typer.Argument(help="file to write")], store: Store = None
) -> None:
    """Write catalogue and jobs into one file."""
    from basswright import database
    from basswright.database.workshop import export_workshop

    export_workshop(database.connect(store), path)
    typer.echo(path)


@app.command("import")
def import_(
    path: Annotated[Path, typer.Argument(help="file to read")],
    replace: Annotated[bool, typer.Option("--replace", help="in place of what is there")] = False,
    store: Store = None,
) -> None:
    """Read such a file into a store."""
    from basswright import database
    from basswright.database.workshop import import_workshop

    import_workshop(database.connect(store), path, replace=replace)
    typer.echo(f"{path} read")


@app.command()
def backup(
    folder: Annotated[Path, typer.Argument(help="folder for backups")],
    keep: Annotated[int, typer.Option(min=1, max=1000, help="how many to keep")] = 10,
    store: Store = None,
) -> None:
    """Write a dated copy, also while the app is running, and drop the oldest."""
    from basswright import database
    from basswright.database.workshop import backup as back_up

    typer.echo(back_up(database.connect(store), folder, keep=keep).path)
