"""Exact room for wedges: a compiled search per box and orientation.

What "room" means for a wedge, along the axis of the car on which a size lies:

* width: the box made wider or narrower;
* depth: both depths changed by the same amount, the slope kept;
* height: for more, a plinth as deep as the box's bottom; for less, the box cut at its
  foot, the slope kept.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from basswright.space.arrays import Floats, Ints
from basswright.space.cells import LEAST_SIDE_M, REACH_M
from basswright.space.obstacles import Packed, Shape, clear_rows, row_for
from basswright.space.search import best_choice

_EDGE_M = 0.005
_CLOSE = -1e-7
_SAME = 2e-7


@njit(cache=True, nogil=True)
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
    width, height, bottom, top = size
    slope = (bottom - top) / height
    lean = high[0] * np.sqrt(1.0 + slope * slope)
    y0, y1, z0, z1 = -low[1], width + high[1], -low[2], height + high[2]
    x0 = -low[0]
    xb = bottom + lean - slope * z0
    xt = max(bottom + lean - slope * z1, x0 + _EDGE_M)
    corners = np.array(
        [
            [x0, y0, z0],
            [x0, y1, z0],
            [xb, y0, z0],
            [xb, y1, z0],
            [x0, y0, z1],
            [x0, y1, z1],
            [xt, y0, z1],
            [xt, y1, z1],
        ]
    )
    return corners, (xb - xt) / (z1 - z0)


@njit(cache=True, nogil=True)
def leaning(slope: float, turn: Floats) -> tuple[Floats, Floats]:
    """Return normal and edges of a wedge's leaning face in the car.

    Returns
    -------
    face : ndarray, shape (1, 3)
    edges : ndarray, shape (2, 9)
        Direction of each slanting edge, normal of the leaning face, normal of the end.
    """
    size = np.sqrt(1.0 + slope * slope)
    own = np.array(
        [[1.0 / size, 0.0, slope / size], [-slope / size, 0.0, 1.0 / size], [0.0, 1.0, 0.0]]
    )
    turned = own @ turn.T
    edges = np.empty((2, 9))
    for k in range(2):
        edges[k, :3], edges[k, 3:6] = turned[1], turned[0]
        edges[k, 6:] = turned[2] if k == 0 else -turned[2]
    return turned[:1].copy(), edges


@njit(cache=True, nogil=True)
def _own_speed(own_axis: int, slope: float) -> Floats:
    speed = np.zeros((8, 3))
    if own_axis == 0:
        speed[2, 0] = speed[3, 0] = speed[6, 0] = speed[7, 0] = 1.0
    elif own_axis == 1:
        speed[1, 1] = speed[3, 1] = speed[5, 1] = speed[7, 1] = 1.0
    else:
        speed[4:, 2] = 1.0
        speed[2, 0] = speed[3, 0] = slope
    return speed


@njit(cache=True, nogil=True)
def _standing(corners: Floats, turn: Floats) -> Floats:
    turned = corners @ turn.T
    for axis in range(3):
        turned[:, axis] -= turned[:, axis].min()
    return turned


@njit(cache=True, nogil=True)
def _turned_speed(own_axis: int, slope: float, turn: Floats, axis: int, standing: Floats) -> Floats:
    speed = _own_speed(own_axis, slope) @ turn.T
    low = np.inf
    for v in range(8):
        if standing[v, axis] < 1e-9:
            low = min(low, speed[v, axis])
    speed[:, axis] -= low
    return speed


@njit(cache=True, nogil=True)
def solve_room(
    space: Packed,
    shape: Shape,
    speed: Floats,
    axis: int,
    span: tuple[float, float],
    floor: float,
) -> tuple[float, Floats, Ints]:
    """Return how far a box can grow, with multipliers and active rows.

    Active rows: 0 to 5 bounds, then the envelope's planes, then -1 - k for keep-out k.
    """
    count = space.first.size - 1
    base = 6 + space.b.size
    M = np.zeros((base + count, 3))
    r = np.empty(base + count)
    for j in range(3):
        M[j, j], M[3 + j, j] = 1.0, -1.0
        r[j] = r[3 + j] = REACH_M
    r[2], r[5] = span[1], -span[0]
    for p in range(space.b.size):
        row = row_for(space.A[p], space.b[p], space.floor, shape[0], speed, axis)
        M[6 + p, 0], M[6 + p, 1], M[6 + p, 2], r[6 + p] = row
    rows, first = clear_rows(space, shape, speed, axis, span)
    c = np.array([0.0, 0.0, 1.0])
    value, _, y, active = best_choice(M, r, base, (rows, first), c, floor)
    for j in range(3):
        if active[j] >= base:
            active[j] = -np.searchsorted(first, active[j] - base, side="right")
    return value, y, active


@njit(cache=True, nogil=True)
def _least_changes(standing: Floats, corners: Floats, axis_of: Ints) -> Floats:
    """Return how far each size may shrink before nothing of it is left, as changes <= 0."""
    least = np.empty(3)
    for axis in range(3):
        least[axis] = LEAST_SIDE_M - standing[:, axis].max()
        if axis_of[axis] == 0:
            least[axis] = _EDGE_M - (corners[6, 0] - corners[4, 0])
        least[axis] = min(least[axis], 0.0)
    return least


@njit(cache=True, nogil=True)
def wedge_room(
    space: Packed,
    shape: tuple[Floats, float],
    turn: Floats,
    axis_of: Ints,
    bracket: tuple[Floats, Floats],
    best: float,
) -> tuple[float, int, Floats, Ints]:
    """Return the room of one wedge in one orientation.

    Parameters
    ----------
    shape : tuple
        Corners and slope, as of :func:`wedge_corners`.
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
    multipliers, rows : ndarray, shape (3,)
        As of :func:`solve_room`; multipliers are 0 where a cuboid gave the answer.
    """
    corners, slope = shape
    inner, outer = bracket
    standing = _standing(corners, turn)
    face, edge = leaning(slope, turn)
    box = (standing, face, edge)
    least = _least_changes(standing, corners, axis_of)
    lead = 0 if axis_of[0] != 2 else 1
    answer, answer_axis = -np.inf, -1
    answer_y, answer_rows = np.zeros(3), np.full(3, -1, np.int64)
    goes = outer.min() >= _CLOSE
    settled = goes or inner.min() < _CLOSE
    for step in range(3):
        axis = (lead + step) % 3
        speed = _turned_speed(axis_of[axis], slope, turn, axis, standing)
        floor = outer[axis] - _SAME if settled else -np.inf
        value, y, rows = outer[axis], np.zeros(3), np.full(3, -1, np.int64)
        if settled and (inner[axis] - outer[axis] < _SAME or inner[axis] == -np.inf):
            value = outer[axis]
        elif step == 0 and not settled:
            span = (least[axis], REACH_M)
            value, y, rows = solve_room(space, box, speed, -1, span, floor)
            goes, settled = value >= _CLOSE, True
        elif goes:
            span = (0.0, REACH_M)
            value, y, rows = solve_room(space, box, speed, axis, span, max(floor, -1.0))
        else:
            span = (least[axis], 0.0)
            value, y, rows = solve_room(space, box, speed, -1, span, max(floor, best, answer))
        if answer_axis < 0 or (value < answer if goes else value > answer):
            answer, answer_axis, answer_y, answer_rows = value, axis, y, rows
        if goes and answer <= best:
            return -np.inf, answer_axis, answer_y, answer_rows
    if answer == -np.inf and best < -LEAST_SIDE_M:
        speed = np.zeros((8, 3))
        for axis in range(3):
            speed += _turned_speed(axis_of[axis], slope, turn, axis, standing)
        span = (least.max(), 0.0)
        answer, answer_y, answer_rows = solve_room(space, box, speed, -1, span, best)
        answer_axis = 3
    return answer, answer_axis, answer_y, answer_rows


@njit(cache=True, nogil=True)
def wedge_rooms(
    space: Packed,
    size: Floats,
    air: tuple[Floats, Floats],
    ways: tuple[Floats, Ints, Ints],
    brackets: tuple[Floats, Floats, Floats, Floats, Ints],
    enough: float,
) -> tuple[Floats, Ints, Ints, Floats, Ints]:
    """Return the room of n wedges in the best of their orientations.

    Parameters
    ----------
    size : ndarray, shape (n, 4)
    air : two ndarrays, shape (o, n, 3)
        Air at the low and high side of each own axis.
    ways : tuple of ndarray
        Turns (o, 3, 3), own axis along each axis of the car (o, 3), rank (o,).
    brackets : tuple of ndarray
        Room of the inscribed and of the bounding cuboid along each axis, (n, o, 3) each;
        their margins (n, o): the wedge has no more than the one and no less than the
        other; and the axis of the latter.
    enough : float
        With so much room in one rank of orientations, the next rank is not looked at.

    Returns
    -------
    room, axis, orientation, multipliers, rows
        One row a box. All multipliers are 0 where the bounding cuboid gives the answer.
    """
    count = size.shape[0]
    turns, axis_of, ranks = ways
    inner, outer, bound, sure, sure_axis = brackets
    room = np.full(count, -np.inf)
    axis = np.full(count, 3, np.int64)
    way = np.zeros(count, np.int64)
    multipliers = np.zeros((count, 3))
    rows = np.full((count, 3), -1, np.int64)
    for n in range(count):
        order = np.argsort(-bound[n], kind="mergesort")
        for rank in range(4):
            for o in order:
                if ranks[o] == rank and sure[n, o] > room[n]:
                    room[n], axis[n], way[n] = sure[n, o], sure_axis[n, o], o
                    multipliers[n] = 0.0
            for o in order:
                if ranks[o] != rank or bound[n, o] <= room[n] + _SAME:
                    continue
                shape = wedge_corners(size[n], air[0][o, n], air[1][o, n])
                bracket = (inner[n, o], outer[n, o])
                found = wedge_room(space, shape, turns[o], axis_of[o], bracket, room[n])
                if found[0] > room[n]:
                    room[n], axis[n], way[n] = found[0], found[1], o
                    multipliers[n], rows[n] = found[2], found[3]
            if room[n] > enough:
                break
    return room, axis, way, multipliers, rows


@njit(cache=True, nogil=True)
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
    corners = shape[0]
    count = space.first.size - 1
    base = 8 + space.b.size
    M = np.zeros((base + count, 3))
    r = np.empty(base + count)
    for j in range(3):
        M[j, j], M[3 + j, j] = 1.0, -1.0
        r[j] = r[3 + j] = REACH_M
    still = np.zeros_like(corners)
    for p in range(space.b.size):
        row = row_for(space.A[p], space.b[p] + 1e-7, space.floor, corners, still, -1)
        M[6 + p, 0], M[6 + p, 1], M[6 + p, 2], r[6 + p] = row
    middle = (corners[:, 1].min() + corners[:, 1].max()) / 2
    M[base - 2, 1], M[base - 2, 2], r[base - 2] = 1.0, -1.0, -middle
    M[base - 1, 1], M[base - 1, 2], r[base - 1] = -1.0, -1.0, middle
    rows, first = clear_rows(space, shape, still, -1, (0.0, 0.0))
    rows[:, 3] += 1e-7
    c = np.array([toward, 0.0, -0.01])
    value, x, _, _ = best_choice(M, r, base, (rows, first), c, -np.inf)
    return value > -np.inf, x[0], x[1]
