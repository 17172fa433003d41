"""Options that every command on recordings takes, and how a typed quantity is read."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from basswright.errors import InputError
from basswright.quantities import read

if TYPE_CHECKING:
    from basswright.records.measurement import Sweep
    from basswright.stages.proof import Listening

From = Annotated[str, typer.Option("--from", help="frequency at which the sweep starts")]
To = Annotated[str, typer.Option("--to", help="frequency at which the sweep ends")]
Lasting = Annotated[str, typer.Option("--lasting", help="how long the sweep lasts")]
Level = Annotated[str, typer.Option("--level", help="its level, 0 dB is a full-scale sine")]
CalibrationFile = Annotated[
    Path | None, typer.Option("--calibration", help="the microphone's file: Hz, dB")
]
FullScale = Annotated[
    str | None,
    typer.Option("--full-scale", help="level that just fills the recording, such as '120 dB'"),
]
Channel = Annotated[
    int | None, typer.Option("--channel", help="which channel holds the microphone, from 1")
]
Recordings = Annotated[
    list[Path], typer.Argument(metavar="RECORDING...", help="WAV or FLAC, one for each seat")
]
Seats = Annotated[
    list[str] | None, typer.Option("--seat", help="name of a seat, in order of the recordings")
]


def quantity(text: str, kind: str, unit: str, option: str) -> float:
    """Return a typed quantity; a bare number is taken in the unit that the help shows.

    Raises
    ------
    InputError
        No such quantity; names the option.
    """
    tidy = text.strip()
    try:
        return read(f"{tidy} {unit}" if tidy[-1:].isdigit() else tidy, kind)
    except InputError as error:
        raise error.at(field=option) from None


def sweep_of(start: str, stop: str, lasting: str, level: str) -> Sweep:
    """Return the sweep that was played, by its options."""
    from basswright.records.measurement import Sweep

    return Sweep(
        start_hz=quantity(start, "frequency", "Hz", "--from"),
        stop_hz=quantity(stop, "frequency", "Hz", "--to"),
        duration_s=quantity(lasting, "time", "s", "--lasting"),
        level_dbfs=quantity(level, "level", "dB", "--level"),
    )


def listening_of(
    sweep: Sweep, calibration: Path | None, full_scale: str | None, channel: int | None
) -> Listening:
    """Return how recordings are to be read, by the options."""
    from basswright.stages.proof import listening

    level = None if full_scale is None else quantity(full_scale, "level", "dB", "--full-scale")
    return listening(sweep, calibration=calibration, level_at_full_scale_db=level, channel=channel)
