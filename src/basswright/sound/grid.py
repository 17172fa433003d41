"""Which frequencies are looked at."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError

LOWEST_HZ, HIGHEST_HZ = 0.5, 20_000.0


def checked_grid(frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Return the frequencies as an array [Hz].

    Parameters
    ----------
    frequency_hz : array_like, shape (f,)
        Rising, 0.5 to 20,000 [Hz].

    Returns
    -------
    ndarray, shape (f,)
        The same [Hz].

    Raises
    ------
    InputError
        Empty, not finite, outside 0.5 Hz to 20 kHz, or not rising.
    """
    grid = np.asarray(frequency_hz, dtype=float)
    allowed = f"rising frequencies from {LOWEST_HZ:g} to {HIGHEST_HZ:g} Hz"
    if grid.ndim != 1 or grid.size == 0:
        raise InputError(
            "not a list of frequencies", field="frequency_hz", value=grid.shape, allowed=allowed
        )
    bad = ~np.isfinite(grid) | (grid < LOWEST_HZ) | (grid > HIGHEST_HZ)
    if bad.any():
        value = float(grid[bad][0])
        raise InputError(
            "frequency out of range", field="frequency_hz", value=value, allowed=allowed
        )
    if (np.diff(grid) <= 0).any():
        raise InputError("frequencies do not rise", field="frequency_hz", allowed=allowed)
    return grid


def octave_grid(low_hz: float, high_hz: float, per_octave: int = 12) -> NDArray[np.float64]:
    """Return frequencies at equal steps of an octave fraction, `low_hz` included [Hz].

    Parameters
    ----------
    low_hz, high_hz : float
        Ends, `high_hz` included where a step falls on it [Hz].
    per_octave : int
        Steps an octave.

    Returns
    -------
    ndarray, shape (f,)
        low 2^(k / per_octave) [Hz].

    Examples
    --------
    >>> octave_grid(16.0, 32.0, 2).round(2)
    array([16.  , 22.63, 32.  ])
    """
    steps = int(np.floor(per_octave * np.log2(high_hz / low_hz) + 1e-9))
    return np.asarray(low_hz * 2.0 ** (np.arange(steps + 1) / per_octave))
