"""Compiled questions to the cells of a load space."""

from __future__ import annotations

import numpy as np
from numba import njit

from basswright.space.arrays import Floats, Ints
from basswright.space.cells import LEAST_SIDE_M


@njit(cache=True, nogil=True)
def room(size: Floats, grow: Floats, limit: Floats, first: Ints) -> tuple[Floats, Ints]:
    """Return the room left along each axis, and along all three at once.

    Parameters
    ----------
    size : ndarray, shape (q, 3)
        Sizes of upright cuboids [m], as the car has its axes.
    grow, limit, first : ndarray
        See :class:`basswright.space.cells.Cells`.

    Returns
    -------
    room : ndarray, shape (q, 4)
        How far the size could grow along x, y, z, and along all three by the same
        amount [m]; negative where it has to shrink; -inf where that would not help.
    facet : ndarray of int, shape (q, 4)
        Which facet decides; -1 where none does.
    """
    count = size.shape[0]
    best = np.full((count, 4), -np.inf)
    facet = np.full((count, 4), -1, np.int64)
    here = np.empty(4)
    at = np.empty(4, np.int64)
    for q in range(count):
        d0, d1, d2 = size[q]
        for cell in range(first.size - 1):
            here[:] = np.inf
            for f in range(first[cell], first[cell + 1]):
                g0, g1, g2 = grow[f]
                slack = limit[f] - g0 * d0 - g1 * d1 - g2 * d2
                for axis in range(4):
                    g = g0 + g1 + g2 if axis == 3 else grow[f, axis]
                    if g > 1e-9:
                        if slack < here[axis] * g:
                            here[axis] = slack / g
                            at[axis] = f
                    elif slack < -1e-9:
                        here[axis] = -np.inf
            for axis in range(4):
                least = LEAST_SIDE_M - (min(d0, d1, d2) if axis == 3 else size[q, axis])
                if here[axis] > best[q, axis] and here[axis] >= min(least, 0.0):
                    best[q, axis] = here[axis]
                    facet[q, axis] = at[axis]
    return best, facet
