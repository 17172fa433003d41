"""Recordings and impedance sweeps from a terminal: what do they say?"""

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
from basswright.cli.work import write_data
from basswright.errors import InputError

if TYPE_CHECKING:
    from basswright.proof.impedance import Kind

app = typer.Typer(help="What recordings say.", no_args_is_help=True)

AsJson = Annotated[bool, typer.Option("--json", help="print JSON")]
Write = Annotated[
    Path | None, typer.Option("--write", help="keep the measurement in this file, for next year")
]


@app.command()
def response(
    recordings: Recordings,
    seat: Seats = None,
    calibration: CalibrationFile = None,
    full_scale: FullScale = None,
    channel: Channel = None,
    start: From = "10 Hz",
    stop: To = "300 Hz",
    lasting: Lasting = "12 s",
    level: Level = "-12 dB",
    write: Write = None,
    as_json: AsJson = False,
) -> None:
    """Find the sweep in recordings: level, noise, distortion, clock drift, and what is wrong.

    Leaves with 2 when a recording is not fit for use, after showing what there is.
    """
    from basswright.proof import saving
    from basswright.stages import proof

    how = listening_of(sweep_of(start, stop, lasting, level), calibration, full_scale, channel)
    found = proof.measure(recordings, how, seats=seat or ())
    if write is not None:
        write.write_text(saving.as_text(found), encoding="utf-8")
    if as_json:
        write_data(show_proof.measurement_data(found))
    else:
        show_proof.measurement(found)
        if write is not None:
            typer.echo(f"kept in {write}")
    raise typer.Exit(codes.DONE if found.usable else codes.BAD_INPUT)


@app.command()
def live(
    recording: Annotated[Path, typer.Argument(metavar="FILE", help=".wav or .flac to write")],
    device: Annotated[str | None, typer.Option("--device", help="name of the sound card")] = None,
    start: From = "10 Hz",
    stop: To = "300 Hz",
    lasting: Lasting = "12 s",
    level: Level = "-12 dB",
) -> None:
    """Play the sweep through the sound card and record it, where there is one."""
    from basswright.proof import play

    heard = play.play_and_record(sweep_of(start, stop, lasting, level), device=device)
    play.keep(heard, recording)
    typer.echo(recording)
    show_proof.problems(heard.problems)


@app.command()
def impedance(
    sweep: Annotated[
        Path,
        typer.Argument(
            metavar="FILE", help="CSV of Hz, ohm and degrees, or a two-channel recording"
        ),
    ],
    sense: Annotated[
        str | None, typer.Option("--sense", help="sense resistor of a recording, such as '10 ohm'")
    ] = None,
    kind: Annotated[
        str | None, typer.Option("--kind", help="closed, vented or passive-radiator")
    ] = None,
    swapped: Annotated[
        bool, typer.Option("--swapped", help="the sense resistor is on channel 1")
    ] = False,
    start: From = "10 Hz",
    stop: To = "300 Hz",
    lasting: Lasting = "12 s",
    as_json: AsJson = False,
) -> None:
    """Fit a box and its driver to an impedance sweep."""
    from basswright import proof

    if sense is None:
        frequency, measured = proof.read_impedance_table(sweep)
    else:
        frequency, measured = proof.impedance_of_recording(
            proof.read_recording(sweep),
            sweep_of(start, stop, lasting, "-12 dB"),
            sense_ohm=quantity(sense, "resistance", "ohm", "--sense"),
            whole_channel=int(swapped),
            sense_channel=int(not swapped),
        )
    fit = proof.fit_impedance(frequency, measured, kind=_kind(kind))
    if as_json:
        write_data(show_proof.impedance_data(fit))
    else:
        show_proof.impedance(fit)


def _kind(text: str | None) -> Kind | None:
    from basswright.proof.impedance import PARAMETERS

    for known in PARAMETERS:
        if text == known:
            return known
    if text is None:
        return None
    raise InputError(
        "no such kind of box", field="--kind", value=text, allowed=", ".join(PARAMETERS)
    )
