"""Faces and edges of boxes with eight corners, turned in any way."""

from __future__ import annotations

import numpy as np
from numba import njit

from basswright.space.arrays import Floats
from basswright.space.obstacles import Shape
from basswright.space.polytope import Convex

#: Corners of each face of a block whose corners are numbered ``4 z + 2 x + y``: at the
#: low and the high side of x, y and z.
_FACES = ((0, 1, 4), (2, 3, 6), (0, 2, 4), (1, 3, 5), (0, 1, 2), (4, 5, 6))
_BIT = (2, 1, 4)
_OTHERS = ((1, 2), (0, 2), (0, 1))


@njit(cache=True, nogil=True)
def block_shape(corners: Floats) -> tuple[Floats, Floats, Floats]:
    """Return the shape of a block for a search, see :mod:`basswright.space.obstacles`.

    Parameters
    ----------
    corners : ndarray, shape (8, 3)
        Numbered ``4 z + 2 x + y``, as of :func:`basswright.space.wedges.wedge_corners`.
    """
    normals = np.empty((6, 3))
    for face in range(6):
        a, b, c = _FACES[face]
        one, two = corners[b] - corners[a], corners[c] - corners[a]
        normals[face, 0] = one[1] * two[2] - one[2] * two[1]
        normals[face, 1] = one[2] * two[0] - one[0] * two[2]
        normals[face, 2] = one[0] * two[1] - one[1] * two[0]
        size = np.sqrt((normals[face] ** 2).sum())
        if (normals[face] * (corners[7 - a] - corners[a])).sum() > 0.0:
            size = -size
        normals[face] /= size
    edges = np.empty((12, 9))
    fill = 0
    for axis in range(3):
        one, two = _OTHERS[axis]
        for start in range(8):
            if start & _BIT[axis]:
                continue
            along = corners[start + _BIT[axis]] - corners[start]
            edges[fill, :3] = along / np.sqrt((along**2).sum())
            edges[fill, 3:6] = normals[2 * one + (1 if start & _BIT[one] else 0)]
            edges[fill, 6:] = normals[2 * two + (1 if start & _BIT[two] else 0)]
            fill += 1
    return np.ascontiguousarray(corners), normals, edges


def body_shape(body: Convex) -> Shape:
    """Return the shape of any convex body for a search."""
    along = body.vertices[body.edges[:, 1]] - body.vertices[body.edges[:, 0]]
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    edges = np.hstack([along, body.A[body.edges[:, 2]], body.A[body.edges[:, 3]]])
    return np.ascontiguousarray(body.vertices), np.ascontiguousarray(body.A), edges
