"""The highest clean level of boxes that each have their amplifier, and its bands."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.sound.air import REFERENCE_PA
from basswright.sound.grid import checked_grid
from basswright.sound.levels import DB_PER_NEPER, blocks, squared_transfer
from basswright.sound.models import Array, BoxModels


def loudest_curves(
    models: BoxModels,
    frequency_hz: ArrayLike,
    transfer: ArrayLike,
    *,
    voltage_v: ArrayLike,
    current_a: ArrayLike,
) -> tuple[Array, NDArray[np.int8]]:
    """Highest clean level and what decides, for boxes that each have their amplifier [dB].

    The same as :func:`~basswright.sound.level_table` followed by
    :func:`~basswright.sound.loudest_of`, without filters, in half the time.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : array_like, shape (f,)
        Rising [Hz].
    transfer : array_like of complex, broadcast against (n, d, f)
        Pressure at the ear per volume velocity [Pa s/m3].
    voltage_v, current_a : array_like, broadcast against (n, d)
        Highest RMS voltage [V] and current [A] of each amplifier.

    Returns
    -------
    level : ndarray, shape (n, d, f)
        Sound pressure level [dB re 20 µPa].
    which : ndarray of int, shape (n, d, f)
        Index into `AMPLIFIER_LIMITS` followed by the box's own limits.

    Raises
    ------
    InputError
        Frequencies or transfer that cannot be used.

    References
    ----------
    .. [1] As :func:`~basswright.sound.levels.flows_db`.
    """
    from basswright.sound.kernel import squared_loudest

    grid = checked_grid(frequency_hz)
    shape = (*models.shape, grid.size)
    gain_db = DB_PER_NEPER * np.log(squared_transfer(transfer, shape) / REFERENCE_PA**2)
    one_gain = gain_db.size == grid.size
    gain_db = (gain_db if one_gain else np.broadcast_to(gain_db, shape)).reshape(-1, grid.size)
    volts2, amps2 = (
        np.ascontiguousarray(np.broadcast_to(np.square(values), models.shape)).ravel()
        for values in (np.asarray(voltage_v, dtype=float), np.asarray(current_a, dtype=float))
    )
    loudest = np.empty((volts2.size, grid.size))
    decides = np.empty((volts2.size, grid.size), dtype=np.int8)
    w = 2 * np.pi * grid
    for part in blocks(models, w):
        rows, levels = part.rows, loudest[part.rows]
        squared_loudest(
            part.table, part.front, w, part.coil,
            volts2[rows], amps2[rows], levels, decides[rows],
        )  # fmt: skip
        np.log(levels, out=levels)
        levels *= DB_PER_NEPER
        levels += gain_db if one_gain else gain_db[rows]
    return loudest.reshape(shape), decides.reshape(shape)
