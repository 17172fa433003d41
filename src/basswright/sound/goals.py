"""How a curve of the highest clean level becomes two figures that a wish is told in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.sound.models import Array

#: Exact mid-band frequencies of the third-octave bands 31.5 to 80 Hz (IEC 61260-1).
BANDS_HZ: Final = 1000.0 * 10.0 ** (np.arange(-15, -10) / 10)
_HALF_BAND: Final = 10.0**0.05


@dataclass(frozen=True, kw_only=True)
class LowLimit:
    """How low a level is held.

    Attributes
    ----------
    frequency_hz : ndarray
        The lowest frequency down to which it is held.
    below_grid : ndarray of bool
        True where it is held down to the lowest frequency that was looked at: then
        the limit lies at or below `frequency_hz` ("< 16 Hz").
    """

    frequency_hz: Array
    below_grid: NDArray[np.bool_]


def loudest_level(loudest_db: ArrayLike, frequency_hz: ArrayLike) -> Array:
    """Energy mean of the highest clean level over the third octaves 31.5 to 80 Hz.

    Parameters
    ----------
    loudest_db : array, shape (..., f)
    frequency_hz : array, shape (f,)

    Returns
    -------
    ndarray, shape (...)
        Level [dB]; every band counts the same, however many frequencies fall in it.

    Raises
    ------
    InputError
        A band without a frequency.
    """
    levels = np.asarray(loudest_db, dtype=float)
    weight = _band_weights(np.asarray(frequency_hz, dtype=float))
    return np.asarray(10 * np.log10(10 ** (levels / 10) @ weight))


def low_limit(loudest_db: ArrayLike, frequency_hz: ArrayLike, down_db: float = 10.0) -> LowLimit:
    """Lowest frequency down to which the loudest level is held to within 10 dB.

    Going down from the loudest frequency between 28 and 89 Hz, the first crossing of
    the mean level of those bands less `down_db`, by straight lines in dB over the
    logarithm of frequency.

    Parameters
    ----------
    loudest_db : array, shape (..., f)
    frequency_hz : array, shape (f,)

    Raises
    ------
    InputError
        A band from 31.5 to 80 Hz without a frequency.
    """
    levels = np.asarray(loudest_db, dtype=float)
    grid = np.asarray(frequency_hz, dtype=float)
    above = levels - loudest_level(levels, grid)[..., None] + down_db
    inside = _band_weights(grid) > 0
    top = np.where(inside, levels, -np.inf).argmax(axis=-1)[..., None]
    column = np.arange(grid.size)
    last = np.where((above < 0) & (column < top), column, -1).max(axis=-1)
    low = np.maximum(last, 0)
    under = np.take_along_axis(above, low[..., None], axis=-1)[..., 0]
    over = np.take_along_axis(above, low[..., None] + 1, axis=-1)[..., 0]
    share = np.where(last < 0, 0.0, under / np.where(under == over, 1.0, under - over))
    frequency = grid[low] * (grid[low + 1] / grid[low]) ** share
    return LowLimit(frequency_hz=frequency, below_grid=last < 0)


def _band_weights(grid: Array) -> Array:
    inside = (grid > BANDS_HZ[:, None] / _HALF_BAND) & (grid <= BANDS_HZ[:, None] * _HALF_BAND)
    counts = inside.sum(axis=1)
    if (counts == 0).any():
        missing = float(BANDS_HZ[counts == 0][0])
        raise InputError(
            f"no frequency in the third octave at {missing:.3g} Hz",
            field="frequency_hz",
            allowed="a grid that covers 28 to 89 Hz",
        )
    return np.asarray((inside / counts[:, None]).sum(axis=0) / BANDS_HZ.size)
