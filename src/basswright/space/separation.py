"""Directions in which a box can be clear of a convex keep-out.

A box with reference point t is clear of a keep-out K exactly when for some facet normal
n of the Minkowski sum K + (-B): ``n.t >= h_K(n) + h_-B(n)``, h being the support
function. Facet normals are those of K, those of -B, and the cross products of edges
whose arcs cross on the sphere of normals [1]_.

References
----------
.. [1] T. Lozano-Perez, "Spatial planning: a configuration space approach", IEEE
   Transactions on Computers C-32 (1983), pp. 108-120.
"""

from __future__ import annotations

import numpy as np

from basswright.space.arrays import Bools, Floats
from basswright.space.polytope import Convex

AXES: Floats = np.vstack([np.eye(3), -np.eye(3)])


def _in_arc(n: Floats, first: Floats, second: Floats) -> Bools:
    """Say whether n, square to both arcs' edges, lies between two unit normals."""
    dot = (first * second).sum(axis=-1)
    one, two = (n * first).sum(axis=-1), (n * second).sum(axis=-1)
    # n = p first + q second with p, q >= 0
    return np.asarray((one - two * dot > -1e-9) & (two - one * dot > -1e-9))


def unique_directions(normals: Floats) -> Floats:
    """Drop directions that occur twice, shape (n, 3)."""
    kept: list[Floats] = []
    for normal in normals:
        if not any(normal @ other > 1 - 1e-11 for other in kept):
            kept.append(normal)
    return np.array(kept)


def cuboid_directions(body: Convex) -> Floats:
    """Return the facet normals of K + (-B) for every upright cuboid B, shape (n, 3)."""
    ends = body.vertices[body.edges[:, 1]] - body.vertices[body.edges[:, 0]]
    crossed = np.cross(ends[:, None, :], np.eye(3)[None, :, :])
    size = np.linalg.norm(crossed, axis=-1)
    found = [body.A, AXES]
    first, second = body.A[body.edges[:, 2]], body.A[body.edges[:, 3]]
    for sign in (1.0, -1.0):
        n = sign * crossed / np.maximum(size, 1e-12)[..., None]
        good = (size > 1e-9) & _in_arc(n, first[:, None, :], second[:, None, :])
        found.append(n[good])
    return unique_directions(np.vstack(found))
