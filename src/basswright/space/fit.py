"""Does it go in? Exact answers for a whole catalogue at once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from basswright.records.placement import FitTable
from basswright.records.verdict import VerdictTable
from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.boxes import FIRING, BoxTable
from basswright.space.limits import Limits
from basswright.space.openings import WAYS, passage
from basswright.space.orientations import (
    Orientation,
    allowed,
    growth,
    orientations,
    sizes_apart,
    ways_of_body,
)
from basswright.space.solids import LEAST_SIDE_M, Solid

if TYPE_CHECKING:
    from basswright.space.cells import Cells

#: A box that is this little too big still counts as touching [m].
TOUCH_M = 1e-7


@dataclass(frozen=True, kw_only=True, eq=False)
class Standing:
    """The best way for each of n boxes of one family to stand, and the room there.

    `room_m` is signed and finite; `axis` and `surfaces` say what decides; `tolerance_m`
    how far the readings behind it may be off together; `way` indexes the family's ways.
    """

    room_m: Floats
    axis: Ints
    surfaces: Ints
    tolerance_m: Floats
    way: Ints
    ways: tuple[Orientation, ...]


def fit(solid: Solid, boxes: BoxTable, *, clearance_m: float) -> FitTable:
    """Say of many boxes whether they go in, by how much, and what decides.

    A box stands on the floor, keeps `clearance_m` of air on all other sides and its cone
    air in front of the cone side. All its allowed ways to stand are looked at; the first
    kind of them (upright, on its back, on an end, upside down) that goes in for sure is
    taken, and within it the one with the most room. The margin is how far the tightest
    dimension could grow with the others fixed, or the smallest single cut that would let
    the box in.

    Parameters
    ----------
    solid : Solid
    boxes : BoxTable
    clearance_m : float
        Air wanted on every side but below [m], 0 or more.

    Returns
    -------
    FitTable
        One row a box, margins in mm.

    Raises
    ------
    InputError
        For a clearance that is negative or not a number.
    """
    require_clearance(clearance_m)
    count = len(boxes)
    room, tolerance = np.zeros(count), np.zeros(count)
    limit, way = np.zeros(count, np.int64), np.zeros(count, np.int64)
    cone = np.zeros((count, 3))
    limits, names = Limits(solid), list[str]()
    families = boxes.family
    for family in range(int(families.max(initial=-1)) + 1):
        rows = np.flatnonzero(families == family)
        found = stand_family(solid, boxes, rows, clearance_m)
        room[rows], tolerance[rows] = found.room_m, found.tolerance_m
        limit[rows] = limits.indices(found.axis, found.surfaces)
        numbers = [_number(names, way_.name) for way_ in found.ways]
        way[rows] = np.array(numbers)[found.way]
        cone[rows] = _cones(solid, boxes, rows, found, clearance_m)
    return FitTable(
        fit=_verdicts("space", room, tolerance, limit, tuple(limits.names)),
        opening=_openings(solid, boxes),
        orientation_index=way,
        orientations=tuple(names),
        cone_m=cone,
        luggage_lost_m3=boxes.volume_m3.copy(),
        luggage_space_m3=solid.volume_m3,
    )


def require_clearance(clearance_m: float) -> None:
    """Refuse a clearance that is negative, infinite or not a number."""
    from basswright.errors import InputError

    if not (np.isfinite(clearance_m) and clearance_m >= 0):
        raise InputError(
            "not a clearance", field="clearance", value=clearance_m, allowed="0 mm or more"
        )


def _number(names: list[str], name: str) -> int:
    if name not in names:
        names.append(name)
    return names.index(name)


def _verdicts(
    rule: str, room: Floats, tolerance: Floats, limit: Ints, limits: tuple[str, ...]
) -> VerdictTable:
    return VerdictTable(
        rule=rule,
        unit="mm",
        passes=room >= -TOUCH_M,
        margin=np.where(np.abs(room) < TOUCH_M, 0.0, room * 1000),
        limit_index=limit,
        limits=limits,
        sure=np.abs(room) > tolerance,
    )


def _openings(solid: Solid, boxes: BoxTable) -> VerdictTable:
    opening = solid.opening
    room, _, way = passage(boxes.size_m, opening.width_m, opening.height_m)
    tolerance = np.full(len(boxes), solid.tolerance_m)
    names = tuple(f"opening, {name}" for name in WAYS)
    return _verdicts("opening", room, tolerance, way, names)


def stand_family(solid: Solid, boxes: BoxTable, rows: Ints, clearance_m: float) -> Standing:
    """Return the best way to stand for boxes of one shape and one firing direction."""
    if boxes.parts and boxes.parts[rows[0]] is not None:
        from basswright.space.shaped import stand_shaped

        return stand_shaped(solid, boxes, rows, clearance_m)
    wedge = bool(boxes.wedge[rows[0]])
    firing = FIRING[int(boxes.firing[rows[0]])]
    ways = orientations(firing, wedge=wedge)
    if not boxes.plain_faces(int(rows[0])):
        every = ways if wedge else ways_of_body(firing)
        ways = allowed(every, boxes.never_down[int(rows[0])])
    elif not wedge:
        ways = sizes_apart(ways)
    if wedge:
        from basswright.space.bracketing import wedges

        found = wedges(solid, boxes, rows, ways, clearance_m)
    else:
        found = _cuboids(solid, boxes, rows, ways, clearance_m)
    from basswright.space.leaning import with_tilts

    return with_tilts(solid, boxes, rows, found, clearance_m)


def grown_sizes(
    boxes: BoxTable, rows: Ints, depth: Floats, ways: tuple[Orientation, ...], clearance_m: float
) -> Floats:
    """Return the sizes with their air along the car's axes, shape (3, o, n) [m]."""
    own = np.stack([depth, boxes.width_m[rows], boxes.height_m[rows]])
    sizes = np.empty((3, len(ways), len(rows)))
    for number, way in enumerate(ways):
        low, high = growth(way, clearance_m, boxes.face_air_m[rows])
        air = (low + high).T
        for axis in range(3):
            sizes[axis, number] = own[way.axis_of[axis]] + air[way.axis_of[axis]]
    return sizes


def rooms(cells: Cells, sizes: Floats, *, least_m: float = LEAST_SIDE_M) -> Floats:
    """Return the room along three axes and all at once, shape (4, o, n), see `room`."""
    from basswright.space.kernels import room

    flat = np.ascontiguousarray(sizes.reshape(3, -1))
    found = room(flat, cells.grow, cells.limit, cells.first, least_m=least_m)
    return found.reshape(4, *sizes.shape[1:])


def single(found: Floats) -> tuple[Floats, Ints]:
    """Return the margin and its axis: the least room, or the smallest single cut."""
    x, y, z, together = found
    least, most = np.minimum(np.minimum(x, y), z), np.maximum(np.maximum(x, y), z)
    value = np.where(least >= -TOUCH_M, least, most)
    axis = np.where(value == x, 0, np.where(value == y, 1, 2))
    lost = np.isneginf(value)
    return np.where(lost, together, value), np.where(lost, 3, axis)


def ranks(ways: tuple[Orientation, ...]) -> list[tuple[int, tuple[Orientation, ...]]]:
    """Return the ways to stand kind by kind, each with the number of its first."""
    starts = [k for k, way in enumerate(ways) if not k or way.rank != ways[k - 1].rank]
    return [(i, ways[i:j]) for i, j in zip(starts, [*starts[1:], len(ways)], strict=True)]


def _cuboids(
    solid: Solid, boxes: BoxTable, rows: Ints, ways: tuple[Orientation, ...], clearance_m: float
) -> Standing:
    count = len(rows)
    room, axis = np.full(count, -np.inf), np.full(count, 3, np.int64)
    way, chosen = np.zeros(count, np.int64), np.zeros((3, count))
    still = np.arange(count)
    for first, group in ranks(ways):
        sizes = grown_sizes(boxes, rows[still], boxes.depth_m[rows[still]], group, clearance_m)
        margins, axes = single(rooms(solid.cells, sizes))
        index, own = np.arange(len(still)), margins.argmax(axis=0)
        margin = margins[own, index]
        better = (margin > room[still]) | (first == 0)
        at = still[better]
        own, index = own[better], index[better]
        room[at], axis[at], way[at] = margin[better], axes[own, index], first + own
        chosen[:, at] = sizes[:, own, index]
        still = still[room[still] <= solid.tolerance_m]
        if not len(still):
            break
    surfaces, tolerance = deciding(solid.cells, chosen, axis, room)
    return Standing(
        room_m=finite(room, chosen),
        axis=axis,
        surfaces=surfaces,
        tolerance_m=np.maximum(tolerance, solid.tolerance_m),
        way=way,
        ways=ways,
    )


def deciding(cells: Cells, sizes: Floats, axis: Ints, room: Floats) -> tuple[Ints, Floats]:
    """Return which surfaces give a cuboid's room, and how far that may be off.

    Parameters
    ----------
    sizes : ndarray, shape (3, n)
    axis : ndarray of int, shape (n,)
    room : ndarray, shape (n,)
    """
    from basswright.space.kernels import facet_at

    facet = facet_at(sizes, axis, room, cells.grow, cells.limit, cells.first)
    lost = facet < 0
    if not len(cells.limit):
        return np.full((len(axis), 3), -1, np.int64), np.zeros(len(axis))
    grow = cells.grow[facet]
    weight = np.take_along_axis(np.column_stack([grow, grow.sum(axis=1)]), axis[:, None], axis=1)[
        :, 0
    ]
    tolerance = cells.tolerance[facet] / np.maximum(weight, 1e-9)
    surfaces = np.where(lost[:, None], -1, cells.surfaces[facet])
    return surfaces, np.where(lost, 0.0, tolerance)


def finite(room: Floats, sizes: Floats) -> Floats:
    """Where no cut helps, the box lacks as much as its longest side."""
    return np.where(np.isneginf(room), -sizes.max(axis=0), room)


def _cones(
    solid: Solid, boxes: BoxTable, rows: Ints, found: Standing, clearance_m: float
) -> Floats:
    from basswright.space.standing import cones

    return cones(solid, boxes, rows, found, clearance_m)


def goes_in(table: FitTable) -> Bools:
    """Return which boxes pass both the space and the opening, shape (n,)."""
    return table.fit.passes & table.opening.passes
