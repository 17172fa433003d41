"""What does this microphone show too much or too little?"""

from __future__ import annotations

import csv
import re
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError, InputErrors, TooLargeError
from basswright.records.measurement import Calibration, Problem

_LARGEST_BYTES = 2_000_000
_WIDEST_GAP_OCTAVES = 1.0


def read_calibration(path: Path, *, level_at_full_scale_db: float | None = None) -> Calibration:
    """Read a calibration file: two columns, frequency in Hz and correction in dB.

    Separated by comma, semicolon, tab or blanks; lines that begin with a letter, a quote,
    ``#`` or ``*`` are taken as headings; further columns (phase) are left alone. A gap
    of more than an octave between 15 and 150 Hz is told with the result, not filled in
    silently; outside the file's range its first and last value go on.

    Parameters
    ----------
    path : Path
    level_at_full_scale_db : float, optional
        Sound pressure level of a sine that just fills the recording, from an acoustic
        calibrator or a level meter beside the microphone [dB re 20 uPa].

    Raises
    ------
    InputErrors
        With every row that cannot be read.
    """
    if not path.is_file():
        raise InputError("there is no such file", item=path.name)
    if path.stat().st_size > _LARGEST_BYTES:
        raise TooLargeError(f"{path.name}: more than 2 MB is no calibration file")
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("this is no plain text", item=path.name) from None
    rows, errors = _rows(text)
    if not errors:
        errors = _order_errors(rows)
    if errors:
        raise InputErrors(errors, item=path.name)
    if len(rows) < 2:
        raise InputError("fewer than two readings", item=path.name, allowed="frequency, dB")
    table = np.array([row[1:] for row in rows])
    return Calibration(
        frequency_hz=table[:, 0],
        correction_db=table[:, 1],
        level_at_full_scale_db=level_at_full_scale_db,
        problems=_gaps(table[:, 0]),
    )


def _rows(text: str) -> tuple[list[tuple[int, float, float]], list[InputError]]:
    rows: list[tuple[int, float, float]] = []
    errors: list[InputError] = []
    for number, line in enumerate(text.splitlines(), 1):
        stripped = line.strip()
        if not stripped or re.match(r"[A-Za-z#*\"']", stripped):
            continue
        cells = _cells(stripped)
        try:
            frequency, correction = float(cells[0]), float(cells[1])
        except (ValueError, IndexError):
            problem = "needs a frequency and a correction"
            errors.append(InputError(problem, item=f"row {number}", value=stripped))
            continue
        if not 1 <= frequency <= 100_000 or not abs(correction) <= 60:
            errors.append(
                InputError(
                    "outside what a microphone can have",
                    item=f"row {number}",
                    value=stripped,
                    allowed="1 Hz to 100 kHz and -60 to 60 dB",
                )
            )
            continue
        rows.append((number, frequency, correction))
    return rows, errors


def _cells(line: str) -> list[str]:
    for sign in (";", "\t"):
        if sign in line:
            return [cell.strip().replace(",", ".") for cell in line.split(sign)]
    if "," in line:
        return [cell.strip() for cell in next(csv.reader([line]))]
    return line.split()


def _order_errors(rows: list[tuple[int, float, float]]) -> list[InputError]:
    return [
        InputError("frequencies have to ascend", item=f"row {number}", value=f"{here:g} Hz")
        for (_, before, _), (number, here, _) in pairwise(rows)
        if here <= before
    ]


def _gaps(frequency: NDArray[np.float64]) -> tuple[Problem, ...]:
    problems = []
    for low, high in pairwise(frequency):
        if high > 15 and low < 150 and high / low > 2**_WIDEST_GAP_OCTAVES:
            problems.append(f"between {low:g} and {high:g} Hz")
    if frequency[0] > 20:
        problems.append(f"below {frequency[0]:g} Hz")
    if frequency[-1] < 120:
        problems.append(f"above {frequency[-1]:g} Hz")
    return tuple(
        Problem(
            kind="calibration",
            severity="warning",
            text=f"the calibration file has no reading {where}; the level there rests on its "
            "neighbours",
            remedy="ask for a file that covers 20 to 120 Hz without gaps",
        )
        for where in problems
    )
