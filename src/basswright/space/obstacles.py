"""A load space packed for compiled searches with boxes of any convex shape."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.compiled import inner
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


@inner
def row_for(
    normals: Floats, at: int, offset: float, floor: float, corners: Floats, speed: Floats
) -> tuple[float, float, float, float]:
    """Ask that a box lies within ``normals[at].x <= offset``, as a row in (tx, ty, change).

    Parameters
    ----------
    corners : ndarray, shape (v, 3)
        Corners of the box about its reference point, which stands on the floor.
    speed : ndarray, shape (v + 1, 3)
        How each corner moves as the box grows by one metre; in the last row, along what
        segment the whole box grows besides.

    Returns
    -------
    tuple of four floats
        Three coefficients and the right-hand side.
    """
    n0, n1, n2 = normals[at, 0], normals[at, 1], normals[at, 2]
    reach, most = -np.inf, 0
    for v in range(corners.shape[0]):
        here = n0 * corners[v, 0] + n1 * corners[v, 1] + n2 * corners[v, 2]
        if here > reach:
            reach, most = here, v
    v = corners.shape[0]
    rate = n0 * speed[v, 0] + n1 * speed[v, 1] + n2 * speed[v, 2]
    rate = rate if rate > 0.0 else 0.0
    rate += n0 * speed[most, 0] + n1 * speed[most, 1] + n2 * speed[most, 2]
    return n0, n1, rate, offset - n2 * floor - reach


@inner
def _least(normals: Floats, at: int, corners: Floats, low: int, high: int) -> float:
    least = np.inf
    for v in range(low, high):
        here = (
            normals[at, 0] * corners[v, 0]
            + normals[at, 1] * corners[v, 1]
            + normals[at, 2] * corners[v, 2]
        )
        if here < least:
            least = here
    return least


def rows_needed(space: Packed, own: int, along: int) -> int:
    """Return how many rows :func:`clear_rows` may give for `own` faces and `along` edges."""
    count = space.first.size - 1
    return int(space.normals.shape[0] + count * own + space.edges.shape[0] * along)


@inner
def clear_rows(
    space: Packed,
    shape: Shape,
    growth: tuple[Floats, float, float],
    rows: Floats,
    first: Ints,
) -> None:
    """Work out the ways for one box to be clear of each keep-out.

    Parameters
    ----------
    shape : Shape
    growth : tuple
        `speed` as of :func:`row_for`, and the least and greatest change of size that is
        asked for [m].
    rows : ndarray, shape (:func:`rows_needed`, 4)
        Set to the rows.
    first : ndarray of int, shape (k + 1,)
        Set to where those of each keep-out begin.
    """
    corners, own, along = shape
    normals, edges, floor = space.normals, space.edges, space.floor
    normal = np.empty((1, 3))
    fill = 0
    first[0] = 0
    for k in range(space.first.size - 1):
        low, high = space.corner_first[k], space.corner_first[k + 1]
        for f in range(space.first[k], space.first[k + 1]):
            fill = _put(normals, f, space.offsets[f], floor, corners, growth, (rows, fill))
        for o in range(own.shape[0]):
            least = _least(own, o, space.corners, low, high)
            fill = _put(own, o, least, floor, corners, growth, (rows, fill))
        for e in range(space.edge_first[k], space.edge_first[k + 1]):
            for a in range(along.shape[0]):
                # the arcs of normals of two edges cross: each has ends on either side of the other
                d0, d1, d2 = along[a, 0], along[a, 1], along[a, 2]
                p = edges[e, 3] * d0 + edges[e, 4] * d1 + edges[e, 5] * d2
                q = edges[e, 6] * d0 + edges[e, 7] * d1 + edges[e, 8] * d2
                if p * q >= -1e-18:
                    continue
                d0, d1, d2 = edges[e, 0], edges[e, 1], edges[e, 2]
                one = along[a, 3] * d0 + along[a, 4] * d1 + along[a, 5] * d2
                two = along[a, 6] * d0 + along[a, 7] * d1 + along[a, 8] * d2
                if one * two >= -1e-18:
                    continue
                if _crossed(edges, e, along, a, (abs(p), abs(q), abs(one), abs(two)), normal):
                    least = _least(normal, 0, space.corners, low, high)
                    fill = _put(normal, 0, least, floor, corners, growth, (rows, fill))
        first[k + 1] = fill


@inner
def _put(
    normals: Floats,
    at: int,
    offset: float,
    floor: float,
    corners: Floats,
    growth: tuple[Floats, float, float],
    target: tuple[Floats, int],
) -> int:
    """Add a row, unless it has no say on the position and cannot hold."""
    speed, least_change, greatest_change = growth
    rows, fill = target
    row = row_for(normals, at, offset, floor, corners, speed)
    still = abs(row[0]) <= 1e-12 and abs(row[1]) <= 1e-12
    if still and min(row[2] * least_change, row[2] * greatest_change) > row[3] + 1e-9:
        return fill
    rows[fill, 0], rows[fill, 1], rows[fill, 2], rows[fill, 3] = row
    return fill + 1


@inner
def _crossed(
    edges: Floats,
    e: int,
    along: Floats,
    a: int,
    apart: tuple[float, float, float, float],
    normal: Floats,
) -> bool:
    """Set `normal` to the direction out of the box that is square to two edges.

    False where it is no facet of the Minkowski sum: where the arcs of normals cross on
    the far side of the sphere.
    """
    p, q, one, two = apart
    size = against = 0.0
    for j in range(3):
        n = two * along[a, 3 + j] + one * along[a, 6 + j]
        against += n * (q * edges[e, 3 + j] + p * edges[e, 6 + j])
        normal[0, j] = n
        size += n * n
    if against >= 0.0:
        return False
    size = np.sqrt(size)
    for j in range(3):
        normal[0, j] /= size
    return True
