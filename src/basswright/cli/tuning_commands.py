"""How a system is set, from a terminal: as settings to dial in and as coefficients."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from basswright.cli.listening import quantity
from basswright.cli.work import open_catalogue, read_job, steps, write_json

if TYPE_CHECKING:
    from basswright.records.tuning import PassFilter, TuningSettings


def tune(
    job: Annotated[Path, typer.Argument(metavar="JOB", help="job file (TOML)")],
    option: Annotated[str, typer.Argument(metavar="OPTION", help="its number or its id")],
    measured: Annotated[
        Path | None,
        typer.Option("--measured", help="set by this measurement, not by the prediction"),
    ] = None,
    front_distance: Annotated[
        str | None, typer.Option("--front-distance", help="front speaker to ear, such as '1.1 m'")
    ] = None,
    bands: Annotated[int, typer.Option("--bands", min=0, max=12, help="most equaliser bands")] = 5,
    as_json: Annotated[bool, typer.Option("--json", help="print JSON")] = False,
    store: Annotated[
        str | None, typer.Option("--store", help="database address; default: the user's own")
    ] = None,
) -> None:
    """Filters, polarity, delay, equaliser and gain of an option."""
    from basswright import stages
    from basswright.proof import saving
    from basswright.stages import tune as tuned

    the_job, snapshot = read_job(job), open_catalogue(store)
    metres = None
    if front_distance is not None:
        metres = quantity(front_distance, "length", "m", "--front-distance")
    heard = None if measured is None else saving.read_measurement(measured)
    with steps(quiet=as_json) as on_step:
        system = stages.system(the_job, snapshot, option, on_step=on_step)
        found = tuned.settings(system, measured=heard, front_distance_m=metres, bands=bands)
    if as_json:
        write_json(found)
    else:
        _show(found)


def _show(found: TuningSettings) -> None:
    typer.echo(f"low-pass: {_filter(found.low_pass)}")
    high = found.infrasonic
    typer.echo(f"infrasonic filter: {'none needed' if high is None else _filter(high)}")
    delay = found.delay
    if delay.how == "not known":
        typer.echo(f"delay: not known; {delay.note}")
    else:
        typer.echo(f"delay: {1000 * delay.delay_s:.1f} ms on {delay.on} (from {delay.how})")
        typer.echo(f"polarity of the bass: {delay.polarity}")
    for number, band in enumerate(found.bands, 1):
        dials = f"{band.frequency_hz:.0f} Hz, {band.gain_db:+.1f} dB, Q {band.Q:.2f}"
        typer.echo(f"equaliser {number}: {dials}")
    typer.echo(
        f"distance to the target: {found.ripple_before_db:.1f} dB without equaliser, "
        f"{found.ripple_after_db:.1f} dB with it"
    )
    gain = found.gain
    typer.echo(
        f"gain: {gain.tone_voltage_v:.1f} V RMS with {gain.tone_hz:.0f} Hz at "
        f"{gain.tone_level_dbfs:g} dB re full scale"
    )
    for text in found.held_back:
        typer.echo(f"held back: {text}")
    for caution in found.cautions:
        typer.echo(f"caution: {caution}")


def _filter(one: PassFilter) -> str:
    return f"{one.family}, {one.frequency_hz:.0f} Hz, {one.slope_db_per_octave} dB an octave"
