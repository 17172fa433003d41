"""How a measured impedance comes in: from a table of text, or from two recorded channels."""

from __future__ import annotations

import csv
import io
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from basswright.errors import InputError, InputErrors, QuantityError
from basswright.quantities import number
from basswright.sound.grid import checked_grid
from basswright.sound.models import Array
from basswright.sound.network import Complex

#: Coherence below which two channels do not belong together at a frequency.
_LEAST_COHERENCE: Final = 0.9


def read_impedance_csv(text: str) -> tuple[Array, Complex | Array]:
    """Read a sweep: frequency in Hz, magnitude in ohm, and phase in degrees if known.

    One row a frequency, separated by comma, semicolon or tab, with or without a heading.

    Parameters
    ----------
    text : str

    Returns
    -------
    frequency_hz : ndarray, shape (f,)
        Rising [Hz].
    impedance_ohm : ndarray, shape (f,)
        Complex with a phase, real without [ohm].

    Raises
    ------
    InputErrors
        Every row that cannot be read, with its number.
    InputError
        A magnitude that is not above zero, or frequencies that repeat or are out of range.
    """
    rows = [
        row for row in csv.reader(io.StringIO(text), _dialect(text)) if any(map(str.strip, row))
    ]
    errors: list[InputError] = []
    values: list[list[float]] = []
    for place, row in enumerate(rows, start=1):
        try:
            values.append([number(cell) for cell in row if cell.strip()])
        except QuantityError as error:
            if place > 1:
                errors.append(error.at(item=f"row {place}"))
    widths = {len(row) for row in values}
    if not errors and (len(widths) != 1 or not widths <= {2, 3}):
        errors.append(InputError("rows need frequency, magnitude and perhaps phase", item="sweep"))
    if errors:
        raise InputErrors(errors, item="impedance sweep")
    table = np.array(sorted(values))
    frequency, magnitude = checked_grid(table[:, 0]), table[:, 1]
    if (magnitude <= 0).any():
        raise InputError("not an impedance", field="magnitude", allowed="above 0 ohm")
    if table.shape[1] == 2:
        return frequency, magnitude
    return frequency, np.asarray(magnitude * np.exp(1j * np.radians(table[:, 2])))


def _dialect(text: str) -> type[csv.Dialect]:
    class Found(csv.excel):
        delimiter = next((sign for sign in "\t;" if sign in text), ",")

    return Found


def impedance_from_channels(
    terminal_v: ArrayLike,
    sense_v: ArrayLike,
    *,
    sense_ohm: float,
    rate_hz: float,
    frequency_hz: ArrayLike,
) -> Complex:
    """Return the impedance from two channels: at the terminals, and over a resistor [ohm].

    Parameters
    ----------
    terminal_v, sense_v : array_like, shape (t,)
        Voltage at the terminals, and over the resistor in series, in one and the same unit.
    sense_ohm : float
        The resistor, above 0 [ohm].
    rate_hz : float
        Samples a second [Hz].
    frequency_hz : array_like, shape (f,)
        At most 0.45 of the rate [Hz].

    Returns
    -------
    ndarray of complex, shape (f,)
        Z = R U / U_sense [ohm].

    Raises
    ------
    InputError
        Channels of different length, no resistor, frequencies beyond the recording, or
        channels that do not belong together (coherence below 0.9).

    Notes
    -----
    The same current flows through both. Averaged cross spectrum over the spectrum of the
    sense channel (H1 estimate), which noise in the terminal channel does not bias.

    References
    ----------
    .. [1] J. S. Bendat and A. G. Piersol, Random Data: Analysis and Measurement Procedures,
       Wiley (H1 estimate and coherence).
    """
    from scipy.signal import csd, welch

    grid = checked_grid(frequency_hz)
    volts, sensed = np.asarray(terminal_v, dtype=float), np.asarray(sense_v, dtype=float)
    if volts.shape != sensed.shape or volts.ndim != 1:
        raise InputError("channels of different length", field="sense_v", value=sensed.shape)
    if not (np.isfinite(sense_ohm) and sense_ohm > 0):
        raise InputError("not a resistor", field="sense_ohm", value=sense_ohm, allowed="above 0")
    length = min(volts.size, int(2 ** np.ceil(np.log2(2 * rate_hz))))
    if not rate_hz / length * 2 <= grid[0] or grid[-1] > 0.45 * rate_hz:
        raise InputError("beyond what the recording holds", field="frequency_hz", value=grid[0])
    axis, across = csd(sensed, volts, fs=rate_hz, nperseg=length)
    _, own = welch(sensed, fs=rate_hz, nperseg=length)
    _, other = welch(volts, fs=rate_hz, nperseg=length)
    coherence = np.interp(grid, axis, np.abs(across) ** 2 / (own * other + 1e-300))
    if (coherence < _LEAST_COHERENCE).any():
        raise InputError(
            "the channels do not belong together",
            field="terminal_v, sense_v",
            value=f"coherence {coherence.min():.2f}",
            allowed=f"{_LEAST_COHERENCE} or more",
        )
    ratio = across / own
    real, imaginary = (np.interp(grid, axis, part) for part in (ratio.real, ratio.imag))
    return np.asarray(sense_ohm * (real + 1j * imaginary))
