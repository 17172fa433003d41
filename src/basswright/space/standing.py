"""Where a box stands: against the seat back, as low as it goes, nearest the middle."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.boxes import FIRING, BoxTable
from basswright.space.compiled import compiled, inner
from basswright.space.obstacles import Packed, row_for
from basswright.space.orientations import _CONE_AXIS, growth
from basswright.space.wedges import (
    Desk,
    desk_for,
    find_place,
    set_corners,
    set_leaning,
    set_standing,
    stand,
    wedge_corners,
)

if TYPE_CHECKING:
    from basswright.space.fit import Standing
    from basswright.space.parts import Part
    from basswright.space.solids import Solid


@compiled
def _places(
    space: Packed,
    boxes: tuple[Floats, Floats, Floats],
    turns: Floats,
    way: Ints,
    wanted: Bools,
    desks: tuple[Desk, Desk],
) -> Floats:
    """Return the car position of each own frame's origin, shape (n, 3) [m].

    Parameters
    ----------
    boxes : tuple of ndarray
        Sizes (n, 4), and the air at the low and the high side of each own axis, (n, 3).
    desks : tuple of Desk
        For a cuboid, and for a wedge; they share everything but faces and edges.
    """
    size, low, high = boxes
    plain, desk = desks
    count = size.shape[0]
    place = np.zeros((count, 3))
    for n in range(count):
        turn = turns[way[n]]
        slope = set_corners(size, n, low, high, desk.own)
        set_standing(desk.own, turn, desk.corners)
        x, y, straight = _against_the_front(space, desk.corners, desk.speed)
        if wanted[n] and not (straight and _is_clear(space, desk.corners, desk.speed, x, y)):
            set_leaning(slope, turn, desk.face, desk.edges)
            found, x_found, y_found = find_place(space, 1.0, desk if abs(slope) > 1e-9 else plain)
            if found:
                x, y = x_found, y_found
        for j in range(3):
            origin = desk.corners[0, j]
            for k in range(3):
                origin -= turn[j, k] * desk.own[0, k]
            place[n, j] = origin
        place[n, 0] += x
        place[n, 1] += y
        place[n, 2] += space.floor
    return place


@inner
def _against_the_front(space: Packed, corners: Floats, still: Floats) -> tuple[float, float, bool]:
    """Return the place in the middle against what stands in front.

    The third answer says whether no place further forwards can be had by going aside.
    """
    straight = False
    low, high, most = np.inf, -np.inf, 0.0
    for v in range(corners.shape[0]):
        low, high = min(low, corners[v, 1]), max(high, corners[v, 1])
        most = max(most, corners[v, 0])
    x, y = np.inf, -(low + high) / 2
    for p in range(space.b.size):
        if space.A[p, 0] < 0.3:
            continue
        row = row_for(space.A, p, space.b[p], space.floor, corners, still)
        here = (row[3] - row[1] * y) / row[0]
        if here < x:
            x, straight = here, abs(space.A[p, 1]) < 1e-9
    return (x if x < np.inf else -most), y, straight


@inner
def _is_clear(space: Packed, corners: Floats, still: Floats, x: float, y: float) -> bool:
    """Say whether the cuboid round a box is clear of everything there."""
    sx = sy = sz = 0.0
    for v in range(corners.shape[0]):
        sx, sy, sz = max(sx, corners[v, 0]), max(sy, corners[v, 1]), max(sz, corners[v, 2])
    for p in range(space.b.size):
        row = row_for(space.A, p, space.b[p], space.floor, corners, still)
        if row[0] * x + row[1] * y > row[3] + 1e-7:
            return False
    for k in range(space.first.size - 1):
        clear = False
        for f in range(space.first[k], space.first[k + 1]):
            n0, n1, n2 = space.normals[f, 0], space.normals[f, 1], space.normals[f, 2]
            reach = max(n0, 0.0) * sx + max(n1, 0.0) * sy + max(n2, 0.0) * sz
            if n0 * x + n1 * y + n2 * space.floor + reach <= space.offsets[f] + 1e-7:
                clear = True
                break
        if not clear:
            return False
    return True


def own_places(
    solid: Solid, boxes: BoxTable, rows: Ints, found: Standing, clearance_m: float
) -> tuple[Floats, Floats]:
    """Return where each own frame's origin stands, and its turn.

    Returns
    -------
    place : ndarray, shape (n, 3)
        In the car [m].
    turn : ndarray, shape (n, 3, 3)
    """
    if boxes.parts and boxes.parts[rows[0]] is not None:
        return _shaped_places(solid, boxes, rows, found, clearance_m)
    air = [growth(way, clearance_m, boxes.face_air_m[rows]) for way in found.ways]
    index = np.arange(len(rows))
    low = np.stack([a[0] for a in air])[found.way, index]
    high = np.stack([a[1] for a in air])[found.way, index]
    size = np.stack(
        [
            boxes.width_m[rows],
            boxes.height_m[rows],
            boxes.depth_m[rows],
            boxes.depth_top_m[rows],
        ],
        axis=1,
    )
    turns = np.stack([way.turn for way in found.ways])
    wanted = found.room_m >= -1e-7
    desk = desk_for(solid.packed, bounds=8)
    plain = desk._replace(face=np.zeros((0, 3)), edges=np.zeros((0, 9)))
    tilted = np.array([way.tilt is not None for way in found.ways])[found.way]
    flat = wanted & ~tilted
    place = _places(solid.packed, (size, low, high), turns, found.way, flat, (plain, desk))
    for n in np.flatnonzero(tilted & wanted):
        place[n] = _tilted_place(solid, (size[n], low[n], high[n]), turns[found.way[n]])
    return place, turns[found.way]


def _shaped_places(
    solid: Solid, boxes: BoxTable, rows: Ints, found: Standing, clearance_m: float
) -> tuple[Floats, Floats]:
    from basswright.space.shaped import body_of, shaped_place

    place = [
        shaped_place(solid, body_of(boxes, int(row), clearance_m), found.ways[way])
        for row, way in zip(rows, found.way, strict=True)
    ]
    return np.stack(place), np.stack([found.ways[way].turn for way in found.way])


def _tilted_place(solid: Solid, box: tuple[Floats, Floats, Floats], turn: Floats) -> Floats:
    """Return where the own frame's origin of a tilted box stands, shape (3,) [m]."""
    from basswright.space.blocks import block_shape

    corners = wedge_corners(*box)[0]
    standing = corners @ turn.T
    lowest = np.array([0.0, 0.0, standing[:, 2].min()])
    shape = block_shape(standing - lowest)
    _, x, y = stand(solid.packed_for_any, shape, 1.0)
    return np.asarray(np.array([x, y, solid.floor_m]) - lowest)


def cone_in_own_frame(boxes: BoxTable, rows: Ints) -> Floats:
    """Return the middle of the cone side in the box's own frame, shape (n, 3) [m]."""
    firing = FIRING[int(boxes.firing[rows[0]])]
    axis = _CONE_AXIS[firing]
    if boxes.parts and boxes.parts[rows[0]] is not None:
        return np.stack([_middle_of_side(boxes.parts[row], axis) for row in rows])
    cone = np.stack(
        [
            np.where(axis[2] > 0, boxes.depth_top_m[rows], boxes.depth_m[rows]) / 2,
            boxes.width_m[rows] / 2,
            boxes.height_m[rows] / 2,
        ],
        axis=1,
    )
    if axis[0] < 0:
        cone[:, 0] = 0.0
    if axis[2] != 0:
        cone[:, 2] = boxes.height_m[rows] if axis[2] > 0 else 0.0
    return cone


def _middle_of_side(parts: tuple[Part, ...] | None, way: Floats) -> Floats:
    """Return the middle of the largest face on one side of a union of parts, shape (3,) [m]."""
    best, middle = -1.0, np.zeros(3)
    reach = max(float((part.corners() @ way).max()) for part in parts or ())
    for part in parts or ():
        corners = part.corners()
        side = corners[corners @ way > reach - 1e-6]
        if not len(side):
            continue
        low, high = side.min(axis=0), side.max(axis=0)
        size = float(np.sort(high - low)[1:].prod())
        if size > best:
            best, middle = size, (low + high) / 2
    return middle


def cones(solid: Solid, boxes: BoxTable, rows: Ints, found: Standing, clearance_m: float) -> Floats:
    """Return the middle of the cone side of each placed box, shape (n, 3) [m]."""
    place, turn = own_places(solid, boxes, rows, found, clearance_m)
    own = cone_in_own_frame(boxes, rows)
    return np.asarray(place + np.einsum("nij,nj->ni", turn, own))
