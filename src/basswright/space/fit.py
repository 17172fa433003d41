"""Does it go in? Exact answers for a whole catalogue at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.records.placement import FitTable
from basswright.records.verdict import VerdictTable
from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.boxes import FIRING, BoxTable
from basswright.space.limits import Limits, facing_surfaces
from basswright.space.openings import WAYS, passage
from basswright.space.orientations import Orientation, growth, orientations, sizes_apart
from basswright.space.solids import Solid

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
    for wedge in (False, True):
        for firing in range(len(FIRING)):
            rows = np.flatnonzero((boxes.wedge == wedge) & (boxes.firing == firing))
            if not len(rows):
                continue
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
    wedge = bool(boxes.wedge[rows[0]])
    firing = FIRING[int(boxes.firing[rows[0]])]
    ways = orientations(firing, wedge=wedge)
    if not wedge:
        return _cuboids(solid, boxes, rows, sizes_apart(ways), clearance_m)
    return _wedges(solid, boxes, rows, ways, clearance_m)


def grown_sizes(
    boxes: BoxTable, rows: Ints, depth: Floats, ways: tuple[Orientation, ...], clearance_m: float
) -> Floats:
    """Return the sizes with their air along the car's axes, shape (o, n, 3) [m]."""
    firing = FIRING[int(boxes.firing[rows[0]])]
    own = np.stack([depth, boxes.width_m[rows], boxes.height_m[rows]], axis=1)
    sizes = []
    for way in ways:
        low, high = growth(firing, way, clearance_m, boxes.front_air_m[rows])
        sizes.append((own + low + high)[:, list(way.axis_of)])
    return np.stack(sizes)


def _rooms(solid: Solid, sizes: Floats) -> tuple[Floats, Ints]:
    from basswright.space.kernels import room

    cells = solid.cells
    flat = np.ascontiguousarray(sizes.reshape(-1, 3))
    rooms, facets = room(flat, cells.grow, cells.limit, cells.first)
    shape = (*sizes.shape[:2], 4)
    return rooms.reshape(shape), facets.reshape(shape)


def _single(rooms: Floats) -> tuple[Floats, Ints]:
    """Return the margin and its axis: the least room, or the smallest single cut."""
    goes = rooms[..., :3].min(axis=-1) >= -TOUCH_M
    least, most = rooms[..., :3].argmin(axis=-1), rooms[..., :3].argmax(axis=-1)
    axis = np.where(goes, least, most)
    value = np.take_along_axis(rooms, axis[..., None], axis=-1)[..., 0]
    together = np.isneginf(value)
    return np.where(together, rooms[..., 3], value), np.where(together, 3, axis)


def _preferred(margin: Floats, ways: tuple[Orientation, ...], enough: float) -> Ints:
    """Return per box the way to stand: the first kind with enough room, else the roomiest."""
    ranks = np.array([way.rank for way in ways])
    choice: Ints = margin.argmax(axis=0)
    for rank in sorted(set(ranks.tolist()), reverse=True):
        own = np.where((ranks == rank)[:, None], margin, -np.inf)
        choice = np.where(own.max(axis=0) > enough, own.argmax(axis=0), choice)
    return choice


def _cuboids(
    solid: Solid, boxes: BoxTable, rows: Ints, ways: tuple[Orientation, ...], clearance_m: float
) -> Standing:
    sizes = grown_sizes(boxes, rows, boxes.depth_m[rows], ways, clearance_m)
    rooms, facets = _rooms(solid, sizes)
    margin, axis = _single(rooms)
    way = _preferred(margin, ways, solid.tolerance_m)
    index = np.arange(len(rows))
    room, axis = margin[way, index], axis[way, index]
    facet = facets[way, index, axis]
    cells = solid.cells
    lost = facet < 0
    weight = np.where(axis == 3, cells.grow[facet].sum(axis=1), 1.0)
    for own in range(3):
        weight = np.where(axis == own, cells.grow[facet, own], weight)
    tolerance = np.maximum(cells.tolerance[facet] / np.maximum(weight, 1e-9), solid.tolerance_m)
    return Standing(
        room_m=_finite(room, sizes[way, index]),
        axis=np.where(lost, 3, axis),
        surfaces=np.where(lost[:, None], -1, cells.surfaces[facet]),
        tolerance_m=np.where(lost, 0.0, tolerance),
        way=way,
        ways=ways,
    )


def _finite(room: Floats, sizes: Floats) -> Floats:
    """Where no cut helps, the box lacks as much as its longest side."""
    return np.where(np.isneginf(room), -sizes.max(axis=1), room)


def _wedges(
    solid: Solid, boxes: BoxTable, rows: Ints, ways: tuple[Orientation, ...], clearance_m: float
) -> Standing:
    from basswright.space.wedges import wedge_rooms

    firing = FIRING[int(boxes.firing[rows[0]])]
    top = boxes.depth_top_m[rows]
    inner = grown_sizes(boxes, rows, np.minimum(top, boxes.depth_m[rows]), ways, clearance_m)
    bound = np.ascontiguousarray(_single(_rooms(solid, inner)[0])[0].T) + TOUCH_M
    air = [growth(firing, way, clearance_m, boxes.front_air_m[rows]) for way in ways]
    size = np.stack([boxes.width_m[rows], boxes.height_m[rows], boxes.depth_m[rows], top], axis=1)
    room, axis, way, multipliers, active = wedge_rooms(
        solid.packed,
        size,
        (np.stack([a[0] for a in air]), np.stack([a[1] for a in air])),
        (
            np.stack([w.turn for w in ways]),
            np.array([w.axis_of for w in ways], dtype=np.int64),
            np.array([w.rank for w in ways], dtype=np.int64),
        ),
        bound,
        solid.tolerance_m,
    )
    surfaces = facing_surfaces(len(solid.b), active, multipliers)
    own = np.concatenate([solid.plane_tolerance_m, [k.tolerance_m for k in solid.keep_outs], [0]])
    tolerance = (multipliers * own[surfaces]).sum(axis=1)
    return Standing(
        room_m=_finite(room, size),
        axis=axis,
        surfaces=surfaces,
        tolerance_m=np.maximum(tolerance, solid.tolerance_m),
        way=way,
        ways=ways,
    )


def _cones(
    solid: Solid, boxes: BoxTable, rows: Ints, found: Standing, clearance_m: float
) -> Floats:
    from basswright.space.standing import cones

    return cones(solid, boxes, rows, found, clearance_m)


def goes_in(table: FitTable) -> Bools:
    """Return which boxes pass both the space and the opening, shape (n,)."""
    return table.fit.passes & table.opening.passes
