"""Faces and edges of boxes with eight corners, turned in any way."""

from __future__ import annotations

import numpy as np

from basswright.space.arrays import Floats
from basswright.space.compiled import compiled

#: Corners of each face of a block whose corners are numbered ``4 z + 2 x + y``: at the
#: low and the high side of x, y and z.
_FACES = ((0, 1, 4), (2, 3, 6), (0, 2, 4), (1, 3, 5), (0, 1, 2), (4, 5, 6))
_BIT = (2, 1, 4)
_OTHERS = ((1, 2), (0, 2), (0, 1))


@compiled
def block_shape(corners: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the shape of a block for a search, see :mod:`basswright.space.obstacles`.

    Parameters
    ----------
    corners : ndarray, shape (8, 3)
        Numbered ``4 z + 2 x + y``, as of :func:`basswright.space.wedges.wedge_corners`.
    """
    normals, edges = np.empty((6, 3)), np.empty((12, 9))
    one, two = np.empty(3), np.empty(3)
    for face in range(6):
        a, b, c = _FACES[face]
        for j in range(3):
            one[j], two[j] = corners[b, j] - corners[a, j], corners[c, j] - corners[a, j]
        size = inward = 0.0
        for j in range(3):
            k, i = (j + 1) % 3, (j + 2) % 3
            n = one[k] * two[i] - one[i] * two[k]
            normals[face, j] = n
            size += n * n
            inward += n * (corners[7 - a, j] - corners[a, j])
        size = -np.sqrt(size) if inward > 0.0 else np.sqrt(size)
        for j in range(3):
            normals[face, j] /= size
    fill = 0
    for axis in range(3):
        first, second = _OTHERS[axis]
        for start in range(8):
            if start & _BIT[axis]:
                continue
            size = 0.0
            for j in range(3):
                edges[fill, j] = corners[start + _BIT[axis], j] - corners[start, j]
                size += edges[fill, j] ** 2
            for j in range(3):
                edges[fill, j] /= np.sqrt(size)
                edges[fill, 3 + j] = normals[2 * first + (1 if start & _BIT[first] else 0), j]
                edges[fill, 6 + j] = normals[2 * second + (1 if start & _BIT[second] else 0), j]
            fill += 1
    return corners, normals, edges
