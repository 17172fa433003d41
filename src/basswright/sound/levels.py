"""What many boxes give at the ear before an amplifier is chosen."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.records.levels import LevelTable
from basswright.sound.air import REFERENCE_PA
from basswright.sound.filters import chain_response
from basswright.sound.grid import checked_grid
from basswright.sound.models import Array, BoxModels

#: Rows of the table that are worked on together, so that they stay in the cache.
_BLOCK: Final = 256
_DB_PER_NEPER: Final = 10 / np.log(10)
#: What a filter is taken to let through at least, so that its logarithm exists.
_SILENCE: Final = 1e-150


def level_table(
    models: BoxModels,
    frequency_hz: ArrayLike,
    transfer: ArrayLike,
    *,
    lowpass_hz: float | None,
    infrasonic_hz: float | None = None,
) -> LevelTable:
    """Levels at the ear of each box, ready to be joined with any amplifier.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : array, shape (f,)
    transfer : array of complex, broadcast against (n, d, f)
        Pressure at the ear per volume velocity of the box [Pa s/m3].
    lowpass_hz, infrasonic_hz : float or None
        Corners of the filters of the chain (fourth-order Butterworth).

    Returns
    -------
    LevelTable
        Cold coils, except that the heat limit is that of the hot coil at its rating:
        at a given current the pressure does not depend on the coil's resistance.

    Raises
    ------
    InputError
        Frequencies or transfer that cannot be used.
    """
    grid = checked_grid(frequency_hz)
    shape = (*models.shape, grid.size)
    gain_db = _DB_PER_NEPER * np.log(_squared_transfer(transfer, shape) / REFERENCE_PA**2)
    chain = chain_response(grid, lowpass_hz=lowpass_hz, infrasonic_hz=infrasonic_hz)
    chain_db = 2 * _DB_PER_NEPER * np.log(np.abs(chain) + _SILENCE)
    per_volt_db, own_db, impedance, which = flows_db(models, grid)
    per_volt_db += gain_db + chain_db
    own_db += gain_db
    return LevelTable(
        frequency_hz=grid,
        per_volt_db=per_volt_db,
        own_limit_db=own_db,
        own_limit_index=which,
        own_limits=_limits(),
        impedance_ohm=impedance,
    )


def flows_db(
    models: BoxModels, frequency_hz: Array
) -> tuple[Array, Array, Array, NDArray[np.intp]]:
    """Return what each box gives, before any room, each of shape (n, d, f).

    Volume velocity for 1 V, and the highest that the box itself allows, in dB over
    1 m3/s; magnitude of the impedance [ohm]; index of the limit that decides.
    """
    from basswright.sound.kernel import packed, squared_flows

    table = packed(models)
    w = 2 * np.pi * frequency_hz
    rows, log_w = table.shape[0], np.log(w)
    per_volt, own, impedance = (np.empty((rows, w.size)) for _ in range(3))
    which = np.empty((rows, w.size), dtype=np.intp)
    for start in range(0, rows, _BLOCK):
        part = slice(start, start + _BLOCK)
        coil = table[part, 8:9] * log_w
        np.exp(coil, out=coil)
        squared_flows(table[part], w, coil, per_volt[part], own[part], impedance[part], which[part])
        for levels in (per_volt[part], own[part]):
            np.log(levels, out=levels)
            levels *= _DB_PER_NEPER
    shape = (*models.shape, w.size)
    return (
        per_volt.reshape(shape),
        own.reshape(shape),
        impedance.reshape(shape),
        which.reshape(shape),
    )


def _squared_transfer(transfer: ArrayLike, shape: tuple[int, int, int]) -> Array:
    values = np.asarray(transfer, dtype=complex)
    try:
        np.broadcast_to(values, shape)
    except ValueError:
        raise InputError(
            "shape does not fit the boxes",
            field="transfer",
            value=values.shape,
            allowed=f"to be broadcast against {shape}",
        ) from None
    square = values.real**2 + values.imag**2
    if not np.all(np.isfinite(square) & (square > 0)):
        raise InputError("not a transfer function", field="transfer", allowed="finite, above zero")
    return np.asarray(square)


def _limits() -> tuple[str, ...]:
    from basswright.sound.kernel import OWN_LIMITS

    return OWN_LIMITS
