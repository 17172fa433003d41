"""Where does an impedance come from: a table, or two voltages beside a sense resistor?"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError, InputErrors, TooLargeError
from basswright.proof.analyse import frequencies
from basswright.proof.deconvolve import deconvolve
from basswright.proof.locate import decimate, locate
from basswright.records.measurement import Recording, Sweep

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]

_LARGEST_BYTES = 5_000_000


def read_impedance_table(path: Path) -> tuple[Floats, Complex]:
    """Read three columns: frequency in Hz, magnitude in ohm, phase in degrees.

    Separated by comma, semicolon, tab or blanks; lines that begin with a letter, a quote,
    ``#`` or ``*`` are headings.

    Returns
    -------
    frequency_hz, impedance_ohm : ndarray, shape (f,)

    Raises
    ------
    InputErrors
        With every row that cannot be read.
    """
    if not path.is_file():
        raise InputError("there is no such file", item=path.name)
    if path.stat().st_size > _LARGEST_BYTES:
        raise TooLargeError(f"{path.name}: more than 5 MB is no impedance table")
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("this is no plain text", item=path.name) from None
    rows, errors = [], []
    for number, line in enumerate(text.splitlines(), 1):
        stripped = line.strip()
        if not stripped or re.match(r"[A-Za-z#*\"']", stripped):
            continue
        try:
            frequency, size, phase = (float(cell) for cell in _cells(stripped)[:3])
        except ValueError:
            problem = "needs frequency, ohms and degrees"
            errors.append(InputError(problem, item=f"row {number}", value=stripped))
            continue
        if not (0 < frequency < 1e6 and 0 < size < 1e5 and abs(phase) <= 360):
            problem = "outside what an impedance can be"
            errors.append(InputError(problem, item=f"row {number}", value=stripped))
            continue
        rows.append((frequency, size, phase))
    if errors:
        raise InputErrors(errors, item=path.name)
    if not rows:
        raise InputError("holds no readings", item=path.name, allowed="frequency, ohms, degrees")
    table = np.array(rows)
    return table[:, 0], table[:, 1] * np.exp(1j * np.radians(table[:, 2]))


def impedance_of_recording(
    recording: Recording,
    sweep: Sweep,
    *,
    sense_ohm: float,
    whole_channel: int = 0,
    sense_channel: int = 1,
) -> tuple[Floats, Complex]:
    """Return the impedance from two voltages recorded while the sweep played.

    One channel holds the voltage over loudspeaker and sense resistor together, the other
    that over the resistor alone: ``Z = R (V / Vr - 1)``. Both inputs have to have the
    same gain.

    Returns
    -------
    frequency_hz, impedance_ohm : ndarray, shape (f,)

    Raises
    ------
    InputError
        Not two channels, no sweep in them, or channels that look swapped.
    """
    if recording.samples.shape[1] < 2:
        raise InputError(
            "an impedance needs two channels",
            item=recording.name,
            value=recording.samples.shape[1],
            allowed="one over the whole, one over the sense resistor",
        )
    if not 1e-3 <= sense_ohm <= 1e4:
        raise InputError("no such sense resistor", field="sense_ohm", value=sense_ohm)
    both = [
        decimate(
            recording.samples[:, channel], recording.sample_rate_hz, max(8 * sweep.stop_hz, 1600)
        )
        for channel in (whole_channel, sense_channel)
    ]
    (whole, rate), (sense, _) = both
    place = locate(whole, rate, sweep, name=recording.name)
    grid = frequencies(sweep)
    voltages = [
        deconvolve(samples, rate, sweep, place=place, frequency_hz=grid).transfer
        for samples in (whole, sense)
    ]
    ratio = voltages[0] / np.where(np.abs(voltages[1]) > 0, voltages[1], 1e-12)
    if np.median(np.abs(ratio)) < 1:
        raise InputError(
            "the channels look swapped: more voltage over the sense resistor than over the whole",
            item=recording.name,
            allowed="swap the plugs, or name the channels the other way round",
        )
    return grid, np.asarray(sense_ohm * (ratio - 1), dtype=np.complex128)


def _cells(line: str) -> list[str]:
    for sign in (";", "\t"):
        if sign in line:
            return [cell.strip().replace(",", ".") for cell in line.split(sign)]
    if "," in line:
        return [cell.strip() for cell in next(csv.reader([line]))]
    return line.split()
