"""How a curve of the highest clean level becomes two figures that a wish is told in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.sound.models import Array

#: Edges of the five third-octave bands from 31.5 to 80 Hz (IEC 61260-1, base ten).
EDGES_HZ: Final = 10.0 ** (np.arange(29, 40, 2) / 20)


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
        Highest clean level at the ear [dB re 20 uPa].
    frequency_hz : array, shape (f,)
        Rising [Hz].

    Returns
    -------
    ndarray, shape (...)
        Level [dB re 20 uPa].

    Raises
    ------
    InputError
        A band without a frequency.
    """
    mean = (10 ** (np.asarray(loudest_db, dtype=float) / 10)) @ band_weights(frequency_hz)
    return np.asarray(10 * np.log10(mean))


def band_weights(frequency_hz: ArrayLike) -> Array:
    """Return the share of each frequency in the mean over the bands 31.5 to 80 Hz.

    Parameters
    ----------
    frequency_hz : array, shape (f,)
        Rising [Hz]. Every point stands for its own stretch of the logarithmic axis.

    Returns
    -------
    ndarray, shape (f,)
        Weights [-] that add up to one.

    Raises
    ------
    InputError
        A band without a frequency.
    """
    grid, slack = np.asarray(frequency_hz, dtype=float), 1 + 1e-9
    inside = (grid * slack >= EDGES_HZ[0]) & (grid <= EDGES_HZ[-1] * slack)
    counts = np.histogram(grid[inside], EDGES_HZ * np.array([1 / slack, 1, 1, 1, 1, slack]))[0]
    if (counts == 0).any():
        empty = int(np.argmax(counts == 0))
        middle = float(np.sqrt(EDGES_HZ[empty] * EDGES_HZ[empty + 1]))
        raise InputError(
            f"no frequency in the third octave at {middle:.3g} Hz",
            field="frequency_hz",
            allowed="a grid that covers 28 to 89 Hz",
        )
    stretch = np.gradient(np.log(grid)) * inside
    return np.asarray(stretch / stretch.sum())


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
    inside = band_weights(grid) > 0
    top = np.where(inside, levels, -np.inf).argmax(axis=-1)[..., None]
    column = np.arange(grid.size)
    last = np.where((above < 0) & (column < top), column, -1).max(axis=-1)
    low = np.maximum(last, 0)
    under = np.take_along_axis(above, low[..., None], axis=-1)[..., 0]
    over = np.take_along_axis(above, low[..., None] + 1, axis=-1)[..., 0]
    share = np.where(last < 0, 0.0, under / np.where(under == over, 1.0, under - over))
    frequency = grid[low] * (grid[low + 1] / grid[low]) ** share
    return LowLimit(frequency_hz=frequency, below_grid=last < 0)
