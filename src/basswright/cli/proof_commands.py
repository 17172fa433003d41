"""Was the promise kept? From a terminal: check, look again next year, keep what a car taught."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from basswright.cli import codes, show_proof
from basswright.cli.listening import (
    CalibrationFile,
    Channel,
    From,
    FullScale,
    Lasting,
    Level,
    Recordings,
    Seats,
    To,
    listening_of,
    quantity,
    sweep_of,
)
from basswright.cli.work import open_catalogue, read_job, steps, write_data
from basswright.errors import InputError

if TYPE_CHECKING:
    from basswright.proof.likelihood import Evidence
    from basswright.records.measurement import Measurement
    from basswright.stages.proof import Listening
    from basswright.stages.system import System

app = typer.Typer(help="Was the promise kept?", no_args_is_help=True)

JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="job file (TOML)")]
OptionName = Annotated[str, typer.Argument(metavar="OPTION", help="its number or its id")]
AsJson = Annotated[bool, typer.Option("--json", help="print JSON")]
Store = Annotated[
    str | None, typer.Option("--store", help="database address; default: the user's own")
]
Loud = Annotated[Path | None, typer.Option("--loud", help="the same place, played louder")]
LoudLevel = Annotated[str, typer.Option("--loud-level", help="level of the loud sweep")]
Front = Annotated[Path | None, typer.Option("--front", help="front speakers alone")]
Close = Annotated[
    Path | None,
    typer.Option("--close", help="a finger's breadth from where the plan has the cone"),
]
Together = Annotated[Path | None, typer.Option("--together", help="front speakers and bass")]
Ohms = Annotated[
    str | None, typer.Option("--resistance", help="at the terminals of the unplugged box")
]
ToneVolts = Annotated[
    str | None, typer.Option("--tone", help="voltage at the terminals with the set-up tone")
]


@app.command()
def check(
    job: JobFile,
    option: OptionName,
    recordings: Recordings,
    seat: Seats = None,
    calibration: CalibrationFile = None,
    full_scale: FullScale = None,
    channel: Channel = None,
    start: From = "10 Hz",
    stop: To = "300 Hz",
    lasting: Lasting = "12 s",
    level: Level = "-12 dB",
    loud: Loud = None,
    loud_level: LoudLevel = "-3 dB",
    front: Front = None,
    together: Together = None,
    close: Close = None,
    resistance: Ohms = None,
    tone: ToneVolts = None,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Hold a recording of the bass box alone against what was promised.

    Leaves with 3 when the promise was not kept. Further readings make the causes surer.
    """
    from basswright.stages import proof

    how = listening_of(sweep_of(start, stop, lasting, level), calibration, full_scale, channel)
    measured = proof.measure(recordings, how, seats=seat or ())
    system = _system(job, option, store, quiet=as_json)
    louder = listening_of(
        sweep_of(start, stop, lasting, loud_level), calibration, full_scale, channel
    )
    evidence = _evidence(
        system,
        {
            "loud": _one(loud, louder),
            "front": _one(front, how),
            "together": _one(together, how),
            "close": _one(close, how),
        },
        resistance=resistance,
        tone=tone,
    )
    found = proof.prove(system, measured, evidence)
    if as_json:
        write_data(show_proof.proof_data(found))
    else:
        show_proof.proof(found)
    raise typer.Exit(codes.DONE if found.kept else codes.WISH_NOT_MET)


@app.command()
def again(
    now: Annotated[Path, typer.Argument(metavar="NOW", help="this year's measurement")],
    earlier: Annotated[Path, typer.Argument(metavar="EARLIER", help="the one it is held against")],
    job: Annotated[Path | None, typer.Option("--job", help="job file, for the causes")] = None,
    option: Annotated[str, typer.Option("--option", help="what was fitted")] = "1",
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Hold a car against its own earlier measurement: what has changed?

    Both are files that 'measure response --write' kept. Leaves with 3 when the level fell.
    """
    from basswright.proof import saving
    from basswright.stages import proof

    both = [saving.read_measurement(path) for path in (now, earlier)]
    system = None if job is None else _system(job, option, store, quiet=as_json)
    found = proof.prove_again(system, *both)
    if as_json:
        write_data(show_proof.proof_data(found))
    else:
        show_proof.proof(found, earlier=True)
    raise typer.Exit(codes.DONE if found.kept else codes.WISH_NOT_MET)


@app.command()
def keep(
    job: JobFile,
    option: OptionName,
    measurement: Annotated[
        Path, typer.Argument(metavar="MEASUREMENT", help="kept by 'measure response --write'")
    ],
    write: Annotated[
        Path | None, typer.Option(help="write the job with its measured cabin, for another box")
    ] = None,
    as_json: AsJson = False,
    store: Store = None,
) -> None:
    """Keep what a measured car teaches about others of its kind.

    Later jobs on a car of the same name and body rest on it.
    """
    from basswright import database, jobs
    from basswright.database.measured_cars import MeasuredCars
    from basswright.proof import saving
    from basswright.stages import proof

    measured = saving.read_measurement(measurement)
    system = _system(job, option, store, quiet=as_json)
    car = proof.lesson_of(system, measured, note=f"{system.option.id}, {measurement.name}")
    cars = MeasuredCars(database.connect(store))
    replaced = cars.keep(car)
    kin = sum(each.car.kind == car.kind and each.car.body == car.body for each in cars.all())
    if write is not None:
        cabin = proof.cabin_of_measurement(system, measured)
        told = system.job.car.model_copy(update={"cabin_measurement": cabin})
        text = jobs.write_job(system.job.model_copy(update={"car": told}))
        write.write_text(text, encoding="utf-8")
    if as_json:
        write_data({"car": car.model_dump(mode="json"), "replaced": replaced, "of_kind": kin})
        return
    done = "replaces this job's earlier measurement" if replaced else "kept"
    typer.echo(f"{car.kind} ({car.body}): {done}; measured cars of this kind: {kin}")
    if write is not None:
        typer.echo(f"{write}: the job with its measured cabin")


@app.command()
def cars(as_json: AsJson = False, store: Store = None) -> None:
    """List the measured cars in the store."""
    from basswright import database
    from basswright.database.measured_cars import MeasuredCars

    kept = MeasuredCars(database.connect(store)).all()
    if as_json:
        write_data([{"at": each.at, **each.car.model_dump(mode="json")} for each in kept])
        return
    for each in kept:
        mean = sum(each.car.deviation_db) / len(each.car.deviation_db)
        typer.echo(
            f"{each.at[:10]}  {each.car.kind} ({each.car.body}), job {each.car.job_id}: "
            f"{mean:+.1f} dB on average against the models"
        )
    if not kept:
        typer.echo("no measured cars yet")


@app.command()
def forget(
    job_id: Annotated[str, typer.Argument(metavar="JOB-ID", help="as 'proof cars' lists it")],
    store: Store = None,
) -> None:
    """Forget a measured car, because its measurement was wrong."""
    from basswright import database
    from basswright.database.measured_cars import MeasuredCars

    MeasuredCars(database.connect(store)).forget(job_id)
    typer.echo(f"{job_id}: forgotten")


def _system(job: Path, option: str, store: str | None, *, quiet: bool) -> System:
    from basswright import stages

    the_job, snapshot = read_job(job), open_catalogue(store)
    with steps(quiet=quiet) as on_step:
        return stages.system(the_job, snapshot, option, on_step=on_step)


def _one(recording: Path | None, how: Listening) -> Measurement | None:
    from basswright.stages import proof

    return None if recording is None else proof.measure([recording], how)


def _evidence(
    system: System,
    recordings: dict[str, Measurement | None],
    *,
    resistance: str | None,
    tone: str | None,
) -> Evidence:
    from basswright.proof import Evidence
    from basswright.stages.proof import set_up_tone_v

    if (recordings["front"] is None) != (recordings["together"] is None):
        raise InputError("one is of use only with the other", field="--front, --together")
    share = None
    if tone is not None:
        share = quantity(tone, "voltage", "V", "--tone") / set_up_tone_v(system)
    ohm = None if resistance is None else quantity(resistance, "resistance", "ohm", "--resistance")
    return Evidence(**recordings, resistance_ohm=ohm, tone_voltage_share=share)
