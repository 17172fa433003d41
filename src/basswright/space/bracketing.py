"""Wedges by the thousand: what cuboids say of them first, and the search for the rest.

A wedge lies between an inscribed and a bounding cuboid. Its room is no more than the
one's and no less than the other's; only where they differ is it searched for.
"""

from __future__ import annotations

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.boxes import BoxTable
from basswright.space.fit import (
    TOUCH_M,
    Standing,
    deciding,
    finite,
    grown_sizes,
    ranks,
    rooms,
    single,
)
from basswright.space.limits import facing_surfaces
from basswright.space.orientations import Orientation, growth
from basswright.space.solids import Solid
from basswright.space.wedges import EDGE_M, desk_for, no_rooms, wedge_rooms


def wedges(
    solid: Solid, boxes: BoxTable, rows: Ints, ways: tuple[Orientation, ...], clearance_m: float
) -> Standing:
    """Return the best way to stand for wedges of one firing direction.

    Parameters
    ----------
    rows : ndarray of int, shape (n,)
    ways : tuple of Orientation
        In the order of their ranks.
    clearance_m : float
        Air wanted on every side but below [m].
    """
    count = len(rows)
    size = np.stack(
        [boxes.width_m[rows], boxes.height_m[rows], boxes.depth_m[rows], boxes.depth_top_m[rows]],
        axis=1,
    )
    found, desk = no_rooms(count), desk_for(solid.packed)
    bounding = np.zeros((3, count))
    still = np.arange(count)
    for first, group in ranks(ways):
        low, high = air_of(boxes, rows[still], group, clearance_m)
        inner, outer = cuboids_of(boxes, rows[still], group, (low, high), clearance_m)
        inner_rooms, outer_rooms = _rooms_of_both(solid, inner, outer)
        for number, way in enumerate(group):  # a cut may not go through the leaning face
            axis = way.axis_of.index(0)
            cut = outer_rooms[axis, number]
            cut[cut < np.minimum(EDGE_M - inner[axis, number], 0.0)] = -np.inf
        most = _most(inner_rooms, outer_rooms)
        sure, sure_axis = single(outer_rooms)
        sure[sure_axis == 3] = -np.inf  # the wedge itself may do with a single cut
        wedge_rooms(
            solid.packed,
            (size[still], still, low, high),
            (
                np.stack([way.turn for way in group]),
                np.array([way.axis_of for way in group], dtype=np.int64),
                first,
            ),
            (_by_box(inner_rooms), _by_box(outer_rooms), most, sure, sure_axis),
            found,
            desk,
        )
        own = found.way[still] - first
        new = np.flatnonzero(own >= 0)
        bounding[:, still[new]] = outer[:, own[new], new]
        still = still[found.room[still] <= solid.tolerance_m]
        if not len(still):
            break
    surfaces = facing_surfaces(len(solid.b), found.rows, found.multipliers)
    planes = [k.tolerance_m for k in solid.keep_outs]
    own_tolerance = np.concatenate([solid.plane_tolerance_m, planes, [0.0]])
    tolerance = (found.multipliers * own_tolerance[surfaces]).sum(axis=1)
    known = np.flatnonzero(found.multipliers.sum(axis=1) == 0)
    chosen = np.ascontiguousarray(bounding[:, known])
    surfaces[known], tolerance[known] = deciding(
        solid.cells, chosen, found.axis[known], found.room[known]
    )
    return Standing(
        room_m=finite(found.room, size.T),
        axis=found.axis,
        surfaces=surfaces,
        tolerance_m=np.maximum(tolerance, solid.tolerance_m),
        way=found.way,
        ways=ways,
    )


def _most(inner: Floats, outer: Floats) -> Floats:
    """Return a bound of each wedge's margin: by one cut, or by all at once, (o, n)."""
    least, best = inner[:3].min(axis=0), inner[:3].max(axis=0)
    cut = np.where(outer[:3].max(axis=0) > -np.inf, best, np.maximum(best, inner[3]))
    return np.asarray(np.where(least >= -TOUCH_M, least, np.minimum(cut, 0.0)))


def _by_box(found: Floats) -> Floats:
    """Bring rooms (4, o, n) into the order (o, n, 3)."""
    return np.ascontiguousarray(np.moveaxis(found[:3], 0, 2))


def air_of(
    boxes: BoxTable, rows: Ints, ways: tuple[Orientation, ...], clearance_m: float
) -> tuple[Floats, Floats]:
    """Return the air at the low and high side of each own axis, (o, n, 3) each [m]."""
    air = [growth(way, clearance_m, boxes.face_air_m[rows]) for way in ways]
    return np.stack([low for low, _ in air]), np.stack([high for _, high in air])


def cuboids_of(
    boxes: BoxTable,
    rows: Ints,
    ways: tuple[Orientation, ...],
    air: tuple[Floats, Floats],
    clearance_m: float,
) -> tuple[Floats, Floats]:
    """Return the sizes of the cuboids inside and around each wedge with its air."""
    low, high = air
    bottom, top = boxes.depth_m[rows], boxes.depth_top_m[rows]
    slope = (bottom - top) / boxes.height_m[rows]
    inner = grown_sizes(boxes, rows, np.zeros(len(rows)), ways, clearance_m)
    outer = inner.copy()
    for number, way in enumerate(ways):
        lean = high[number, :, 0] * (np.hypot(1.0, slope) - 1.0)
        ends = (
            bottom + lean + slope * low[number, :, 2],
            top + lean - slope * high[number, :, 2],
        )
        axis = way.axis_of.index(0)
        inner[axis, number] += np.minimum(*ends)
        outer[axis, number] += np.maximum(*ends)
    return inner, outer


def _rooms_of_both(solid: Solid, inner: Floats, outer: Floats) -> tuple[Floats, Floats]:
    """Return the rooms of both cuboids, asking once where two ways give equal sizes."""
    count = inner.shape[1]
    same = list(range(count))
    for way in range(count):
        for earlier in range(way):
            if np.array_equal(inner[:, way], inner[:, earlier]) and np.array_equal(
                outer[:, way], outer[:, earlier]
            ):
                same[way] = earlier
                break
    distinct = sorted(set(same))
    place = [distinct.index(way) for way in same]
    bound = rooms(solid.cells, inner[:, distinct], least_m=-np.inf)
    return bound[:, place], rooms(solid.cells, outer[:, distinct])[:, place]
