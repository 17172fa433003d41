"""Job files from a terminal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from basswright.cli.work import read_job
from basswright.errors import ConflictError

app = typer.Typer(help="Job files.", no_args_is_help=True)


@app.command()
def new(
    path: Annotated[Path, typer.Argument(help="file to write")],
    sample: Annotated[str, typer.Option(help="which sample to start from")] = "hatchback",
) -> None:
    """Write a commented sample job to start from."""
    from basswright import jobs

    text = jobs.sample_text(sample)
    if path.exists():
        raise ConflictError(f"{path} exists already and is left as it is")
    path.write_text(text, encoding="utf-8")
    typer.echo(path)


@app.command()
def check(path: Annotated[Path, typer.Argument(metavar="JOB")]) -> None:
    """Read a job file and tell what was estimated."""
    job = read_job(path)
    typer.echo(f"{job.title}: complete")
    for field, origin in job.car.origins.items():
        if origin.kind == "estimated":
            typer.echo(f"  estimated: {field} ({origin.note})")
