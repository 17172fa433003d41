"""The whole workshop in one file: catalogue, jobs, photographs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from basswright.cli.catalogue_commands import Store

app = typer.Typer(help="The whole workshop in one file.", no_args_is_help=True)


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
