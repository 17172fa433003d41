"""Job files from a terminal."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from basswright.cli.work import read_job, workshop_folder, write_data
from basswright.errors import ConflictError, InputError, InputErrors
from basswright.quantities import kind_of, name_without_unit, read

if TYPE_CHECKING:
    from basswright.supply.quick_test import Readings

app = typer.Typer(help="Job files.", no_args_is_help=True)


@app.command()
def new(
    path: Annotated[Path, typer.Argument(help="file to write")],
    sample: Annotated[str, typer.Option(help="which sample to start from")] = "hatchback",
    store: Annotated[
        str | None, typer.Option("--store", help="database whose workshop it is for")
    ] = None,
) -> None:
    """Write a commented sample job to start from, with the workshop's own settings."""
    from basswright import jobs
    from basswright.jobs import own

    text = jobs.sample_text(sample)
    folder = workshop_folder(store)
    if (folder / own.FILE).exists():
        text = own.with_own_workshop(text, own.own_workshop(folder))
    if path.exists():
        raise ConflictError(f"{path} exists already and is left as it is")
    path.write_text(text, encoding="utf-8")
    typer.echo(path)


@app.command()
def check(
    path: Annotated[Path, typer.Argument(metavar="JOB")],
    as_json: Annotated[bool, typer.Option("--json", help="print JSON")] = False,
) -> None:
    """Read a job file, look for contradictions, and tell what was estimated, with the band."""
    from basswright import jobs, space

    job = read_job(path)
    if problems := space.check(job.car.load_space):
        raise InputErrors(problems, item=path.name)
    estimates = jobs.estimated(job.car)
    if as_json:
        write_data({"job_id": job.id, "estimates": [asdict(each) for each in estimates]})
        return
    typer.echo(f"{job.title}: complete")
    for each in estimates:
        typer.echo(f"  estimated: {each}")


@app.command("take-scan")
def take_scan(
    path: Annotated[Path, typer.Argument(metavar="JOB")],
    scan: Annotated[Path, typer.Argument(metavar="SCAN", help="PLY, OBJ, STL or GLB")],
    write: Annotated[Path, typer.Option(help="write the job with the scanned space here")],
    unit: Annotated[str, typer.Option(help="mm, cm, m, in, ft or km")] = "m",
    up: Annotated[str, typer.Option(help="axis that points up: x, -x, y, -y, z or -z")] = "z",
    front: Annotated[str, typer.Option(help="axis that points to the front of the car")] = "x",
) -> None:
    """Take the load space of a job from a scan; the opening stays as the tape read it."""
    from basswright import jobs
    from basswright.space.scans import scan as read

    job = read_job(path)
    if write.exists():
        raise ConflictError(f"{write} exists already and is left as it is")
    found = read(scan, job.car.load_space.opening, unit=unit, up=up, front=front)
    origins = {
        field: origin
        for field, origin in job.car.origins.items()
        if not field.startswith("load_space.")
    }
    update = {"load_space": found.space, "origins": origins}
    new = job.model_copy(update={"car": job.car.model_copy(update=update)})
    write.write_text(jobs.write_job(new), encoding="utf-8")
    for note in found.notes:
        typer.echo(note)
    typer.echo(write)


@app.command("quick-test")
def quick_test(
    path: Annotated[Path, typer.Argument(metavar="JOB")],
    reading: Annotated[
        list[str], typer.Argument(metavar="READING=VALUE...", help="such as 'rest=12.6 V'")
    ],
    write: Annotated[
        Path | None, typer.Option(help="write the job with the readings taken in")
    ] = None,
) -> None:
    """Judge battery and alternator from readings with meter and clamp.

    Readings: rest, cranking, idle and loaded in V; cranking, idle_output, speed_output,
    base_load and drain in A.
    """
    from basswright import jobs
    from basswright.records.base import Origin
    from basswright.supply.quick_test import quick_test as judge

    job = read_job(path)
    found = judge(_readings(reading), job.car.charging)
    for verdict in found.verdicts:
        answer = "passes" if verdict.passes else "fails"
        note = f" ({verdict.note})" if verdict.note else ""
        typer.echo(f"{verdict.rule}: {answer} by {abs(verdict.margin):.3g} {verdict.unit}{note}")
    for caution in found.cautions:
        typer.echo(f"caution: {caution}")
    if write is None:
        return
    measured = Origin(kind="measured", low=None, high=None, note="quick test")
    origins = {**job.car.origins, **{f"charging.{name}": measured for name in found.measured}}
    car = job.car.model_copy(update={"charging": found.charging, "origins": origins})
    write.write_text(jobs.write_job(job.model_copy(update={"car": car})), encoding="utf-8")
    typer.echo(write)


def _readings(texts: list[str]) -> Readings:
    from basswright.supply.quick_test import Readings

    found: dict[str, float] = {}
    errors: list[InputError] = []
    names = {name: kind_of(name) or "" for name in Readings.model_fields}
    for text in texts:
        key, _, value = text.partition("=")
        fitting = [n for n in names if name_without_unit(n) == key.strip()]
        ending = value.strip().upper()[-1:]
        name = next((n for n in fitting if n.upper().endswith(f"_{ending}")), "")
        if not name:
            allowed = ", ".join(sorted({name_without_unit(n) for n in names}))
            errors.append(
                InputError(
                    "not a reading of this test", value=text, allowed=f"{allowed}, in V or A"
                )
            )
            continue
        try:
            found[name] = read(value, names[name])
        except InputError as error:
            errors.append(error.at(field=key))
    if errors:
        raise InputErrors(errors, item="quick test")
    return Readings(**found)
