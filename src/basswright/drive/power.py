"""How much power an output gives into a load that its data sheet does not list."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from basswright.drive.outputs import OutputTable

#: A regulated inner supply holds its output down to about here [V] (common practice).
REGULATED_DOWN_TO_V: Final = 11.0
#: A load may lie this far outside the rated ones before the figure counts as unsure.
NEAR_LOAD_SHARE: Final = 1.5
#: A load counts as allowed when it undercuts the lowest by no more than rounding.
LOAD_TOLERANCE_SHARE: Final = 0.999

REASONS: Final[tuple[str, ...]] = (
    "",
    "the load is not known",
    "the load is below the lowest that this output allows",
)


def supply_share(table: OutputTable, supply_voltage_v: float) -> NDArray[np.float64]:
    """Tell what is left of the rated power at the car's own supply voltage [-].

    Parameters
    ----------
    table : OutputTable
        `m` outputs.
    supply_voltage_v : float
        Supply at the amplifier, above 0 [V].

    Returns
    -------
    ndarray, shape (m,)
        Factor on the rated power, at most 1 [-].

    Notes
    -----
    An unregulated amplifier's power goes with the square of its supply; a regulated
    one holds it (drawing more current instead) down to 11 V and falls with the square
    below.

    References
    ----------
    .. [1] D. Self, Audio Power Amplifier Design (output swing follows the rails; from
       memory); the 11 V are common practice, no source.
    """
    reference = np.where(table.regulated, REGULATED_DOWN_TO_V, table.rated_voltage_v)
    return np.asarray(np.minimum(1.0, (supply_voltage_v / reference) ** 2))


def power_at_load(
    table: OutputTable, load_ohm: ArrayLike, supply_voltage_v: float
) -> NDArray[np.float64]:
    """Return the continuous power of each output into each load [W].

    Parameters
    ----------
    table : OutputTable
        `m` outputs.
    load_ohm : array_like, shape (n,) or scalar
        Total loads [ohm]; NaN where unknown.
    supply_voltage_v : float
        Supply at the amplifier [V].

    Returns
    -------
    ndarray, shape (n, m)
        RMS power [W]; 0 where the load is not allowed (:func:`load_reason_index`).

    Notes
    -----
    Each rating fixes one point (I, U) of the output, U = sqrt(P R), I = sqrt(P/R).
    Between two points the output is taken as a source with inner resistance, a
    straight line in the I-U plane, which keeps within both the voltage of the upper
    and the current of the lower rating; the power is besides held to the greater of
    the two rated ones. Above all rated loads the voltage limit remains, below them the
    current limit. At a rated load the rated power comes back exactly.

    References
    ----------
    .. [1] Thévenin's theorem: a straight line in the I-U plane is a source with an inner
       resistance. That an amplifier keeps to it between its ratings is common practice, no
       source.
    """
    load = np.atleast_1d(np.asarray(load_ohm, dtype=float))
    known = np.where(np.isnan(load), 1.0, load)
    distinct, inverse = np.unique(known, return_inverse=True)
    power = _distinct_power(table, distinct) * supply_share(table, supply_voltage_v)
    return np.where(load_reason_index(table, load) > 0, 0.0, power[inverse.reshape(-1)])


def load_reason_index(table: OutputTable, load_ohm: ArrayLike) -> NDArray[np.intp]:
    """Tell why an output may not drive a load.

    Parameters
    ----------
    table : OutputTable
        `m` outputs.
    load_ohm : array_like, shape (n,) or scalar
        Total loads [ohm]; NaN where unknown.

    Returns
    -------
    ndarray of int, shape (n, m)
        Index into :data:`REASONS`; 0 where it may.
    """
    load = np.atleast_1d(np.asarray(load_ohm, dtype=float))[:, None]
    low = load < table.lowest_load_ohm * LOAD_TOLERANCE_SHARE
    return np.where(np.isnan(load), 1, np.where(low, 2, 0)).astype(np.intp)


def near_rated_load(table: OutputTable, load_ohm: ArrayLike) -> NDArray[np.bool_]:
    """Tell where a load lies between the rated ones, or within half as much again.

    Parameters
    ----------
    table : OutputTable
        `m` outputs.
    load_ohm : array_like, shape (n,) or scalar
        Total loads [ohm]; NaN where unknown, which is never near.

    Returns
    -------
    ndarray of bool, shape (n, m)
    """
    load = np.atleast_1d(np.asarray(load_ohm, dtype=float))[:, None]
    lowest, highest = table.load_ohm[:, 0], table.load_ohm[:, -1]
    return (load >= lowest / NEAR_LOAD_SHARE) & (load <= highest * NEAR_LOAD_SHARE)


def _distinct_power(table: OutputTable, load: NDArray[np.float64]) -> NDArray[np.float64]:
    column = load[:, None]
    U, J, R = table.voltage_v, table.current_a, table.load_ohm
    power = np.where(column > R[:, -1], U[:, -1] ** 2 / column, J[:, 0] ** 2 * column)
    power = np.where(column == R[:, 0], U[:, 0] * J[:, 0], power)
    for k in range(R.shape[1] - 1):
        inside = (column > R[:, k]) & (column <= R[:, k + 1])
        rise, fall = U[:, k + 1] - U[:, k], J[:, k] - J[:, k + 1]
        slope = rise + column * fall
        along = (column * J[:, k] - U[:, k]) / np.where(slope > 0, slope, 1.0)
        along = np.clip(along, 0.0, 1.0)
        between = (U[:, k] + rise * along) * (J[:, k] - fall * along)
        cap = np.maximum(U[:, k] * J[:, k], U[:, k + 1] * J[:, k + 1])
        power = np.where(inside, np.minimum(between, cap), power)
    return power
