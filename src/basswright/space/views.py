"""Looking at solids from above, from the side and from behind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.space.arrays import Floats
from basswright.space.polytope import Convex
from basswright.space.svg import Spot


@dataclass(frozen=True, kw_only=True, eq=False)
class View:
    """A way to look at the car: which of its directions run right and up on paper."""

    name: str
    title: str
    right: Floats
    up: Floats

    @property
    def toward(self) -> Floats:
        """Direction towards the eye."""
        return np.cross(self.right, self.up)

    def flat(self, points: Floats) -> Floats:
        """Return points as (right, down), in metres, shape (n, 2)."""
        return np.stack([points @ self.right, -(points @ self.up)], axis=-1)


_X, _Y, _Z = np.eye(3)
PLAN = View(name="plan", title="Plan, from above", right=-_X, up=-_Y)
SIDE = View(name="side", title="Side, from the left", right=-_X, up=_Z)
REAR = View(name="rear", title="Rear, from behind", right=-_Y, up=_Z)
VIEWS = (PLAN, SIDE, REAR)


def outline(points: Floats) -> Floats:
    """Return the convex outline of plane points in order, shape (k, 2)."""
    order = np.lexsort((points[:, 1], points[:, 0]))
    ring: list[Floats] = []
    for sequence in (order, order[::-1]):
        chain: list[Floats] = []
        for point in points[sequence]:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], point) <= 1e-12:
                chain.pop()
            chain.append(point)
        ring += chain[:-1]
    return np.array(ring)


def _turn(a: Floats, b: Floats, c: Floats) -> float:
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def clipped(ring: Floats, window: Floats) -> Floats:
    """Return the part of a convex ring that lies inside a convex window, shape (k, 2)."""
    for start, end in zip(window, np.roll(window, -1, axis=0), strict=True):
        if not len(ring):
            break
        side = np.array([_turn(start, end, point) for point in ring])
        kept: list[Floats] = []
        for i in range(len(ring)):
            j = (i + 1) % len(ring)
            if side[i] >= 0:
                kept.append(ring[i])
            if side[i] * side[j] < 0:
                share = side[i] / (side[i] - side[j])
                kept.append(ring[i] + share * (ring[j] - ring[i]))
        ring = np.array(kept).reshape(-1, 2)
    return ring


def edges_seen(body: Convex, view: View) -> list[tuple[Floats, Floats, bool]]:
    """Return the edges of a body as two plane points, and whether the eye sees them."""
    flat = view.flat(body.vertices)
    faces = body.A @ view.toward > 1e-9
    return [
        (flat[i], flat[j], bool(faces[first] or faces[second]))
        for i, j, first, second in body.edges
    ]


def spots(points: Floats, scale: float) -> list[Spot]:
    """Return plane points in metres as spots on paper in millimetres."""
    return [(float(x) * scale, float(y) * scale) for x, y in points]
