"""Exact room for wedges: a compiled search per box and orientation.

What "room" means for a wedge, along the axis of the car on which a size lies:

* width: the box made wider or narrower;
* depth: both depths changed by the same amount, the slope kept;
* height: for more, a plinth as deep as the box's bottom; for less, the box cut at its
  foot, the slope kept.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.cells import REACH_M
from basswright.space.compiled import compiled, inner, part
from basswright.space.obstacles import Packed, Shape, clear_rows, row_for, rows_needed
from basswright.space.search import Work, search, work_for
from basswright.space.solids import LEAST_SIDE_M

#: No depth of a wedge is less than this [m].
EDGE_M = 0.005
_CLOSE = -1e-7
_SAME = 2e-7


class Desk(NamedTuple):
    """Room to work on one wedge after another.

    Attributes
    ----------
    M, r : ndarray, shape (N, 3) and (N,)
        Rows of a search.
    rows, first : ndarray
        As of :func:`basswright.space.obstacles.clear_rows`.
    own, corners : ndarray, shape (8, 3)
        Corners in the box's own frame, and those of the box as it stands in the car,
        with its lowest at the floor.
    speed : ndarray, shape (9, 3)
        How the box grows, as of :func:`basswright.space.obstacles.row_for`.
    face, edges : ndarray, shape (1, 3) and (2, 9)
        Leaning face and slanting edges as of :data:`basswright.space.obstacles.Shape`.
    aim : ndarray, shape (3,)
    work : Work
    """

    M: Floats
    r: Floats
    rows: Floats
    first: Ints
    own: Floats
    corners: Floats
    speed: Floats
    face: Floats
    edges: Floats
    aim: Floats
    work: Work


def desk_for(space: Packed, *, faces: int = 1, edges: int = 2, bounds: int = 6) -> Desk:
    """Return room to work on boxes with so many faces and edges beyond the car's axes."""
    count, most = space.first.size - 1, rows_needed(space, faces, edges)
    height = bounds + space.b.size + count
    return Desk(
        M=np.zeros((height, 3)),
        r=np.zeros(height),
        rows=np.zeros((most, 4)),
        first=np.zeros(count + 1, np.int64),
        own=np.zeros((8, 3)),
        corners=np.zeros((8, 3)),
        speed=np.zeros((9, 3)),
        face=np.zeros((faces, 3)),
        edges=np.zeros((edges, 9)),
        aim=np.array([0.0, 0.0, 1.0]),
        work=work_for(3, count, most),
    )


def wedge_corners(size: Floats, low: Floats, high: Floats) -> tuple[Floats, float]:
    """Return the corners of a wedge with the air around it, and its slope.

    Parameters
    ----------
    size : ndarray, shape (4,)
        Width, height, depth at the bottom, depth at the top [m].
    low, high : ndarray, shape (3,)
        Air at the low and high side of each own axis [m]; that on the leaning side is
        measured square to it.

    Returns
    -------
    corners : ndarray, shape (8, 3)
        In the box's own frame: bottom front (y low, high), bottom back, top front, top back.
    slope : float
        Loss of depth per metre of height.
    """
    corners = np.empty((8, 3))
    slope = set_corners(size[None], 0, low[None], high[None], corners)
    return corners, float(slope)


@compiled
def set_corners(size: Floats, n: int, low: Floats, high: Floats, corners: Floats) -> float:
    """Set the corners of wedge n, see :func:`wedge_corners`; return its slope."""
    width, height, bottom, top = size[n, 0], size[n, 1], size[n, 2], size[n, 3]
    slope = (bottom - top) / height
    lean = high[n, 0] * np.sqrt(1.0 + slope * slope)
    z0, z1 = -low[n, 2], height + high[n, 2]
    x0 = -low[n, 0]
    xb = bottom + lean - slope * z0
    xt = max(bottom + lean - slope * z1, x0 + EDGE_M)
    for v in range(corners.shape[0]):
        corners[v, 0] = x0 if v % 4 < 2 else (xb if v < 4 else xt)
        corners[v, 1] = -low[n, 1] if v % 2 == 0 else width + high[n, 1]
        corners[v, 2] = z0 if v < 4 else z1
    return float((xb - xt) / (z1 - z0))


@inner
def set_leaning(slope: float, turn: Floats, face: Floats, edges: Floats) -> None:
    """Set normal and edges of a wedge's leaning face in the car.

    Parameters
    ----------
    face : ndarray, shape (1, 3)
    edges : ndarray, shape (2, 9)
        Direction of each slanting edge, normal of the leaning face, normal of the end.
    """
    size = np.sqrt(1.0 + slope * slope)
    for j in range(turn.shape[0]):
        face[0, j] = (turn[j, 0] + slope * turn[j, 2]) / size
        for k in range(edges.shape[0]):
            edges[k, j] = (turn[j, 2] - slope * turn[j, 0]) / size
            edges[k, 3 + j] = face[0, j]
            edges[k, 6 + j] = turn[j, 1] if k == 0 else -turn[j, 1]


@inner
def set_standing(own: Floats, turn: Floats, corners: Floats) -> None:
    """Set the corners of a box as it stands: turned, its lowest along each axis at 0."""
    for axis in range(turn.shape[0]):
        low = np.inf
        for v in range(own.shape[0]):
            value = (
                turn[axis, 0] * own[v, 0] + turn[axis, 1] * own[v, 1] + turn[axis, 2] * own[v, 2]
            )
            corners[v, axis] = value
            low = min(low, value)
        for v in range(own.shape[0]):
            corners[v, axis] -= low


@inner
def _own_speed(own_axis: int, slope: float, v: int, j: int) -> float:
    """Return how corner v moves along own axis j as the size along `own_axis` grows."""
    if own_axis == 0:
        return 1.0 if j == 0 and v % 4 >= 2 else 0.0
    if own_axis == 1:
        return 1.0 if j == 1 and v % 2 == 1 else 0.0
    if j == 2:
        return 1.0 if v >= 4 else 0.0
    return slope if j == 0 and (v == 2 or v == 3) else 0.0


@inner
def _set_speed(axis: int, axis_of: Ints, slope: float, turn: Floats, desk: Desk) -> float:
    """Set how the box on the desk grows along an axis, or along all of them for axis 3.

    Returns how far it may shrink before nothing of a size is left, as a change <= 0.
    """
    least, count, axes = -np.inf, desk.own.shape[0], axis_of.size
    for v in range(count + 1):
        for j in range(axes):
            desk.speed[v, j] = 0.0
    for k in range(axes):
        if axis != k and axis != 3:
            continue
        low, most = np.inf, 0.0
        for v in range(count):
            along = 0.0
            for j in range(axes):
                own = _own_speed(axis_of[k], slope, v, j)
                for i in range(axes):
                    desk.speed[v, i] += turn[i, j] * own
                along += turn[k, j] * own
            if desk.corners[v, k] < 1e-9:
                low = min(low, along)
            most = max(most, desk.corners[v, k])
        for v in range(count):
            desk.speed[v, k] -= low
        left = LEAST_SIDE_M - most
        if axis_of[k] == 0:
            depth = min(desk.own[6, 0] - desk.own[4, 0], desk.own[2, 0] - desk.own[0, 0])
            left = EDGE_M - depth
        least = max(least, min(left, 0.0))
    return float(least)


@inner
def _set_segment(axis: int, desk: Desk) -> None:
    """Let the box on the desk grow by a segment along an axis, and nothing else."""
    last = desk.speed.shape[0] - 1
    for v in range(last):
        for j in range(desk.speed.shape[1]):
            desk.speed[v, j] = 0.0
    desk.speed[last, axis] = 1.0


@part
def _solve(
    space: Packed, change: tuple[float, float], wanted: tuple[float, float], desk: Desk
) -> float:
    """Return how far the box on the desk can grow; multipliers and rows are left there.

    Active rows: 0 to 5 bounds, then the envelope's planes, then -1 - k for keep-out k.
    """
    M, r, first = desk.M, desk.r, desk.first
    base = 6 + space.b.size
    for j in range(3):
        for i in range(3):
            M[j, i] = 1.0 if i == j else 0.0
            M[3 + j, i] = -1.0 if i == j else 0.0
        r[j] = r[3 + j] = REACH_M
    r[2], r[5] = change[1], -change[0]
    for p in range(space.b.size):
        row = row_for(space.A, p, space.b[p], space.floor, desk.corners, desk.speed)
        M[6 + p, 0], M[6 + p, 1], M[6 + p, 2], r[6 + p] = row
    shape = (desk.corners, desk.face, desk.edges)
    clear_rows(space, shape, (desk.speed, change[0], change[1]), desk.rows, first)
    value = search(M, r, base, (desk.rows, first), desk.aim, wanted, desk.work)
    for j in range(3):
        alternative = desk.work.rows[j] - base
        if alternative >= 0:
            keep_out = 0
            while first[keep_out + 1] <= alternative:
                keep_out += 1
            desk.work.rows[j] = -1 - keep_out
    return value


@part
def _wedge_room(
    space: Packed,
    slope: float,
    way: tuple[Floats, Ints],
    bracket: tuple[Floats, Floats],
    best: float,
    desk: Desk,
) -> tuple[float, int, tuple[float, float, float], tuple[int, int, int]]:
    """Return the room of the wedge on the desk in one orientation.

    Parameters
    ----------
    bracket : two ndarrays, shape (3,)
        Room along each axis of the inscribed and of the bounding cuboid; where they
        agree, nothing is searched.
    best : float
        An answer no better than this is not worked out.

    Returns
    -------
    room : float
        Least room along the three axes where it goes in; else the smallest single cut,
        negative; -inf where it is no better than `best`.
    axis : int
        0, 1, 2 along the car; 3 where all sizes had to shrink together.
    multipliers, rows : tuple of three
        Of the search; multipliers are 0 where a cuboid gave the answer.
    """
    turn, axis_of = way
    inner, outer = bracket
    lead = 0 if axis_of[0] != 2 else 1
    answer, answer_axis = -np.inf, -1
    y0 = y1 = y2 = 0.0
    r0 = r1 = r2 = -1
    goes = min(outer[0], outer[1], outer[2]) >= _CLOSE
    settled = goes or min(inner[0], inner[1], inner[2]) < _CLOSE
    helps = max(outer[0], outer[1], outer[2]) > -np.inf  # some single cut does
    for step in range(4):
        axis = (lead + step) % 3 if step < 3 else 3
        if step == 3 and (goes or helps or best >= -LEAST_SIDE_M):
            break
        value, searched = -np.inf if step == 3 else outer[axis], step == 3
        wanted = max(answer, best) if helps or step == 3 else answer
        if step < 3:
            open_ = inner[axis] - outer[axis] >= _SAME and inner[axis] > -np.inf
            if settled and answer_axis >= 0:  # can this axis change the answer?
                open_ = open_ and (outer[axis] < answer if goes else inner[axis] > wanted)
            searched = open_ or not settled
        if searched:
            least = _set_speed(axis, axis_of, slope, turn, desk)
            most, floor, stop = 0.0, wanted, np.inf
            if not settled:
                most, floor = REACH_M, -np.inf
            elif goes:
                _set_segment(axis, desk)
                least, most = 0.0, REACH_M
                floor = max(outer[axis] - _SAME, -1.0)
                stop = answer if answer_axis >= 0 else np.inf
            elif step < 3:
                floor = max(outer[axis] - _SAME, wanted)
            value = _solve(space, (least, most), (floor, stop), desk)
            if not settled:
                goes, settled = value >= _CLOSE, True
            if step < 3 and value < outer[axis]:  # no better than what is known
                value, searched = outer[axis], False
        helps = helps or (step < 3 and value > -np.inf)
        if answer_axis < 0 or step == 3 or (value < answer if goes else value > answer):
            answer, answer_axis = value, axis
            work = desk.work
            y0, y1, y2 = (work.y[0], work.y[1], work.y[2]) if searched else (0.0, 0.0, 0.0)
            r0, r1, r2 = (work.rows[0], work.rows[1], work.rows[2]) if searched else (-1, -1, -1)
        if goes and answer <= best:
            answer = -np.inf
            break
    return answer, answer_axis, (y0, y1, y2), (r0, r1, r2)


class Rooms(NamedTuple):
    """The best found so far for n wedges: room, axis, orientation, multipliers, rows."""

    room: Floats
    axis: Ints
    way: Ints
    multipliers: Floats
    rows: Ints


def no_rooms(count: int) -> Rooms:
    """Return a table in which nothing is found yet."""
    return Rooms(
        room=np.full(count, -np.inf),
        axis=np.full(count, 3, np.int64),
        way=np.zeros(count, np.int64),
        multipliers=np.zeros((count, 3)),
        rows=np.full((count, 3), -1, np.int64),
    )


@compiled
def wedge_rooms(
    space: Packed,
    boxes: tuple[Floats, Ints, Floats, Floats],
    ways: tuple[Floats, Ints, int],
    brackets: tuple[Floats, Floats, Floats, Floats, Ints],
    found: Rooms,
    desk: Desk,
) -> None:
    """Look for the room of wedges in some more of their orientations.

    Parameters
    ----------
    boxes : tuple of ndarray
        Sizes (n, 4), rows in `found` (n,), and the air at the low and the high side of
        each own axis, (o, n, 3) each.
    ways : tuple
        Turns (o, 3, 3), own axis along each axis of the car (o, 3), number of the first.
    brackets : tuple of ndarray
        Room of the inscribed and of the bounding cuboid along each axis, (o, n, 3) each;
        their margins (o, n); and the axis of the latter.
    found : Rooms
        Changed where more room is found. All multipliers are 0 where the bounding cuboid
        gives the answer.
    """
    size, index, low, high = boxes
    turns, axis_of, first_way = ways
    inner, outer, most, sure, sure_axis = brackets
    count = turns.shape[0]
    order, bound = np.empty(count, np.int64), np.empty(count)
    for n in range(size.shape[0]):
        at = index[n]
        for o in range(count):
            upper = most[o, n]
            place = o
            while place > 0 and bound[place - 1] < upper:
                bound[place], order[place] = bound[place - 1], order[place - 1]
                place -= 1
            bound[place], order[place] = upper, o
        for place in range(count):
            o = order[place]
            if sure[o, n] > found.room[at]:
                found.room[at], found.axis[at], found.way[at] = (
                    sure[o, n],
                    sure_axis[o, n],
                    first_way + o,
                )
                for j in range(3):
                    found.multipliers[at, j] = 0.0
        for place in range(count):
            o = order[place]
            if bound[place] <= found.room[at] + _SAME:
                continue
            slope = set_corners(size, n, low[o], high[o], desk.own)
            set_standing(desk.own, turns[o], desk.corners)
            set_leaning(slope, turns[o], desk.face, desk.edges)
            way, bracket = (turns[o], axis_of[o]), (inner[o, n], outer[o, n])
            room, axis, y, rows = _wedge_room(space, slope, way, bracket, found.room[at], desk)
            if room > found.room[at]:
                found.room[at], found.axis[at], found.way[at] = room, axis, first_way + o
                for j in range(3):
                    found.multipliers[at, j], found.rows[at, j] = y[j], rows[j]


@part
def find_place(space: Packed, toward: float, desk: Desk) -> tuple[bool, float, float]:
    """Return where the box on the desk stands, see :func:`stand`."""
    M, r, corners = desk.M, desk.r, desk.corners
    base = 8 + space.b.size
    low, high = np.inf, -np.inf
    for v in range(corners.shape[0]):
        low, high = min(low, corners[v, 1]), max(high, corners[v, 1])
    for j in range(3):
        for i in range(3):
            M[j, i] = 1.0 if i == j else 0.0
            M[3 + j, i] = -1.0 if i == j else 0.0
        r[j] = r[3 + j] = REACH_M
    for p in range(space.b.size):
        row = row_for(space.A, p, space.b[p] + 1e-7, space.floor, corners, desk.speed)
        M[6 + p, 0], M[6 + p, 1], M[6 + p, 2], r[6 + p] = row
    middle = (low + high) / 2
    for k in range(2):
        sign = 1.0 - 2.0 * k
        M[base - 2 + k, 0], M[base - 2 + k, 1], M[base - 2 + k, 2] = 0.0, sign, -1.0
        r[base - 2 + k] = -sign * middle
    shape = (corners, desk.face, desk.edges)
    clear_rows(space, shape, (desk.speed, 0.0, 0.0), desk.rows, desk.first)
    for a in range(desk.first[desk.first.size - 1]):
        desk.rows[a, 3] += 1e-7
    desk.aim[0], desk.aim[2] = toward, -0.01
    choices, wanted = (desk.rows, desk.first), (-np.inf, np.inf)
    value = search(M, r, base, choices, desk.aim, wanted, desk.work)
    return value > -np.inf, desk.work.x[0], desk.work.x[1]


def stand(space: Packed, shape: Shape, toward: float) -> tuple[bool, float, float]:
    """Return where a box stands: as far forwards as it goes, then nearest the middle.

    Parameters
    ----------
    shape : Shape
        The box and its air.
    toward : float
        1 for against the seat back, -1 for against the rear.

    Returns
    -------
    found : bool
    x, y : float
        Place of the reference point [m].
    """
    corners, face, edges = shape
    desk = desk_for(space, faces=len(face), edges=len(edges), bounds=8)
    own = desk._replace(
        corners=np.ascontiguousarray(corners),
        speed=np.zeros((len(corners) + 1, 3)),
        face=np.ascontiguousarray(face),
        edges=np.ascontiguousarray(edges),
    )
    found, x, y = find_place(space, toward, own)
    return bool(found), float(x), float(y)
