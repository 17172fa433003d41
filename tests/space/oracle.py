"""The same question as a mixed-integer programme, solved by HiGHS.

Which axes can part two convex bodies is taken from the separating-axis theorem in its
plainest form (all face normals of both, all cross products of edges), so that it shares
nothing with the search under test: see S. Gottschalk, M. C. Lin, D. Manocha, "OBBTree",
SIGGRAPH 1996, pp. 171-180.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.spatial import ConvexHull

from basswright.space import Solid

Floats = NDArray[np.float64]
_BIG = 20.0


def _faces_and_edges(points: Floats) -> tuple[Floats, Floats]:
    hull = ConvexHull(points)
    edges = [
        points[j] - points[i] for triangle in hull.simplices for i, j in combinations(triangle, 2)
    ]
    return hull.equations[:, :3], np.array(edges)


def _axes(body: Floats, box: Floats) -> Floats:
    faces, edges = _faces_and_edges(body)
    own_faces, own_edges = _faces_and_edges(box)
    crossed = np.cross(edges[:, None], own_edges[None, :]).reshape(-1, 3)
    size = np.linalg.norm(crossed, axis=1)
    crossed = crossed[size > 1e-7] / size[size > 1e-7, None]
    every = np.vstack([faces, own_faces, crossed])
    return np.unique(np.round(np.vstack([every, -every]), 10), axis=0)


def greatest_growth(solid: Solid, corners: Floats, speed: Floats) -> float:
    """Return how far a box can grow and still find a place, -inf where it cannot.

    Parameters
    ----------
    corners : ndarray, shape (v, 3)
        Corners of the box; its lowest stand on the floor.
    speed : ndarray, shape (v, 3)
        How far each corner moves per metre of growth.
    """
    rows, limits = [], []
    keep_outs = [keep_out.body.vertices for keep_out in solid.keep_outs]
    axes = [_axes(body, corners) for body in keep_outs]
    count = 3 + sum(len(a) for a in axes)
    for normal, offset in zip(solid.A, solid.b, strict=True):
        for corner, move in zip(corners, speed, strict=True):
            row = np.zeros(count)
            row[:3] = normal[0], normal[1], normal @ move
            rows.append(row)
            limits.append(offset - normal @ corner)
    at = 3
    for body, choices in zip(keep_outs, axes, strict=True):
        one_of = np.zeros(count)
        for axis in choices:
            reach = (body @ axis).max()
            for corner, move in zip(corners, speed, strict=True):
                row = np.zeros(count)
                row[:3] = -axis[0], -axis[1], -axis @ move
                row[at] = _BIG
                rows.append(row)
                limits.append(axis @ corner - reach + _BIG)
            one_of[at] = -1.0
            at += 1
        rows.append(one_of)
        limits.append(-1.0)
    cost = np.zeros(count)
    cost[2] = -1.0
    kinds = np.concatenate([np.zeros(3), np.ones(count - 3)])
    low = np.concatenate([[-5.0, -5.0, -5.0], np.zeros(count - 3)])
    high = np.concatenate([[5.0, 5.0, 5.0], np.ones(count - 3)])
    found = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), -np.inf, np.array(limits)),
        integrality=kinds,
        bounds=Bounds(low, high),
        options={"mip_rel_gap": 0.0},
    )
    return float(found.x[2]) if found.status == 0 else -np.inf


def greatest_growth_of_union(solid: Solid, parts: list[Floats]) -> float:
    """Return 0 where a union of convex parts finds a place on the floor, -inf where not."""
    rows, limits = [], []
    keep_outs = [keep_out.body.vertices for keep_out in solid.keep_outs]
    pairs = [(body, part, _axes(body, part)) for body in keep_outs for part in parts]
    count = 2 + sum(len(axes) for _, _, axes in pairs)
    for part in parts:
        for normal, offset in zip(solid.A, solid.b, strict=True):
            row = np.zeros(count)
            row[:2] = normal[:2]
            rows.append(row)
            limits.append(offset - (part @ normal).max())
    at = 2
    for body, part, axes in pairs:
        one_of = np.zeros(count)
        for axis in axes:
            row = np.zeros(count)
            row[:2], row[at] = -axis[:2], _BIG
            rows.append(row)
            limits.append((part @ axis).min() - (body @ axis).max() + _BIG)
            one_of[at] = -1.0
            at += 1
        rows.append(one_of)
        limits.append(-1.0)
    found = milp(
        np.zeros(count),
        constraints=LinearConstraint(np.array(rows), -np.inf, np.array(limits)),
        integrality=np.concatenate([np.zeros(2), np.ones(count - 2)]),
        bounds=Bounds(
            np.concatenate([[-5.0, -5.0], np.zeros(count - 2)]),
            np.concatenate([[5.0, 5.0], np.ones(count - 2)]),
        ),
    )
    return 0.0 if found.status == 0 else -np.inf
