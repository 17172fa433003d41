"""The figures that a wish is told in, from the highest clean level at each frequency.

How loud is :func:`basswright.sound.loudest_level`, how low is told here. Both rise (or
fall) together with every level they are made of, so a stronger amplifier never makes
either of them worse; the search rests on that.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.sound.goals import band_weights
from basswright.sound.goals import loudest_level as level_db

__all__ = [
    "GRID_HZ",
    "NOT_HELD_HZ",
    "band_weights",
    "level_db",
    "low_limit_hz",
    "third_octave_db",
    "third_octaves",
]

#: Width of a third octave, in decades (IEC 61260-1, base ten).
THIRD_OCTAVE = 0.1
#: How far below the wished level the lowest note may lie.
HELD_WITHIN_DB = 10.0
#: From here downwards a level has to be held.
HELD_FROM_HZ = 10**1.8

Floats = NDArray[np.float64]

#: Frequencies at which systems are weighed: forty to a decade, 15.8 to 100 Hz.
GRID_HZ: Floats = 10 ** (np.arange(48, 81) / 40)
#: What is told of a level that is not held even at 63 Hz [Hz].
NOWHERE_HZ = 10**1.9
#: A low limit from here upwards means that the level is held nowhere [Hz].
NOT_HELD_HZ = NOWHERE_HZ * (1 - 1e-9)


def third_octaves(frequency_hz: Floats) -> Floats:
    """Return how the level of the third octave around each frequency is made up.

    Parameters
    ----------
    frequency_hz : ndarray, shape (f,)
        Rising [Hz]. Every point stands for its own stretch of the logarithmic axis; at
        the ends of the grid the part of the band inside it counts.

    Returns
    -------
    ndarray, shape (2 h + 1, f)
        Shares [-] of the frequencies from `h` places below to `h` places above; each
        column adds up to one, what lies beyond the ends counts 0.
    """
    place = np.log10(frequency_hz)
    middle = (place[1:] + place[:-1]) / 2
    edges = np.concatenate([[2 * place[0] - middle[0]], middle, [2 * place[-1] - middle[-1]]])
    low = np.maximum(edges[:-1], place[:, None] - THIRD_OCTAVE / 2)
    high = np.minimum(edges[1:], place[:, None] + THIRD_OCTAVE / 2)
    overlap = np.where(high - low > 1e-9, high - low, 0.0)
    overlap /= overlap.sum(axis=1, keepdims=True)
    row, column = np.nonzero(overlap)
    half = int(np.abs(column - row).max())
    shares = np.zeros((2 * half + 1, place.size))
    shares[column - row + half, row] = overlap[row, column]
    return shares


def third_octave_db(level: Floats, frequency_hz: Floats) -> Floats:
    """Return the energy mean of a level over the third octave around each frequency.

    Parameters
    ----------
    level : ndarray, shape (..., f)
        [dB].
    frequency_hz : ndarray, shape (f,)
        Rising [Hz].

    Returns
    -------
    ndarray, shape (..., f)
        [dB].
    """
    shares = third_octaves(frequency_hz)
    half = len(shares) // 2
    ends = [(0, 0)] * (np.ndim(level) - 1) + [(half, half)]
    power = np.pad(10 ** (np.asarray(level) / 10), ends)
    size = frequency_hz.size
    mean = sum(share * power[..., k : k + size] for k, share in enumerate(shares))
    smooth: Floats = 10 * np.log10(mean)
    return smooth


def low_limit_hz(loudest_db: Floats, frequency_hz: Floats, wished_db: float) -> Floats:
    """Return how low: down to where the wished level is held to within 10 dB.

    Walks from 63 Hz downwards to the first frequency at which the highest clean level,
    as its energy mean over the third octave around it, falls more than 10 dB below the
    wished one; between two frequencies of the grid the squared pressure runs straight
    over the logarithm of the frequency. A notch that is narrower than the ear's own
    bands therefore ends no walk; nor does a dip around the crossover, where the front
    speakers play too.

    Parameters
    ----------
    loudest_db : ndarray, shape (..., f)
        Highest clean level at the ear [dB re 20 uPa].
    frequency_hz : ndarray, shape (f,)
        Rising [Hz].
    wished_db : float
        Wished level [dB re 20 uPa].

    Returns
    -------
    ndarray, shape (...)
        Frequency [Hz]. The lowest of the grid means "that or lower", :data:`NOWHERE_HZ`
        "not held even at 63 Hz".
    """
    floor_db = wished_db - HELD_WITHIN_DB
    top = int(np.searchsorted(frequency_hz, HELD_FROM_HZ * (1 + 1e-9), side="right"))
    levels = third_octave_db(loudest_db, frequency_hz)[..., :top]
    log_f = np.log(frequency_hz[:top])
    below = levels < floor_db
    broken = below.any(axis=-1)
    first = top - 1 - np.argmax(below[..., ::-1], axis=-1)
    low = np.take_along_axis(levels, first[..., None], axis=-1)[..., 0]
    above = np.minimum(first + 1, top - 1)
    high = np.take_along_axis(levels, above[..., None], axis=-1)[..., 0]
    rise = 10 ** ((high - floor_db) / 10) - 10 ** ((low - floor_db) / 10)
    part = 1 - 10 ** ((low - floor_db) / 10)
    share = np.where(above > first, part / np.where(rise > 0, rise, 1.0), 1.0)
    limit = np.exp(log_f[first] + share * (log_f[above] - log_f[first]))
    limit = np.where(first == top - 1, NOWHERE_HZ, limit)
    found: Floats = np.where(broken, limit, frequency_hz[0])
    return found
