"""Every size of upright cuboid that goes into a load space, as a union of convex cells.

With one clear direction chosen for each keep-out, position and size of an upright cuboid
obey linear inequalities. Their shadow on the three sizes (width, height, depth as the
car has them) is a convex cell; a cuboid goes in exactly when some cell holds its size.
The cells depend on the space alone, so that 100,000 questions cost a few products each,
and the room left along each axis is exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.linear import EMPTY, EPS, greatest
from basswright.space.separation import cuboid_directions
from basswright.space.solids import Solid

#: Answers hold for sizes from this up [m].
THINNEST_M = 0.005
REACH_M = 8.0

_SHRINK = np.array([0.0, 0.0, -1.0, -1.0, -1.0])


@dataclass(frozen=True, kw_only=True, eq=False)
class Rows:
    """Inequalities ``move @ (tx, ty) + grow @ (dx, dy, dz) <= limit``, with their surface."""

    move: Floats
    grow: Floats
    limit: Floats
    surface: Ints
    tolerance: Floats

    def __len__(self) -> int:
        return len(self.limit)

    def take(self, index: Ints) -> Rows:
        """Return some of the rows."""
        return Rows(
            move=self.move[index],
            grow=self.grow[index],
            limit=self.limit[index],
            surface=self.surface[index],
            tolerance=self.tolerance[index],
        )


def _rows(normals: Floats, limits: Floats, surface: Ints, tolerance: Floats, floor: float) -> Rows:
    return Rows(
        move=normals[:, :2],
        grow=np.maximum(normals, 0.0),
        limit=limits - normals[:, 2] * floor,
        surface=surface,
        tolerance=tolerance,
    )


def envelope_rows(solid: Solid) -> Rows:
    """Return what the envelope asks of a cuboid that stands on the floor."""
    count = len(solid.b)
    rows = _rows(solid.A, solid.b, np.arange(count), solid.plane_tolerance_m, solid.floor_m)
    return rows.take(np.flatnonzero(np.abs(rows.move).max(1) + rows.grow.max(1) > 1e-9))


def keep_out_rows(solid: Solid) -> list[Rows]:
    """Return, per keep-out, the alternatives of which one has to hold."""
    found = []
    for index, keep_out in enumerate(solid.keep_outs):
        n = cuboid_directions(keep_out.body)
        support = (n @ keep_out.body.vertices.T).max(axis=1)
        count = len(n)
        rows = _rows(
            -n,
            -support,
            np.full(count, len(solid.b) + index),
            np.full(count, keep_out.tolerance_m),
            solid.floor_m,
        )
        moves = np.abs(rows.move).max(1) + rows.grow.max(1) > 1e-9
        found.append(rows.take(np.flatnonzero(moves | (rows.limit > -EPS))))
    return found


class _Walk:
    """Depth-first walk over the choices of one clear direction per keep-out."""

    def __init__(self, base: Rows, choices: list[Rows], thinnest_m: float) -> None:
        self.base, self.choices = base, choices
        self.matrix = np.zeros((10 + len(self.base) + len(self.choices), 5))
        self.right = np.zeros(len(self.matrix))
        self.matrix[:5], self.matrix[5:10] = np.eye(5), -np.eye(5)
        self.right[:10] = REACH_M
        self.right[7:10] = -thinnest_m
        self.fill = 10
        for row in range(len(self.base)):
            self.push(self.base, row)
        self.leaves: list[tuple[tuple[int, int], ...]] = []
        self.solved = 0

    def push(self, rows: Rows, row: int) -> None:
        self.matrix[self.fill, :2] = rows.move[row]
        self.matrix[self.fill, 2:] = rows.grow[row]
        self.right[self.fill] = rows.limit[row]
        self.fill += 1

    def most(self, c: Floats) -> tuple[int, float]:
        self.solved += 1
        status, value = greatest(self.matrix, self.right, self.fill, c)
        return int(status), float(value)

    def goes(self, rows: Rows, row: int) -> bool:
        self.push(rows, row)
        status, _ = self.most(_SHRINK)
        self.fill -= 1
        return status != EMPTY

    def implied(self, rows: Rows, row: int) -> bool:
        c = np.concatenate([rows.move[row], rows.grow[row]])
        status, value = self.most(c)
        return status == EMPTY or value <= rows.limit[row] + EPS

    def walk(self, chosen: tuple[tuple[int, int], ...], open_: dict[int, list[int]]) -> None:
        pending: dict[int, list[int]] = {}
        for index, options in open_.items():
            rows = self.choices[index]
            alive = [row for row in options if self.goes(rows, row)]
            if not alive:
                return
            if not any(self.implied(rows, row) for row in alive):
                pending[index] = alive
        if not pending:
            self.leaves.append(chosen)
            return
        for index, alive in pending.items():
            pending[index] = self.undominated(self.choices[index], alive)
        index = min(pending, key=lambda i: len(pending[i]))
        rest = {i: options for i, options in pending.items() if i != index}
        for row in pending[index]:
            self.push(self.choices[index], row)
            self.walk((*chosen, (index, row)), rest)
            self.fill -= 1

    def undominated(self, rows: Rows, alive: list[int]) -> list[int]:
        kept = list(alive)
        for row in alive:
            if len(kept) == 1:
                break
            self.push(rows, row)
            if any(self.implied(rows, other) for other in kept if other != row):
                kept.remove(row)
            self.fill -= 1
        return kept


def shadow(rows: Rows) -> tuple[Floats, Floats, Floats, Ints]:
    """Eliminate the position from inequalities: what is left to be asked of the size.

    Sums of rows with weights >= 0 in which the position drops out; at most three rows
    take part (extreme rays, Fourier and Motzkin).

    Returns
    -------
    grow, limit, tolerance, surfaces : ndarray, shape (f, 3), (f,), (f,), (f, 3)
        ``grow @ size <= limit``, how far the limit may be off, and which surfaces take
        part (-1 for none).
    """
    weights, members = [], []
    for i in range(len(rows)):
        if np.abs(rows.move[i]).max() < 1e-12:
            weights.append((1.0, 0.0, 0.0))
            members.append((i, i, i))
    still = [i for i in range(len(rows)) if np.abs(rows.move[i]).max() >= 1e-12]
    for i, j in combinations(still, 2):
        one, two = rows.move[i], rows.move[j]
        if abs(one[0] * two[1] - one[1] * two[0]) < 1e-10 and one @ two < 0:
            weights.append((1.0, float(np.linalg.norm(one) / np.linalg.norm(two)), 0.0))
            members.append((i, j, j))
    triples = np.array(list(combinations(still, 3)), dtype=np.int64).reshape(-1, 3)
    lam = _spanning(rows.move[triples])
    good = (lam > 1e-9).all(axis=1)
    weight = np.vstack([np.array(weights).reshape(-1, 3), lam[good]])
    member = np.vstack([np.array(members, dtype=np.int64).reshape(-1, 3), triples[good]])
    grow = (weight[..., None] * rows.grow[member]).sum(axis=1)
    limit = (weight * rows.limit[member]).sum(axis=1)
    tolerance = (weight * rows.tolerance[member]).sum(axis=1)
    surfaces = np.where(weight > 0, rows.surface[member], -1)
    keep = grow.sum(axis=1) > 1e-9
    return grow[keep], limit[keep], tolerance[keep], surfaces[keep]


def _spanning(moves: Floats) -> Floats:
    """Weights by which three plane vectors add up to nothing, shape (n, 3), largest 1."""
    a, b, c = moves[:, 0], moves[:, 1], moves[:, 2]
    lam = np.stack([_wedge(b, c), _wedge(c, a), _wedge(a, b)], axis=1)
    lam = lam * np.sign(lam.sum(axis=1, keepdims=True))
    return np.asarray(lam / np.maximum(np.abs(lam).max(axis=1, keepdims=True), 1e-12))


def _wedge(one: Floats, two: Floats) -> Floats:
    return np.asarray(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])


def _without_redundant(grow: Floats, limit: Floats, thinnest_m: float) -> Ints:
    """Return which facets of a cell count, over sizes from `thinnest_m`."""
    order = np.argsort(limit / grow.sum(axis=1))
    kept = list(order)
    for row in order[::-1]:
        others = [r for r in kept if r != row]
        matrix = np.vstack([np.eye(3), -np.eye(3), grow[others]])
        right = np.concatenate([np.full(3, 2 * REACH_M), np.full(3, -thinnest_m), limit[others]])
        status, value = greatest(matrix, right, len(right), grow[row])
        if status != EMPTY and value <= limit[row] + EPS:
            kept = others
    return np.array(sorted(kept), dtype=np.int64)


@dataclass(frozen=True, kw_only=True, eq=False)
class Cells:
    """Sizes of cuboid that go in: the union of cells ``grow @ size <= limit``.

    Attributes
    ----------
    grow : ndarray, shape (f, 3)
    limit, tolerance : ndarray, shape (f,)
        Right-hand side [m], and how far it may be off.
    surfaces : ndarray of int, shape (f, 3)
        Surfaces that a facet rests on; -1 for none.
    first : ndarray of int, shape (c + 1,)
        Facets of cell k are ``first[k]:first[k + 1]``.
    choices : tuple
        Per cell the clear direction of each keep-out that needed one.
    """

    grow: Floats
    limit: Floats
    tolerance: Floats
    surfaces: Ints
    first: Ints
    choices: tuple[tuple[tuple[int, int], ...], ...]


def cells_of(solid: Solid) -> Cells:
    """Work out the cells of a load space (see the module's text)."""
    return cells_for(envelope_rows(solid), keep_out_rows(solid))


def cells_for(base: Rows, choices: list[Rows], *, thinnest_m: float = THINNEST_M) -> Cells:
    """Work out the cells of rows that always hold, and of choices of one row each."""
    walk = _Walk(base, choices, thinnest_m)
    walk.walk((), {i: list(range(len(rows))) for i, rows in enumerate(walk.choices)})
    parts = []
    for leaf in walk.leaves:
        picked = [walk.choices[i].take(np.array([row])) for i, row in leaf]
        grow, limit, tolerance, surfaces = shadow(_joined([walk.base, *picked]))
        keep = _without_redundant(grow, limit, thinnest_m)
        parts.append((grow[keep], limit[keep], tolerance[keep], surfaces[keep]))
    alive = _undominated_cells([(part[0], part[1]) for part in parts], thinnest_m)
    parts = [parts[k] for k in alive]
    counts = [len(part[1]) for part in parts]
    return Cells(
        grow=np.vstack([part[0] for part in parts] or [np.zeros((0, 3))]),
        limit=np.concatenate([part[1] for part in parts] or [np.zeros(0)]),
        tolerance=np.concatenate([part[2] for part in parts] or [np.zeros(0)]),
        surfaces=np.vstack([part[3] for part in parts] or [np.zeros((0, 3), np.int64)]),
        first=np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
        choices=tuple(walk.leaves[k] for k in alive),
    )


def _joined(rows: list[Rows]) -> Rows:
    return Rows(
        move=np.vstack([r.move for r in rows]),
        grow=np.vstack([r.grow for r in rows]),
        limit=np.concatenate([r.limit for r in rows]),
        surface=np.concatenate([r.surface for r in rows]),
        tolerance=np.concatenate([r.tolerance for r in rows]),
    )


def _undominated_cells(cells: list[tuple[Floats, Floats]], thinnest_m: float) -> list[int]:
    """Drop cells that lie inside another one."""
    bounds = np.vstack([np.eye(3), -np.eye(3)])
    sides = np.concatenate([np.full(3, 2 * REACH_M), np.full(3, -thinnest_m)])
    full = [(np.vstack([bounds, g]), np.concatenate([sides, r])) for g, r in cells]
    kept = list(range(len(cells)))
    for inner in range(len(cells)):
        matrix, right = full[inner]
        for outer in kept:
            if outer == inner:
                continue
            grow, limit = cells[outer]
            if all(
                greatest(matrix, right, len(right), g)[1] <= lim + EPS
                for g, lim in zip(grow, limit, strict=True)
            ):
                kept.remove(inner)
                break
    return kept
