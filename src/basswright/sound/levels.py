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
    n, d = models.shape
    shape = (n, d, grid.size)
    gain2 = _squared_transfer(transfer, shape) / REFERENCE_PA**2
    chain = chain_response(grid, lowpass_hz=lowpass_hz, infrasonic_hz=infrasonic_hz)
    chain_db = 2 * _DB_PER_NEPER * np.log(np.abs(chain) + 1e-150)
    flow2, z2, own2, which = squared_per_ampere(models, grid)
    for part in (flow2, z2, own2):
        np.log(part, out=part)
        part *= _DB_PER_NEPER
    with np.errstate(divide="raise"):
        gain_db = _DB_PER_NEPER * np.log(gain2)
    per_ampere_db = flow2.reshape(shape)
    per_ampere_db += gain_db
    own_db = per_ampere_db + own2.reshape(shape)
    per_ampere_db -= z2.reshape(shape)
    per_ampere_db += chain_db
    return LevelTable(
        frequency_hz=grid,
        per_volt_db=per_ampere_db,
        own_limit_db=own_db,
        own_limit_index=which.reshape(shape),
        own_limits=_limits(),
        impedance_ohm=np.exp(z2.reshape(shape) * (0.5 / _DB_PER_NEPER)),
    )


def squared_per_ampere(
    models: BoxModels, frequency_hz: NDArray[np.float64]
) -> tuple[Array, Array, Array, NDArray[np.intp]]:
    """Return the kernel's four tables, each of shape (n * d, f)."""
    from basswright.sound.kernel import packed, per_ampere

    table = packed(models)
    w = 2 * np.pi * frequency_hz
    shape = (table.shape[0], w.size)
    flow2, z2, own2 = np.empty(shape), np.empty(shape), np.empty(shape)
    which = np.empty(shape, dtype=np.intp)
    log_w = np.log(w)
    for start in range(0, shape[0], _BLOCK):
        rows = slice(start, start + _BLOCK)
        coil = np.exp(table[rows, 8:9] * log_w)
        per_ampere(table[rows], w, coil, flow2[rows], z2[rows], own2[rows], which[rows])
    return flow2, z2, own2, which


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
