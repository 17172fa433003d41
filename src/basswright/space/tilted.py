"""Boxes that stand tilted: exact for cuboids by cells of their own.

In a frame that is tilted with it, a cuboid is an upright cuboid, and the load space is a
tilted one. What is left is where it stands: its lowest edge is on the floor. That fixes
one of the three coordinates as a sum of the other two and of the sizes, so that the
method of :mod:`basswright.space.cells` goes through. With the smaller cuboid standing on
the same edge, a cuboid inside one that goes in goes in, so a cell is once more a set of
upper limits.

The air on the sides of a tilted box is kept from the floor too: the box then rests on a
wedge or a brace, which a tilted box needs anyway.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.cells import Cells, Rows, cells_for
from basswright.space.polytope import Convex
from basswright.space.separation import cuboid_directions
from basswright.space.solids import LEAST_SIDE_M, Solid
from basswright.space.tilts import Tilt, tilts_of

_NOTHING = 1e-9


@dataclass(frozen=True, kw_only=True, eq=False)
class Tilted:
    """A load space and one tilt; the cells are worked out when first asked for."""

    solid: Solid
    tilt: Tilt

    @cached_property
    def cells(self) -> Cells:
        """Sizes of cuboid, along the tilted axes, that go in; none below `LEAST_SIDE_M`."""
        rows = tilted_rows(self.solid, self.tilt.turn)
        return cells_for(*rows, thinnest_m=LEAST_SIDE_M)

    @cached_property
    def most_m(self) -> Floats:
        """Sizes along the tilted axes that nothing larger than goes in, shape (3,) [m]."""
        cells = self.cells
        most = np.zeros(3)
        for first, last in pairwise(cells.first):
            grow, limit = cells.grow[first:last], cells.limit[first:last]
            spare = limit - LEAST_SIDE_M * grow.sum(axis=1)
            with np.errstate(divide="ignore"):
                reach = np.where(grow > _NOTHING, spare[:, None] / grow, np.inf).min(axis=0)
            most = np.maximum(most, LEAST_SIDE_M + reach)
        return most


def tilted_spaces(solid: Solid) -> tuple[Tilted, ...]:
    """Return the load space for each tilt that it suggests."""
    return tuple(Tilted(solid=solid, tilt=tilt) for tilt in tilts_of(solid))


def tilted_rows(solid: Solid, turn: Floats) -> tuple[Rows, list[Rows]]:
    """Return what envelope and keep-outs ask of a cuboid that stands tilted on the floor.

    With the floor's normal n in the tilted frame, a cuboid of sizes d with its low corner
    at t stands on the floor at height z0 when ``n.t + sum(max(n, 0) d) = -z0``; that
    gives the third coordinate of t.
    """
    down = -turn[2]
    floor = -solid.floor_m
    count = len(solid.b)
    base = _rows(solid.A @ turn, solid.b, (down, floor), np.arange(count), solid.plane_tolerance_m)
    says = np.abs(base.move).max(axis=1) + np.abs(base.grow).max(axis=1) > _NOTHING
    choices = []
    for index, keep_out in enumerate(solid.keep_outs):
        body = _turned(keep_out.body, turn)
        n = cuboid_directions(body)
        reach = (n @ body.vertices.T).max(axis=1)
        surface = np.full(len(n), count + index)
        tolerance = np.full(len(n), keep_out.tolerance_m)
        rows = _rows(-n, -reach, (down, floor), surface, tolerance)
        moves = np.abs(rows.move).max(axis=1) + np.abs(rows.grow).max(axis=1) > _NOTHING
        choices.append(rows.take(np.flatnonzero(moves | (rows.limit > -_NOTHING))))
    return base.take(np.flatnonzero(says)), choices


def _rows(
    normals: Floats, limits: Floats, floor: tuple[Floats, float], surface: Ints, tolerance: Floats
) -> Rows:
    down, offset = floor
    share = normals[:, 2] / down[2]
    return Rows(
        move=_zeroed(normals[:, :2] - share[:, None] * down[:2]),
        grow=_zeroed(np.maximum(normals, 0.0) - share[:, None] * np.maximum(down, 0.0)),
        limit=limits - share * offset,
        surface=surface,
        tolerance=tolerance,
    )


def _zeroed(values: Floats) -> Floats:
    """Take what is only rounding for nothing."""
    return np.where(np.abs(values) < 1e-12, 0.0, values)


def _turned(body: Convex, turn: Floats) -> Convex:
    """Return a body in the tilted frame."""
    return Convex(A=body.A @ turn, b=body.b, vertices=body.vertices @ turn, edges=body.edges)
