"""The greatest number of blocks in a space of whole cells, as an exact set packing by HiGHS.

Every block of 200 x 100 x 50 mm covers eight cells of 50 mm; every cell holds one block
at most. In a room whose sizes are whole cells, blocks off the grid hold no more.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

CELL_M = 0.05


def most_blocks(free: NDArray[np.bool_]) -> int:
    """Return how many blocks go into the free cells of 50 mm, shape (nx, ny, nz)."""
    cell = np.arange(free.size).reshape(free.shape)
    covered = []
    for size in sorted(set(permutations((4, 2, 1)))):
        steps = [range(n - s + 1) for n, s in zip(free.shape, size, strict=True)]
        for x in steps[0]:
            for y in steps[1]:
                for z in steps[2]:
                    own = np.s_[x : x + size[0], y : y + size[1], z : z + size[2]]
                    if free[own].all():
                        covered.append(cell[own].ravel())
    if not covered:
        return 0
    count = len(covered)
    matrix = coo_matrix(
        (np.ones(8 * count), (np.concatenate(covered), np.repeat(np.arange(count), 8))),
        shape=(free.size, count),
    )
    found = milp(
        -np.ones(count),
        constraints=LinearConstraint(matrix.tocsr(), -np.inf, 1),
        integrality=np.ones(count),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )
    assert found.status == 0
    return round(-found.fun)
