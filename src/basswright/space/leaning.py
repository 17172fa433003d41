"""Tilted ways to stand, for the boxes that do not surely go in square to the car."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.blocks import block_shape
from basswright.space.boxes import BoxTable
from basswright.space.bracketing import air_of, cuboids_of
from basswright.space.fit import (
    TOUCH_M,
    Standing,
    deciding,
    grown_sizes,
    rooms,
    single,
)
from basswright.space.orientations import Orientation, growth, tilted_way
from basswright.space.solids import LEAST_SIDE_M, Solid
from basswright.space.tilted import Tilted
from basswright.space.unions import envelope_takes
from basswright.space.unions import growth as thickening
from basswright.space.wedges import EDGE_M

#: A wedge that would stand on another edge than one of the cuboid inside it is tried
#: tilted when it is short by no more than this [m].
SHORT_M = 0.06
#: For so few boxes it is first seen by a search whether the cells of a tilt are wanted.
FEW = 6
_CORNERS: Floats = np.array([[x, y, z] for z in (0, 1) for x in (0, 1) for y in (0, 1)], float)


@dataclass(frozen=True, kw_only=True, eq=False)
class Better:
    """For some boxes, numbered by `at`, a tilted way to stand that has more room."""

    at: Ints
    room_m: Floats
    axis: Ints
    surfaces: Ints
    tolerance_m: Floats
    way: Orientation


def with_tilts(
    solid: Solid, boxes: BoxTable, rows: Ints, found: Standing, clearance_m: float
) -> Standing:
    """Add tilted ways to stand, where they let a box in that square ways do not surely.

    Parameters
    ----------
    found : Standing
        The best square way of each box, in the order of `rows`.

    Returns
    -------
    Standing
        The same where a tilt does not help. A box that goes in neither way keeps the
        verdict of its best square way, with the cut that would help there.
    """
    open_ = np.flatnonzero(found.room_m <= solid.tolerance_m)
    if not len(open_) or not solid.tilted:
        return found
    if boxes.wedge[rows[0]]:
        return _wedges(solid, boxes, rows, (found, open_), clearance_m)
    for space in solid.tilted:
        for number in range(len(found.ways)):
            if found.ways[number].tilt is not None:
                continue
            better = _cuboids(space, boxes, rows[open_], found.ways[number], clearance_m)
            if better is not None:
                found = _merged(found, open_, better, solid.tolerance_m)
    return found


def _goes(space: Tilted, size: Floats) -> bool:
    """Say whether one tilted cuboid goes in, without working out the cells."""
    corners = (_CORNERS * size) @ space.tilt.turn.T
    corners[:, 2] -= corners[:, 2].min()
    if not envelope_takes(space.solid, corners[None])[0]:
        return False
    return thickening(space.solid, [block_shape(corners)], 0)[0] >= -TOUCH_M


def _cuboids(
    space: Tilted, boxes: BoxTable, rows: Ints, way: Orientation, clearance_m: float
) -> Better | None:
    sizes = grown_sizes(boxes, rows, boxes.depth_m[rows], (way,), clearance_m)[:, 0]
    sizes = np.maximum(sizes, LEAST_SIDE_M)
    if len(rows) <= FEW and not any(_goes(space, size) for size in sizes.T):
        return None
    at = np.flatnonzero((sizes <= space.most_m[:, None] + TOUCH_M).all(axis=0))
    sizes = np.ascontiguousarray(sizes[:, at])
    room, axis = single(rooms(space.cells, sizes))
    goes = np.flatnonzero(room >= -TOUCH_M)
    room, axis, sizes = room[goes], axis[goes], np.ascontiguousarray(sizes[:, goes])
    surfaces, tolerance = deciding(space.cells, sizes, axis, room)
    return Better(
        at=at[goes],
        room_m=room,
        axis=axis,
        surfaces=surfaces,
        tolerance_m=np.maximum(tolerance, space.solid.tolerance_m),
        way=tilted_way(way, space.tilt),
    )


def _wedges(
    solid: Solid,
    boxes: BoxTable,
    rows: Ints,
    square: tuple[Standing, Ints],
    clearance_m: float,
) -> Standing:
    """Try tilts on wedges: most are ruled out by a look, the rest searched for."""
    found, open_ = square
    ways = found.ways
    tries = []
    for number, way in enumerate(ways):
        own = own_corners(boxes, rows[open_], way, clearance_m)
        air = air_of(boxes, rows[open_], (way,), clearance_m)
        inner = cuboids_of(boxes, rows[open_], (way,), air, clearance_m)[0]
        for space in solid.tilted:
            tilt = space.tilt
            standing = own @ (tilt.turn @ way.turn).T
            standing[..., 2] -= standing[..., 2].min(axis=1, keepdims=True)
            may = envelope_takes(solid, standing)
            if tilt.about == "yaw" or tilt.angle_deg * way.turn[0, 0] > 0.1:
                # it stands on an edge or a face of the cuboid inside it
                may &= rooms(space.cells, inner)[:3, 0].min(axis=0) >= -TOUCH_M
            else:
                may &= found.room_m[open_] > -SHORT_M
            tries += [(int(at), number, tilt, standing[at]) for at in np.flatnonzero(may)]
    done = set[int]()
    for at, number, tilt, standing in tries:
        if at in done:
            continue
        room, axis, multipliers, surfaces = _room(solid, standing)
        if room < -TOUCH_M:
            continue
        done.add(at)
        tolerance = (multipliers * np.append(solid.tolerances_m, 0.0)[surfaces]).sum()
        better = Better(
            at=np.array([at]),
            room_m=np.array([room]),
            axis=np.array([axis]),
            surfaces=surfaces[None],
            tolerance_m=np.array([max(tolerance, solid.tolerance_m)]),
            way=tilted_way(ways[number], tilt),
        )
        found = _merged(found, open_, better, solid.tolerance_m)
    return found


def _room(solid: Solid, standing: Floats) -> tuple[float, int, Floats, Ints]:
    """Return the least room along the car's axes, its axis, and what decides."""
    shape = block_shape(standing)
    best: tuple[float, int, Floats, Ints] = (np.inf, 0, np.zeros(3), np.full(3, -1))
    for axis in range(3):
        room, multipliers, surfaces = thickening(solid, [shape], axis)
        if room < best[0]:
            best = (room, axis, multipliers, surfaces)
        if room == -np.inf:
            break
    return best


def own_corners(boxes: BoxTable, rows: Ints, way: Orientation, clearance_m: float) -> Floats:
    """Return the corners of boxes with their air in their own frame, shape (n, 8, 3).

    Numbered as of :func:`basswright.space.wedges.wedge_corners`, which it agrees with.
    """
    low, high = growth(way, clearance_m, boxes.face_air_m[rows])
    bottom, top = boxes.depth_m[rows], boxes.depth_top_m[rows]
    slope = (bottom - top) / boxes.height_m[rows]
    lean = high[:, 0] * np.hypot(1.0, slope)
    x = -low[:, 0]
    y0, y1 = -low[:, 1], boxes.width_m[rows] + high[:, 1]
    z0, z1 = -low[:, 2], boxes.height_m[rows] + high[:, 2]
    xb, xt = bottom + lean - slope * z0, np.maximum(bottom + lean - slope * z1, x + EDGE_M)
    corners = [
        np.stack([depth, y, z], axis=1)
        for z, back in ((z0, xb), (z1, xt))
        for depth in (x, back)
        for y in (y0, y1)
    ]
    return np.stack(corners, axis=1)


def _merged(found: Standing, open_: Ints, better: Better, enough_m: float) -> Standing:
    """Take the tilted way where it goes in and the way so far does not surely."""
    at = open_[better.at]
    more = better.room_m > found.room_m[at]
    helps = more & ((found.room_m[at] < -TOUCH_M) | (better.room_m > enough_m))
    if not helps.any():
        return found
    index = at[helps]
    room, axis, way = found.room_m.copy(), found.axis.copy(), found.way.copy()
    surfaces, tolerance = found.surfaces.copy(), found.tolerance_m.copy()
    room[index], axis[index] = better.room_m[helps], better.axis[helps]
    surfaces[index], tolerance[index] = better.surfaces[helps], better.tolerance_m[helps]
    way[index] = len(found.ways)
    return replace(
        found,
        room_m=room,
        axis=axis,
        surfaces=surfaces,
        tolerance_m=tolerance,
        way=way,
        ways=(*found.ways, better.way),
    )
