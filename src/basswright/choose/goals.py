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

__all__ = ["GRID_HZ", "NOT_HELD_HZ", "band_weights", "level_db", "low_limit_hz"]

#: How far below the wished level the lowest note may lie.
HELD_WITHIN_DB = 10.0
#: From here downwards a level has to be held.
HELD_FROM_HZ = 80.0

Floats = NDArray[np.float64]

#: Frequencies at which systems are weighed: forty to a decade, 15.8 to 100 Hz.
GRID_HZ: Floats = 10 ** (np.arange(48, 81) / 40)
#: A low limit from here upwards means that the level is held nowhere [Hz].
NOT_HELD_HZ = float(GRID_HZ[GRID_HZ <= HELD_FROM_HZ][-1]) * (1 - 1e-9)


def low_limit_hz(loudest_db: Floats, frequency_hz: Floats, wished_db: float) -> Floats:
    """Return how low: down to where the wished level is held to within 10 dB.

    Walks from 80 Hz downwards to the first frequency at which the highest clean level
    falls more than 10 dB below the wished one; between two frequencies of the grid the
    squared pressure runs straight over the logarithm of the frequency.

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
        Frequency [Hz]. The lowest of the grid means "that or lower", 80 Hz "not held
        anywhere".
    """
    floor_db = wished_db - HELD_WITHIN_DB
    top = int(np.searchsorted(frequency_hz, HELD_FROM_HZ * (1 + 1e-9), side="right"))
    levels, log_f = loudest_db[..., :top], np.log(frequency_hz[:top])
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
    found: Floats = np.where(broken, limit, frequency_hz[0])
    return found
