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

from basswright.space.arrays import Floats, Ints
from basswright.space.compiled import compiled, inner

EPS = 1e-9
_PIVOT = 1e-11
_STEPS = 400

OPTIMAL = 0
EMPTY = 1


@inner
def start(c: Floats, r: Floats, active: Ints, inverse: Floats, xy: Floats) -> None:
    """Set the corner of the bounds that is best for `c` as the active rows of level 0."""
    n = c.size
    for j in range(n):
        sign, row = 1.0, j
        if c[j] < 0.0:
            sign, row = -1.0, n + j
        active[0, j] = row
        for k in range(n):
            inverse[0, j, k] = 0.0
        inverse[0, j, j] = sign
        xy[0, 0, j] = sign * r[row]
        xy[0, 1, j] = sign * c[j]


@inner
def resume(
    M: Floats,
    r: Floats,
    rows: int,
    state: tuple[Ints, Floats, Floats],
    level: int,
    excess: float,
) -> int:
    """Go on from an optimal corner of fewer rows until all `rows` rows hold.

    Parameters
    ----------
    M, r : ndarray, shape (N, n) and (N,)
    rows : int
        How many of them count.
    state : tuple of ndarray, shape (l, n), (l, n, n) and (l, 3, n)
        States, that of `level` changed in place: active rows, inverse of their matrix,
        and the corner ``xy[level, 0]`` with its multipliers ``xy[level, 1]``; the third
        row is for reckoning.
    excess : float
        How far the value may fall before the answer is of no use.

    Returns
    -------
    int
        `OPTIMAL` or `EMPTY`: nothing left, or nothing of use.
    """
    active, inverse, xy = state
    n = active.shape[1]
    for _ in range(_STEPS):
        over, i = EPS, -1
        for row in range(rows):
            here = -r[row]
            for j in range(n):
                here += M[row, j] * xy[level, 0, j]
            if here > over:
                over, i = here, row
        if i < 0:
            return OPTIMAL
        leave, best = -1, np.inf
        for j in range(n):
            w = 0.0
            for k in range(n):
                w += M[i, k] * inverse[level, k, j]
            xy[level, 2, j] = w
            if w > _PIVOT and xy[level, 1, j] < best * w:
                leave, best = j, xy[level, 1, j] / w
        if leave < 0:
            return EMPTY
        excess -= over * best
        if excess < 0.0:
            return EMPTY
        pivot = 1.0 / xy[level, 2, leave]
        for k in range(n):
            column = inverse[level, k, leave] * pivot
            xy[level, 0, k] -= over * column
            for j in range(n):
                inverse[level, k, j] -= xy[level, 2, j] * column
            inverse[level, k, leave] = column
        for j in range(n):
            xy[level, 1, j] -= xy[level, 2, j] * best
        xy[level, 1, leave] = best
        active[level, leave] = i
    return EMPTY


@compiled
def greatest(M: Floats, r: Floats, rows: int, c: Floats) -> tuple[int, float]:
    """Return the status and the greatest value of ``c.x`` over the first `rows` rows."""
    n = c.size
    active = np.empty((1, n), np.int64)
    inverse = np.empty((1, n, n))
    xy = np.empty((1, 3, n))
    start(c, r, active, inverse, xy)
    level = active.shape[0] - 1
    status = resume(M, r, rows, (active, inverse, xy), level, np.inf)
    value = 0.0
    for j in range(n):
        value += c[j] * xy[0, 0, j]
    return status, value
