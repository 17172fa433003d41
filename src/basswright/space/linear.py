"""Small linear programmes, solved by the thousand: the dual simplex on active rows.

``maximise c.x  subject to  M x <= r`` with two to six unknowns. The first ``2 n`` rows
of `M` have to be the bounds ``x_j <= u_j`` and ``-x_j <= -l_j``, so that a start is at
hand for any objective, and a search tree goes on from its parent's active rows.

References
----------
.. [1] C. E. Lemke, "The dual method of solving the linear programming problem",
   Naval Research Logistics Quarterly 1 (1954), pp. 36-47.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from basswright.space.arrays import Floats, Ints

EPS = 1e-9
_PIVOT = 1e-11
_STEPS = 400

OPTIMAL = 0
EMPTY = 1


@njit(cache=True, nogil=True)
def start(c: Floats, r: Floats, active: Ints, inverse: Floats, x: Floats, y: Floats) -> None:
    """Set the corner of the bounds that is best for `c` as the active rows."""
    n = c.size
    inverse[:] = 0.0
    for j in range(n):
        sign = 1.0 if c[j] >= 0.0 else -1.0
        active[j] = j if c[j] >= 0.0 else n + j
        inverse[j, j] = sign
        x[j] = sign * r[active[j]]
        y[j] = abs(c[j])


@njit(cache=True, nogil=True)
def _worst(M: Floats, r: Floats, rows: int, x: Floats) -> tuple[int, float]:
    worst, at = EPS, -1
    for i in range(rows):
        over = -r[i]
        for j in range(x.size):
            over += M[i, j] * x[j]
        if over > worst:
            worst, at = over, i
    return at, worst


@njit(cache=True, nogil=True)
def resume(M: Floats, r: Floats, rows: int, active: Ints, inverse: Floats, xy: Floats) -> int:
    """Go on from an optimal corner of fewer rows until all `rows` rows hold.

    Parameters
    ----------
    M, r : ndarray, shape (N, n) and (N,)
    rows : int
        How many of them count.
    active, inverse, xy : ndarray
        State, changed in place: active rows, inverse of their matrix, and the corner
        ``xy[0]`` with its multipliers ``xy[1]``.

    Returns
    -------
    int
        `OPTIMAL` or `EMPTY`.
    """
    n = active.size
    x, y = xy[0], xy[1]
    w = np.empty(n)
    for _ in range(_STEPS):
        i, over = _worst(M, r, rows, x)
        if i < 0:
            return OPTIMAL
        leave, best = -1, np.inf
        for j in range(n):
            w[j] = 0.0
            for k in range(n):
                w[j] += M[i, k] * inverse[k, j]
            if w[j] > _PIVOT and y[j] / w[j] < best:
                leave, best = j, y[j] / w[j]
        if leave < 0:
            return EMPTY
        for k in range(n):
            column = inverse[k, leave] / w[leave]
            x[k] -= over * column
            for j in range(n):
                inverse[k, j] -= w[j] * column
            inverse[k, leave] = column
        for j in range(n):
            y[j] -= w[j] * best
        y[leave] = best
        active[leave] = i
    return EMPTY


@njit(cache=True, nogil=True)
def greatest(M: Floats, r: Floats, rows: int, c: Floats) -> tuple[int, float]:
    """Return the status and the greatest value of ``c.x`` over the first `rows` rows."""
    n = c.size
    active = np.empty(n, np.int64)
    inverse = np.empty((n, n))
    xy = np.empty((2, n))
    start(c, r, active, inverse, xy[0], xy[1])
    status = resume(M, r, rows, active, inverse, xy)
    value = 0.0
    for j in range(n):
        value += c[j] * xy[0, j]
    return status, value
