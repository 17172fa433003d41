"""Compiled questions to the cells of a load space."""

from __future__ import annotations

import numpy as np
from numba import njit

from basswright.space.arrays import Floats, Ints
from basswright.space.cells import LEAST_SIDE_M

_BLOCK = 256
_NEAR = 1e-9  # a facet counts as touched within this [m]
_NO_SAY = 1e12  # reach per metre of slack along an axis that a facet does not limit


@njit(cache=True, nogil=True)
def _reaches(grow: Floats) -> Floats:
    """Return how far each axis, and all at once, go per metre of slack, shape (f, 4)."""
    reach = np.empty((grow.shape[0], 4))
    for f in range(grow.shape[0]):
        for axis in range(4):
            g = grow[f].sum() if axis == 3 else grow[f, axis]
            reach[f, axis] = 1.0 / g if g > 1e-9 else _NO_SAY
    return reach


@njit(cache=True, nogil=True)
def room(size: Floats, grow: Floats, limit: Floats, first: Ints) -> Floats:
    """Return the room left along each axis, and along all three at once.

    Parameters
    ----------
    size : ndarray, shape (3, q)
        Sizes of upright cuboids [m], as the car has its axes.
    grow, limit, first : ndarray
        See :class:`basswright.space.cells.Cells`.

    Returns
    -------
    ndarray, shape (4, q)
        How far the size could grow along x, y, z, and along all three by the same
        amount [m]; negative where it has to shrink; -inf where that would not help.
    """
    count = size.shape[1]
    best = np.full((4, count), -np.inf)
    reach = _reaches(grow)
    here = np.empty((4, _BLOCK))
    slack = np.empty(_BLOCK)
    for start in range(0, count, _BLOCK):
        stop = min(start + _BLOCK, count)
        width = stop - start
        x, y, z = size[0, start:stop], size[1, start:stop], size[2, start:stop]
        for cell in range(first.size - 1):
            here[:] = np.inf
            for f in range(first[cell], first[cell + 1]):
                g0, g1, g2, right = grow[f, 0], grow[f, 1], grow[f, 2], limit[f] + _NEAR
                for q in range(width):
                    slack[q] = right - g0 * x[q] - g1 * y[q] - g2 * z[q]
                for axis in range(4):
                    per = reach[f, axis]
                    row = here[axis]
                    for q in range(width):
                        row[q] = min(row[q], slack[q] * per)
            for axis in range(4):
                for q in range(width):
                    side = min(x[q], y[q], z[q]) if axis == 3 else size[axis, start + q]
                    value = here[axis, q]
                    if value > best[axis, start + q] and value >= min(LEAST_SIDE_M - side, 0.0):
                        best[axis, start + q] = value
    return best


@njit(cache=True, nogil=True)
def facet_at(
    size: Floats, axis: Ints, value: Floats, grow: Floats, limit: Floats, first: Ints
) -> Ints:
    """Return which facet gives the room found along an axis, -1 where none does.

    Parameters
    ----------
    size : ndarray, shape (3, n)
    axis : ndarray of int, shape (n,)
    value : ndarray, shape (n,)
        From :func:`room`.
    """
    reach = _reaches(grow)
    found = np.full(axis.size, -1, np.int64)
    for n in range(axis.size):
        for cell in range(first.size - 1):
            least, at = np.inf, -1
            for f in range(first[cell], first[cell + 1]):
                slack = limit[f] + _NEAR
                for k in range(3):
                    slack -= grow[f, k] * size[k, n]
                if slack * reach[f, axis[n]] < least:
                    least, at = slack * reach[f, axis[n]], f
            if least >= value[n] - 1e-12 and value[n] > -np.inf:
                found[n] = at
                break
    return found
