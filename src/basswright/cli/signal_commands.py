"""Test signals from a terminal, written to order."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from basswright.cli.listening import From, Lasting, Level, To, quantity, sweep_of

if TYPE_CHECKING:
    from basswright.tuning.signals import Signal

app = typer.Typer(help="Test signals, as WAV or FLAC.", no_args_is_help=True)

File = Annotated[Path, typer.Argument(metavar="FILE", help=".wav or .flac")]


@app.command()
def sweep(
    file: File,
    start: From = "10 Hz",
    stop: To = "300 Hz",
    lasting: Lasting = "12 s",
    level: Level = "-12 dB",
) -> None:
    """The sweep that is recorded at the ear, between its two markers."""
    from basswright.tuning import signals

    _write(signals.log_sweep(sweep_of(start, stop, lasting, level)), file)


@app.command()
def tone(
    file: File,
    at: Annotated[str, typer.Option("--at", help="its frequency")] = "45 Hz",
    level: Level = "-5 dB",
    lasting: Annotated[str, typer.Option("--lasting", help="how long it lasts")] = "20 s",
) -> None:
    """A set-up tone of a stated level, to set the gain with a voltmeter."""
    from basswright.tuning import signals

    found = signals.tone(
        quantity(at, "frequency", "Hz", "--at"),
        level_dbfs=quantity(level, "level", "dB", "--level"),
        duration_s=quantity(lasting, "time", "s", "--lasting"),
    )
    _write(found, file)


@app.command()
def noise(
    file: File,
    start: Annotated[str, typer.Option("--from", help="lower end of the band")] = "20 Hz",
    stop: Annotated[str, typer.Option("--to", help="upper end of the band")] = "120 Hz",
    level: Level = "-20 dB",
    lasting: Annotated[str, typer.Option("--lasting", help="how long it lasts")] = "30 s",
) -> None:
    """Pink noise limited to a band, for levels by ear or by meter."""
    from basswright.tuning import signals

    found = signals.band_noise(
        quantity(start, "frequency", "Hz", "--from"),
        quantity(stop, "frequency", "Hz", "--to"),
        level_dbfs=quantity(level, "level", "dB", "--level"),
        duration_s=quantity(lasting, "time", "s", "--lasting"),
    )
    _write(found, file)


@app.command()
def pulses(
    file: File,
    level: Level = "-12 dB",
    count: Annotated[int, typer.Option("--count", help="how many, a second apart")] = 8,
) -> None:
    """One-sided pulses: a cone that is joined the right way round jumps outwards."""
    from basswright.tuning import signals

    decibels = quantity(level, "level", "dB", "--level")
    _write(signals.polarity_pulse(level_dbfs=decibels, count=count), file)


@app.command()
def rattle(
    file: File,
    start: Annotated[str, typer.Option("--from", help="lower end")] = "20 Hz",
    stop: Annotated[str, typer.Option("--to", help="upper end")] = "100 Hz",
    level: Level = "-12 dB",
    lasting: Annotated[str, typer.Option("--lasting", help="how long it lasts")] = "60 s",
) -> None:
    """A slow sweep up and down again, to find what rattles."""
    from basswright.tuning import signals

    found = signals.rattle_sweep(
        quantity(start, "frequency", "Hz", "--from"),
        quantity(stop, "frequency", "Hz", "--to"),
        level_dbfs=quantity(level, "level", "dB", "--level"),
        duration_s=quantity(lasting, "time", "s", "--lasting"),
    )
    _write(found, file)


def _write(signal: Signal, file: Path) -> None:
    from basswright.tuning import signals

    signals.write(signal, file)
    seconds = signal.samples.size / signal.sample_rate_hz
    typer.echo(f"{file}: {seconds:.1f} s, {signal.level_dbfs:g} dB re a full-scale sine")
    for caution in signal.cautions:
        typer.echo(f"caution: {caution}")
