"""What many boxes give at the ear before an amplifier is chosen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.errors import InputError
from basswright.records.levels import LevelTable
from basswright.sound.air import REFERENCE_PA
from basswright.sound.filters import chain_response
from basswright.sound.grid import checked_grid
from basswright.sound.models import Array, BoxModels

#: Points (boxes times frequencies) that are worked on together.
_POINTS: Final = 12_800
DB_PER_NEPER: Final = 10 / np.log(10)
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
    """Levels at the ear of each box, ready to be joined with any amplifier [dB].

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : array_like, shape (f,)
        Rising [Hz].
    transfer : array_like of complex, broadcast against (n, d, f)
        Pressure at the ear per volume velocity of the box [Pa s/m3].
    lowpass_hz, infrasonic_hz : float or None
        Corners of the filters of the chain (fourth-order Butterworth) [Hz].

    Returns
    -------
    LevelTable
        Cold coils, except that the heat limit is that of the hot coil at its rating:
        at a given current the pressure does not depend on the coil's resistance.

    Raises
    ------
    InputError
        Frequencies or transfer that cannot be used.

    Notes
    -----
    20 log10 |p| / 20 µPa. The box's own limits are not filtered: they are told at the
    terminals.

    References
    ----------
    .. [1] ISO 80000-8 (sound pressure level, 20 µPa).
    .. [2] As :func:`~basswright.sound.network.solve`.
    """
    grid = checked_grid(frequency_hz)
    shape = (*models.shape, grid.size)
    gain_db = DB_PER_NEPER * np.log(squared_transfer(transfer, shape) / REFERENCE_PA**2)
    chain = chain_response(grid, lowpass_hz=lowpass_hz, infrasonic_hz=infrasonic_hz)
    chain_db = 2 * DB_PER_NEPER * np.log(np.abs(chain) + _SILENCE)
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
    """Return what each box gives, before any room.

    Parameters
    ----------
    models : BoxModels
        n boxes in d draws.
    frequency_hz : ndarray, shape (f,)
        Above 0 [Hz].

    Returns
    -------
    per_volt_db, own_db : ndarray, shape (n, d, f)
        Volume velocity for 1 V, and the highest that the box itself allows [dB re 1 m3/s].
    impedance_ohm : ndarray, shape (n, d, f)
        Its magnitude [ohm].
    which : ndarray of int, shape (n, d, f)
        The limit that decides.

    References
    ----------
    .. [1] As :func:`~basswright.sound.network.solve`; limits by heat and excursion: R. H.
       Small, "Vented-box loudspeaker systems, part II: Large-signal analysis", JAES 21(6),
       1973, pp. 438-444.
    """
    from basswright.sound.kernel import squared_flows

    rows = models.shape[0] * models.shape[1]
    size = (rows, frequency_hz.size)
    per_volt, own, impedance = np.empty(size), np.empty(size), np.empty(size)
    which, w = np.empty(size, dtype=np.intp), 2 * np.pi * frequency_hz
    for part in blocks(models, w):
        levels, limits = per_volt[part.rows], own[part.rows]
        squared_flows(
            part.table, part.front, w, part.coil,
            levels, limits, impedance[part.rows], which[part.rows],
        )  # fmt: skip
        for squares in (levels, limits):
            np.log(squares, out=squares)
            squares *= DB_PER_NEPER
    shape = (*models.shape, frequency_hz.size)
    return (
        per_volt.reshape(shape),
        own.reshape(shape),
        impedance.reshape(shape),
        which.reshape(shape),
    )


@dataclass(frozen=True)
class Block:
    """Some rows of the packed table, ready for the hot loop.

    Attributes
    ----------
    rows : slice
    table : ndarray, shape (m, 28)
        As :func:`~basswright.sound.kernel.packed` gives it.
    front : ndarray, shape (m, 9), or None
    coil : ndarray, shape (m, f)
        w^n of each coil's exponent.
    """

    rows: slice
    table: Array
    front: Array | None
    coil: Array


def blocks(models: BoxModels, w: Array) -> Iterator[Block]:
    """Cut the packed table so that what the hot loop reads and fills stays in the cache.

    Parameters
    ----------
    models : BoxModels
    w : ndarray, shape (f,)
        Angular frequencies [rad/s].

    Yields
    ------
    Block
    """
    from basswright.sound.kernel import FRONT, packed

    table, log_w = packed(models), np.log(w)
    size = max(_POINTS // w.size, 1)
    for start in range(0, table.shape[0], size):
        rows = slice(start, min(start + size, table.shape[0]))
        part = table[rows]
        coil = part[:, 8:9] * log_w
        np.exp(coil, out=coil)
        front = part[:, FRONT:] if part[:, FRONT].any() else None
        yield Block(rows=rows, table=part, front=front, coil=coil)


def squared_transfer(transfer: ArrayLike, shape: tuple[int, int, int]) -> Array:
    """Return the squared magnitude of a transfer [Pa2 s2/m6].

    Parameters
    ----------
    transfer : array_like of complex
        Pressure per volume velocity [Pa s/m3].
    shape : tuple of int
        (n, d, f), against which it must broadcast.

    Returns
    -------
    ndarray, shape of `transfer`
        |H|^2 [Pa2 s2/m6].

    Raises
    ------
    InputError
        A shape that does not fit, or values that are not finite and above zero.
    """
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
