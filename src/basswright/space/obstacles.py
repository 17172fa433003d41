"""A load space packed for compiled searches with boxes of any convex shape."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numba import njit

from basswright.space.arrays import Floats, Ints
from basswright.space.linear import OPTIMAL, greatest
from basswright.space.polytope import Convex
from basswright.space.separation import cuboid_directions

#: No part of a box that is searched for is smaller than this [m].
SMALL_M = 0.004

#: A box about its reference point: corners (v, 3), face normals beyond the car's axes
#: (o, 3), and edges beyond them (a, 9): direction, and the normals of two faces.
Shape = tuple[Floats, Floats, Floats]

if TYPE_CHECKING:
    from basswright.space.solids import Solid


class Packed(NamedTuple):
    """Envelope and keep-outs as flat arrays.

    Attributes
    ----------
    A, b : ndarray, shape (m, 3) and (m,)
        Envelope.
    normals, offsets : ndarray, shape (f, 3) and (f,)
        Ways to be clear of a keep-out that serve any box: the box lies within
        ``normals @ x <= offsets``.
    first : ndarray of int, shape (k + 1,)
        Those of keep-out i are ``first[i]:first[i + 1]``.
    edges : ndarray, shape (e, 9)
        Direction of each edge of a keep-out and the two normals that meet there.
    edge_first : ndarray of int, shape (k + 1,)
    corners : ndarray, shape (v, 3)
    corner_first : ndarray of int, shape (k + 1,)
    floor : float
    """

    A: Floats
    b: Floats
    normals: Floats
    offsets: Floats
    first: Ints
    edges: Floats
    edge_first: Ints
    corners: Floats
    corner_first: Ints
    floor: float


def packed(solid: Solid, *, least_m: float = SMALL_M) -> Packed:
    """Pack a solid (see :class:`Packed`).

    Parameters
    ----------
    solid : Solid
    least_m : float
        Directions that are of no use to a cuboid of this size on the floor are left out.
    """
    normals, offsets, edges, corners = [], [], [], []
    for keep_out in solid.keep_outs:
        body = keep_out.body
        n = _possible(solid, body, least_m)
        normals.append(-n)
        offsets.append(-(n @ body.vertices.T).max(axis=1))
        along = body.vertices[body.edges[:, 1]] - body.vertices[body.edges[:, 0]]
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        edges.append(np.hstack([along, body.A[body.edges[:, 2]], body.A[body.edges[:, 3]]]))
        corners.append(body.vertices)
    return Packed(
        A=np.ascontiguousarray(solid.A),
        b=solid.b,
        normals=_stacked(normals, 3),
        offsets=np.concatenate([*offsets, np.zeros(0)]),
        first=_starts(normals),
        edges=_stacked(edges, 9),
        edge_first=_starts(edges),
        corners=_stacked(corners, 3),
        corner_first=_starts(corners),
        floor=solid.floor_m,
    )


def _possible(solid: Solid, body: Convex, least_m: float) -> Floats:
    """Return the facet normals on whose side even a small cuboid has room."""
    n = cuboid_directions(body)
    support = (n @ body.vertices.T).max(axis=1)
    least = np.full(3, least_m)
    wall = np.column_stack([solid.A[:, :2]])
    right = solid.b - solid.A[:, 2] * solid.floor_m - np.maximum(solid.A, 0.0) @ least
    bounds = np.vstack([np.eye(2), -np.eye(2)])
    kept = []
    for normal, reach in zip(n, support, strict=True):
        own = -reach + normal[2] * solid.floor_m - np.maximum(-normal, 0.0) @ least
        matrix = np.vstack([bounds, wall, -normal[None, :2]])
        limits = np.concatenate([np.full(4, 8.0), right, [own]])
        if greatest(matrix, limits, len(limits), np.zeros(2))[0] == OPTIMAL:
            kept.append(normal)
    return np.array(kept).reshape(-1, 3)


def _stacked(parts: list[Floats], width: int) -> Floats:
    return np.ascontiguousarray(np.vstack([*parts, np.zeros((0, width))]))


def _starts(parts: list[Floats]) -> Ints:
    return np.concatenate([[0], np.cumsum([len(p) for p in parts])]).astype(np.int64)


@njit(cache=True, nogil=True)
def row_for(
    normal: Floats, offset: float, floor: float, corners: Floats, speed: Floats, axis: int
) -> tuple[float, float, float, float]:
    """Ask that a box lies within ``normal.x <= offset``, as a row in (tx, ty, change).

    Parameters
    ----------
    corners : ndarray, shape (v, 3)
        Corners of the box about its reference point, which stands on the floor.
    speed : ndarray, shape (v, 3)
        How each corner moves as the box grows by one metre.
    axis : int
        Where >= 0, the box grows by a segment along that axis instead; -1 for `speed`.

    Returns
    -------
    tuple of four floats
        Three coefficients and the right-hand side.
    """
    reach, rate = -np.inf, 0.0
    for v in range(corners.shape[0]):
        here = normal[0] * corners[v, 0] + normal[1] * corners[v, 1] + normal[2] * corners[v, 2]
        if here > reach:
            reach = here
            rate = normal[0] * speed[v, 0] + normal[1] * speed[v, 1] + normal[2] * speed[v, 2]
    if axis >= 0:
        rate = max(normal[axis], 0.0)
    return normal[0], normal[1], rate, offset - normal[2] * floor - reach


@njit(cache=True, nogil=True)
def _least(normal: Floats, corners: Floats, low: int, high: int) -> float:
    least = np.inf
    for v in range(low, high):
        here = normal[0] * corners[v, 0] + normal[1] * corners[v, 1] + normal[2] * corners[v, 2]
        least = min(least, here)
    return least


@njit(cache=True, nogil=True)
def _keep(row: tuple[float, float, float, float], low: float, high: float) -> bool:
    """Say whether a row without a say on the position can hold at all."""
    if abs(row[0]) > 1e-12 or abs(row[1]) > 1e-12:
        return True
    return min(row[2] * low, row[2] * high) <= row[3] + 1e-9


@njit(cache=True, nogil=True)
def clear_rows(
    space: Packed, shape: Shape, speed: Floats, axis: int, span: tuple[float, float]
) -> tuple[Floats, Ints]:
    """Return the ways for one box to be clear of each keep-out.

    Parameters
    ----------
    shape : Shape
    speed, axis
        As of :func:`row_for`.
    span : tuple of float
        Least and greatest change of size that is asked for [m].

    Returns
    -------
    rows : ndarray, shape (n, 4)
    first : ndarray of int, shape (k + 1,)
    """
    corners, own, along = shape
    count = space.first.size - 1
    most = space.normals.shape[0] + count * own.shape[0]
    most += space.edges.shape[0] * along.shape[0]
    rows = np.empty((most, 4))
    first = np.zeros(count + 1, np.int64)
    fill = 0
    normal = np.empty(3)
    for k in range(count):
        low, high = space.corner_first[k], space.corner_first[k + 1]
        for f in range(space.first[k], space.first[k + 1]):
            row = row_for(space.normals[f], space.offsets[f], space.floor, corners, speed, axis)
            if _keep(row, span[0], span[1]):
                rows[fill] = row
                fill += 1
        for o in range(own.shape[0]):
            least = _least(own[o], space.corners, low, high)
            row = row_for(own[o], least, space.floor, corners, speed, axis)
            if _keep(row, span[0], span[1]):
                rows[fill] = row
                fill += 1
        for e in range(space.edge_first[k], space.edge_first[k + 1]):
            for a in range(along.shape[0]):
                if _crossed(space.edges[e], along[a], normal):
                    least = _least(normal, space.corners, low, high)
                    row = row_for(normal, least, space.floor, corners, speed, axis)
                    if _keep(row, span[0], span[1]):
                        rows[fill] = row
                        fill += 1
        first[k + 1] = fill
    return rows[:fill].copy(), first


@njit(cache=True, nogil=True)
def _crossed(edge: Floats, own: Floats, normal: Floats) -> bool:
    """Set `normal` to the direction out of the box that is square to both edges.

    False where it is no facet of the Minkowski sum: where the arcs of normals of the two
    edges do not cross.
    """
    normal[0] = edge[1] * own[2] - edge[2] * own[1]
    normal[1] = edge[2] * own[0] - edge[0] * own[2]
    normal[2] = edge[0] * own[1] - edge[1] * own[0]
    size = np.sqrt(normal[0] ** 2 + normal[1] ** 2 + normal[2] ** 2)
    if size < 1e-9:
        return False
    if normal[0] * own[3] + normal[1] * own[4] + normal[2] * own[5] < 0.0:
        size = -size
    for j in range(3):
        normal[j] /= size
    return _in_arc(normal, own, 1.0) and _in_arc(normal, edge, -1.0)


@njit(cache=True, nogil=True)
def _in_arc(normal: Floats, edge: Floats, sign: float) -> bool:
    one = two = dot = 0.0
    for j in range(3):
        one += sign * normal[j] * edge[3 + j]
        two += sign * normal[j] * edge[6 + j]
        dot += edge[3 + j] * edge[6 + j]
    return one - two * dot > 1e-9 and two - one * dot > 1e-9
