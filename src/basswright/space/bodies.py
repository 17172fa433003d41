"""Bodies of any shape, as unions of convex parts: cylinders, L shapes, amplifier housings.

The same exact search as for boxes: every part has to be clear of every keep-out.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.space.arrays import Floats, Ints
from basswright.space.polytope import Convex
from basswright.space.solids import Solid
from basswright.space.templates import hull_of

_REACH_M = 8.0
_SLACK = 1e-7


@dataclass(frozen=True, kw_only=True)
class Standing:
    """Where a body stands: the shift of its parts along x, y and z [m]."""

    shift_m: tuple[float, float, float]


def cylinder(diameter_m: float, height_m: float, *, sides: int = 24) -> Convex:
    """Return an upright cylinder round the origin, as a prism that contains it."""
    angle = 2 * np.pi * np.arange(sides) / sides
    radius = diameter_m / 2 / np.cos(np.pi / sides)
    rim = radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return hull_of(np.vstack([np.column_stack([rim, np.full(sides, z)]) for z in (0.0, height_m)]))


def stand_body(solid: Solid, parts: list[Convex], *, toward: str = "front") -> Standing | None:
    """Find the best place for a body that keeps its turn and stands on the floor.

    Parameters
    ----------
    solid : Solid
    parts : list of Convex
        In one frame of their own, with the air that each wants; together they may be
        anything but convex.
    toward : str
        "front" for as far forwards as it goes, "rear" for as far back; then nearest to
        the middle.

    Returns
    -------
    Standing or None
        None where there is no place: the search is exact.
    """
    from basswright.space.search import best_choice

    lowest = min(float(part.vertices[:, 2].min()) for part in parts)
    lift = np.array([0.0, 0.0, solid.floor_m - lowest])
    corners = [part.vertices + lift for part in parts]
    middle = np.vstack(corners)[:, 1]
    wanted = (middle.min() + middle.max()) / 2
    rows = [*np.vstack([np.eye(3), -np.eye(3)])]
    limits = [_REACH_M] * 6
    for normal, offset in zip(solid.A, solid.b, strict=True):
        rows.append(np.array([normal[0], normal[1], 0.0]))
        limits.append(offset + _SLACK - max(float((c @ normal).max()) for c in corners))
    rows += [np.array([0.0, 1.0, -1.0]), np.array([0.0, -1.0, -1.0])]
    limits += [-wanted, wanted]
    choices = _alternatives(solid, parts, corners)
    base, spare = len(rows), len(choices[1]) - 1
    M, r = np.zeros((base + spare, 3)), np.zeros(base + spare)
    M[:base], r[:base] = np.array(rows), limits
    way = np.array([1.0 if toward == "front" else -1.0, 0.0, -0.01])
    value, x, _, _ = best_choice(M, r, base, choices, way, -np.inf)
    if value == -np.inf:
        return None
    return Standing(shift_m=(float(x[0]), float(x[1]), float(lift[2])))


def _alternatives(solid: Solid, parts: list[Convex], corners: list[Floats]) -> tuple[Floats, Ints]:
    from basswright.space.gaps import sum_normals

    blocks, counts = [np.zeros((0, 4))], [0]
    for keep_out in solid.keep_outs:
        for part, points in zip(parts, corners, strict=True):
            normals = sum_normals(keep_out.body, part)
            reach = (normals @ keep_out.body.vertices.T).max(axis=1)
            low = (normals @ points.T).min(axis=1)
            rows = np.column_stack([-normals[:, :2], np.zeros(len(normals)), low - reach + _SLACK])
            useful = (np.abs(rows[:, :2]).max(axis=1) > 1e-12) | (rows[:, 3] >= 0)
            blocks.append(rows[useful])
            counts.append(int(useful.sum()))
    return np.ascontiguousarray(np.vstack(blocks)), np.cumsum(counts).astype(np.int64)
