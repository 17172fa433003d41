"""Bodies of any shape and turn, as unions of convex parts: where they go, exactly.

A body keeps clear of a keep-out when each of its parts does, and it stays inside the
envelope when each of its parts does. So a union asks for one clear direction per part
and keep-out, and the search of :mod:`basswright.space.search` stays what it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numba import njit

from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.cells import REACH_M
from basswright.space.linear import EPS, OPTIMAL, greatest
from basswright.space.obstacles import Shape, clear_rows
from basswright.space.search import best_choice
from basswright.space.solids import Solid

_SLACK = 1e-7
_NOTHING = 1e-9


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
    still = [np.zeros_like(part[0]) for part in parts]
    span = (least_m, REACH_M)
    rows, limits = _envelope(solid, parts)
    rate = np.maximum(solid.A[:, axis], 0.0)
    base = 6 + len(limits)
    bounds = np.vstack([np.eye(3), -np.eye(3)])
    ends = np.array([REACH_M, REACH_M, REACH_M, REACH_M, REACH_M, -least_m])
    found = [
        pruned(*clear_rows(solid.packed_for_any, _with_sides(part, axis), speed, axis, span), *span)
        for part, speed in zip(parts, still, strict=True)
    ]
    choices, owner = _joined(found)
    count = len(choices[1]) - 1
    M, r = np.zeros((base + count, 3)), np.zeros(base + count)
    M[:base] = np.vstack([bounds, np.column_stack([rows, rate])])
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
    found = [
        pruned(
            *clear_rows(solid.packed_for_any, part, np.zeros_like(part[0]), -1, (0.0, 0.0)),
            0.0,
            0.0,
        )
        for part in parts
    ]
    (choices, first), _ = _joined(found)
    choices[:, 3] += _SLACK
    base, count = 8 + len(limits), len(first) - 1
    M, r = np.zeros((base + count, 3)), np.full(base + count, REACH_M)
    aside = np.array([[0.0, 1.0, -1.0], [0.0, -1.0, -1.0]])
    planes = np.column_stack([rows, np.zeros(len(rows))])
    M[:base] = np.vstack([np.eye(3), -np.eye(3), planes, aside])
    r[6:base] = np.concatenate([limits + _SLACK, [-middle, middle]])
    way = np.array([1.0 if toward == "front" else -1.0, 0.0, -0.01])
    value, x, _, _ = best_choice(M, r, base, (choices, first), way, -np.inf)
    return None if value == -np.inf else (float(x[0]), float(x[1]))


@njit(cache=True, nogil=True)
def pruned(rows: Floats, first: Ints, low: float, high: float) -> tuple[Floats, Ints]:
    """Leave out the ways to be clear of a keep-out that others always serve for.

    A keep-out forbids the places at which none of its rows holds: an intersection of
    half-spaces, of which only those that carry a facet count. A round part has dozens
    of rows, of which few do.

    Parameters
    ----------
    rows : ndarray, shape (n, 4)
        ``a.x <= a[3]`` in place and growth.
    first : ndarray of int, shape (k + 1,)
    low, high : float
        Least and greatest growth.
    """
    kept = np.empty_like(rows)
    starts = np.zeros_like(first)
    fill = 0
    ends = np.array([REACH_M, REACH_M, high, REACH_M, REACH_M, -low])
    for k in range(first.size - 1):
        count = first[k + 1] - first[k]
        M = np.zeros((6 + count, 3))
        r = np.empty(6 + count)
        for j in range(3):
            M[j, j], M[3 + j, j] = 1.0, -1.0
        r[:6] = ends
        last = 6 + count
        for a in range(count):
            M[6 + a], r[6 + a] = -rows[first[k] + a, :3], -rows[first[k] + a, 3]
        a = 6
        while a < last:
            row, limit = M[a].copy(), r[a]
            M[a], r[a] = M[last - 1], r[last - 1]
            status, value = greatest(M, r, last - 1, row)
            if status == OPTIMAL and value > limit + EPS:
                M[last - 1], r[last - 1] = M[a], r[a]
                M[a], r[a] = row, limit
                a += 1
            else:
                last -= 1
        for a in range(6, last):
            kept[fill, :3], kept[fill, 3] = -M[a], -r[a]
            fill += 1
        starts[k + 1] = fill
    return kept[:fill].copy(), starts


def _envelope(solid: Solid, parts: Sequence[Shape]) -> tuple[Floats, Floats]:
    reach = np.max([(part[0] @ solid.A.T).max(axis=0) for part in parts], axis=0)
    return solid.A[:, :2], solid.b - solid.A[:, 2] * solid.floor_m - reach


def _with_sides(part: Shape, axis: int) -> Shape:
    """Add the faces that a part gains when it is made thicker along an axis."""
    corners, faces, edges = part
    sides = np.cross(edges[:, :3], np.eye(3)[axis])
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
