"""Bodies of any shape and turn, as unions of convex parts: where they go, exactly.

A body keeps clear of a keep-out when each of its parts does, and it stays inside the
envelope when each of its parts does. So a union asks for one clear direction per part
and keep-out, and the search of :mod:`basswright.space.search` stays what it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.cells import REACH_M
from basswright.space.compiled import compiled
from basswright.space.linear import EPS, OPTIMAL, greatest
from basswright.space.obstacles import Packed, Shape, clear_rows, rows_needed
from basswright.space.search import best_choice
from basswright.space.solids import Solid

_SLACK = 1e-7
_NOTHING = 1e-9

_BOUNDS: Floats = np.vstack([np.eye(3), -np.eye(3)])

_Choices = tuple[Floats, Ints]


def growth(
    solid: Solid, parts: Sequence[Shape], axis: int, *, least_m: float = 0.0
) -> tuple[float, Floats, Ints]:
    """Return how far a body could be made thicker along one axis of the car.

    Parameters
    ----------
    solid : Solid
    parts : sequence of Shape
        In their turn, about one reference point; their lowest corner has height 0 and
        stands on the floor.
    axis : int
        0, 1, 2 along the car.
    least_m : float
        A smaller answer is not wanted.

    Returns
    -------
    room : float
        In metres; -inf where the body does not go in, or not with `least_m`.
    multipliers, surfaces : ndarray, shape (3,)
        How much of each surface that decides counts; -1 for none.
    """
    rows, limits = _envelope(solid, parts)
    rate = np.maximum(solid.A[:, axis], 0.0)
    base = 6 + len(limits)
    ends = np.array([REACH_M, REACH_M, REACH_M, REACH_M, REACH_M, -least_m])
    along = np.eye(3)[axis]
    found = [_clear(solid, _with_sides(part, axis), along, least_m, REACH_M) for part in parts]
    choices, owner = _joined(found)
    count = len(choices[1]) - 1
    M, r = np.zeros((base + count, 3)), np.zeros(base + count)
    M[:base] = np.vstack([_BOUNDS, np.column_stack([rows, rate])])
    r[:base] = np.concatenate([ends, limits + _SLACK])
    value, _, y, active = best_choice(M, r, base, choices, np.array([0.0, 0.0, 1.0]), -np.inf)
    return value, y, _surfaces(len(solid.b), base, (choices[1], owner), active, y)


def spot(solid: Solid, parts: Sequence[Shape], *, toward: str) -> tuple[float, float] | None:
    """Return where a body stands: as far one way as it goes, then nearest the middle.

    Parameters
    ----------
    toward : str
        "front" or "rear".

    Returns
    -------
    tuple of float or None
        Place of the reference point (x, y) [m]; None where the body does not go in.
    """
    every = np.vstack([part[0] for part in parts])
    middle = (every[:, 1].min() + every[:, 1].max()) / 2
    rows, limits = _envelope(solid, parts)
    found = [_clear(solid, part, np.zeros(3), 0.0, 0.0) for part in parts]
    (choices, first), _ = _joined(found)
    choices[:, 3] += _SLACK
    base, count = 8 + len(limits), len(first) - 1
    M, r = np.zeros((base + count, 3)), np.full(base + count, REACH_M)
    aside = np.array([[0.0, 1.0, -1.0], [0.0, -1.0, -1.0]])
    planes = np.column_stack([rows, np.zeros(len(rows))])
    M[:base] = np.vstack([_BOUNDS, planes, aside])
    r[6:base] = np.concatenate([limits + _SLACK, [-middle, middle]])
    way = np.array([1.0 if toward == "front" else -1.0, 0.0, -0.01])
    value, x, _, _ = best_choice(M, r, base, (choices, first), way, -np.inf)
    return None if value == -np.inf else (float(x[0]), float(x[1]))


@compiled
def clear_of(
    space: Packed, shape: Shape, growth: tuple[Floats, float, float], rows: Floats, every: Ints
) -> tuple[Floats, Ints]:
    """Return the ways for one part to be clear of each keep-out, none of them idle.

    A keep-out forbids the places at which none of its rows holds: an intersection of
    half-spaces, of which only those that carry a facet count. A round part has dozens
    of rows, of which few do.

    Parameters
    ----------
    growth : tuple
        As of :func:`basswright.space.obstacles.clear_rows`.
    rows, every : ndarray
        Room for all rows, and for where those of each keep-out begin.

    Returns
    -------
    rows : ndarray, shape (n, 4)
        ``a.x <= a[3]`` in place and growth.
    first : ndarray of int, shape (k + 1,)
    """
    clear_rows(space, shape, growth, rows, every)
    kept = np.empty_like(rows)
    first = np.zeros_like(every)
    fill, most = 0, 0
    for k in range(every.size - 1):
        most = max(most, every[k + 1] - every[k])
    M, r, aim = np.zeros((6 + most, 3)), np.zeros(6 + most), np.zeros(3)
    for j in range(3):
        M[j, j], M[3 + j, j], r[j], r[3 + j] = 1.0, -1.0, REACH_M, REACH_M
    r[2], r[5] = growth[2], -growth[1]
    for k in range(every.size - 1):
        last = 6
        for a in range(every[k], every[k + 1]):
            for j in range(3):
                M[last, j] = -rows[a, j]
            r[last] = -rows[a, 3] - _SLACK  # what only touches is not forbidden
            last += 1
        a = 6
        while a < last:
            limit = r[a]
            last -= 1
            for j in range(3):
                aim[j], M[a, j] = M[a, j], M[last, j]
            r[a] = r[last]
            status, value = greatest(M, r, last, aim)
            if status == OPTIMAL and value > limit + EPS:
                for j in range(3):
                    M[last, j], M[a, j] = M[a, j], aim[j]
                r[last], r[a] = r[a], limit
                last += 1
                a += 1
        for a in range(6, last):
            for j in range(3):
                kept[fill, j] = -M[a, j]
            kept[fill, 3] = -r[a] - _SLACK
            fill += 1
        first[k + 1] = fill
    return kept[:fill].copy(), first


def _clear(solid: Solid, part: Shape, along: Floats, least_m: float, most_m: float) -> _Choices:
    """Return the ways for a part to be clear that grows by a segment `along` (3,)."""
    corners, faces, edges = part
    space = solid.packed_for_any
    speed = np.zeros((len(corners) + 1, 3))
    speed[-1] = along
    rows = np.zeros((rows_needed(space, len(faces), len(edges)), 4))
    first = np.zeros(space.first.size, np.int64)
    return clear_of(space, part, (speed, least_m, most_m), rows, first)


def _envelope(solid: Solid, parts: Sequence[Shape]) -> tuple[Floats, Floats]:
    reach = np.max([(part[0] @ solid.A.T).max(axis=0) for part in parts], axis=0)
    return solid.A[:, :2], solid.b - solid.A[:, 2] * solid.floor_m - reach


def _with_sides(part: Shape, axis: int) -> Shape:
    """Add the faces that a part gains when it is made thicker along an axis."""
    corners, faces, edges = part
    sides = np.zeros((len(edges), 3))
    after, last = (axis + 1) % 3, (axis + 2) % 3
    sides[:, after], sides[:, last] = edges[:, last], -edges[:, after]
    size = np.linalg.norm(sides, axis=1)
    sides = sides[size > _NOTHING] / size[size > _NOTHING, None]
    return corners, np.ascontiguousarray(np.vstack([faces, sides, -sides])), edges


def _joined(found: Sequence[tuple[Floats, Ints]]) -> tuple[tuple[Floats, Ints], Ints]:
    """Put the choices of all parts behind one another, with the keep-out that each is of."""
    rows = np.ascontiguousarray(np.vstack([part for part, _ in found]))
    starts, owner, base = [np.zeros(1, np.int64)], [], 0
    for part, first in found:
        starts.append(first[1:] + base)
        owner.append(np.arange(len(first) - 1))
        base += len(part)
    return (rows, np.concatenate(starts)), np.concatenate(owner)


def _surfaces(
    planes: int, base: int, choices: tuple[Ints, Ints], active: Ints, multipliers: Floats
) -> Ints:
    first, owner = choices
    found = np.full(3, -1, np.int64)
    for j, row in enumerate(active):
        if multipliers[j] <= _NOTHING:
            continue
        if row >= base:
            found[j] = planes + owner[np.searchsorted(first, row - base, side="right") - 1]
        elif row >= 6:
            found[j] = row - 6
    return found


def balances(solid: Solid) -> Floats:
    """Return the sums of envelope planes in which the place of a body drops out.

    Returns
    -------
    ndarray, shape (k, m)
        Weights >= 0. A body goes into the envelope, keep-outs left aside, exactly when
        no such sum of its spare room towards the planes is negative (Farkas' lemma).
    """
    moves = solid.A[:, :2]
    found = [np.eye(len(moves))[np.abs(moves).max(axis=1) < _NOTHING]]
    acting = np.flatnonzero(np.abs(moves).max(axis=1) >= _NOTHING)
    for members in [*combinations(acting, 2), *combinations(acting, 3)]:
        own = moves[list(members)]
        if len(members) == 2 and abs(np.linalg.det(own)) > _NOTHING:
            continue
        lam = _balanced(own)
        if lam is not None:
            row = np.zeros(len(moves))
            row[list(members)] = lam
            found.append(row[None])
    return np.vstack(found)


def _balanced(moves: Floats) -> Floats | None:
    if len(moves) == 2:
        size = np.linalg.norm(moves, axis=1)
        return np.array([1.0, size[0] / size[1]]) if moves[0] @ moves[1] < 0 else None
    a, b, c = moves
    lam = np.array([_turn(b, c), _turn(c, a), _turn(a, b)])
    lam = lam * np.sign(lam.sum())
    return lam / lam.max() if lam.min() > _NOTHING else None


def _turn(one: Floats, two: Floats) -> float:
    return float(one[0] * two[1] - one[1] * two[0])


def envelope_takes(solid: Solid, corners: Floats) -> Bools:
    """Say which bodies go into the envelope, keep-outs left aside.

    Parameters
    ----------
    corners : ndarray, shape (n, v, 3)
        Corners of n bodies, the lowest of each at height 0.

    Returns
    -------
    ndarray of bool, shape (n,)
    """
    reach = (corners @ solid.A.T).max(axis=1)
    spare = solid.b - solid.A[:, 2] * solid.floor_m - reach
    return np.asarray((spare @ solid.balances.T >= -_SLACK).all(axis=1))
