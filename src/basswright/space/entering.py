"""Getting a box in: straight through the opening to its place, or turned inside.

A way that is named here is proved: the hulls of the swept box are clear of everything.
Where none is proved, that is said, and it has to be tried by hand.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.quantities import millimetres
from basswright.space.arrays import Floats
from basswright.space.gaps import sum_normals
from basswright.space.openings import WAYS, spare
from basswright.space.orientations import Orientation
from basswright.space.polytope import Convex
from basswright.space.solids import Solid
from basswright.space.templates import hull_of

_NEAR = 1e-6
_ROUND = 24


@dataclass(frozen=True, kw_only=True)
class WayIn:
    """How a box gets to its place: the text, and whether every step of it is proved."""

    text: str
    proved: bool


def way_in(solid: Solid, parts: list[Floats], orientation: Orientation, size_m: Floats) -> WayIn:
    """Say how a placed box gets through the opening and to its place.

    Parameters
    ----------
    solid : Solid
    parts : list of ndarray, shape (v, 3)
        Corners of each convex part of the placed box [m].
    orientation : Orientation
        The way it stands there.
    size_m : ndarray, shape (3,)
        Own depth, width and height [m].

    Returns
    -------
    WayIn
    """
    straight = _straight(solid, parts)
    if straight:
        return WayIn(text=straight, proved=True)
    opening = solid.opening
    if size_m.min() > min(opening.width_m, opening.height_m) + _NEAR:
        return WayIn(text="cannot get in: every side is larger than the opening", proved=True)
    for first in sorted(range(3), key=lambda own: own != orientation.axis_of[0]):
        across, up = (own for own in range(3) if own != first)
        room, angle = spare(
            size_m[across : across + 1], size_m[up : up + 1], opening.width_m, opening.height_m
        )
        if room[0] < -_NEAR:
            continue
        turn = _turn(solid, orientation, size_m, first)
        tilt = "" if min(angle[0], 90 - angle[0]) < 0.05 else f", tilted by {angle[0]:.0f}°"
        if turn:
            return WayIn(text=f"{WAYS[first]}{tilt}, then {turn}", proved=True)
        return WayIn(
            text=f"{WAYS[first]}{tilt}; turning it inside has to be tried by hand",
            proved=False,
        )
    return WayIn(
        text="passes the opening in no way square to it; tilting it in has to be tried by hand",
        proved=False,
    )


def _straight(solid: Solid, parts: list[Floats]) -> str:
    """Return the words for a straight way in, as the box stands; empty where there is none."""
    opening, floor = solid.opening, solid.floor_m
    corners = np.vstack(parts)
    low, high = corners.min(axis=0), corners.max(axis=0)
    lift = max(floor + opening.sill_m - low[2], 0.0)
    half = opening.width_m / 2
    aside = max(low[1] * -1 - half, 0.0) - max(high[1] - half, 0.0)
    inside = low[1] + aside >= -half - _NEAR and high[1] + aside <= half + _NEAR
    if not inside or high[2] + lift > floor + opening.sill_m + opening.height_m + _NEAR:
        return ""
    back = np.array([solid.low[0] - high[0] - 0.05, 0.0, 0.0])
    up, side = np.array([0.0, 0.0, lift]), np.array([0.0, aside, 0.0])
    for moves in ((up, side, back), (side, up, back)):
        if all(_free(solid, part, moves) for part in parts):
            words = ["straight in as it stands"]
            if lift > _NEAR:
                words.append(f"lifted {millimetres(lift)} over the sill")
            if abs(aside) > _NEAR:
                way = "right" if aside > 0 else "left"
                words.append(f"then {millimetres(abs(aside))} to the {way}")
            return ", ".join(words)
    return ""


def _free(solid: Solid, corners: Floats, moves: tuple[Floats, ...]) -> bool:
    """Say whether a box can leave its place by straight moves, the last through the rear."""
    here = corners
    for number, move in enumerate(moves):
        there = here + move
        swept = np.vstack([here, there]) if np.abs(move).max() > _NEAR else here
        walls = solid.A[:, 0] > -0.3 if number == len(moves) - 1 else slice(None)
        if (swept @ solid.A[walls].T > solid.b[walls] + _NEAR).any():
            return False
        body = hull_of(swept)
        if any(_overlap(keep_out.body, body) for keep_out in solid.keep_outs):
            return False
        here = there
    return True


def _overlap(one: Convex, two: Convex) -> bool:
    normals = sum_normals(one, two)
    apart = (normals @ two.vertices.T).min(axis=1) - (normals @ one.vertices.T).max(axis=1)
    return bool(apart.max() < -_NEAR)


def _turn(solid: Solid, orientation: Orientation, size_m: Floats, first: int) -> str:
    """Return the words for a turn inside that is sure to have room; empty where none is."""
    if orientation.tilt is not None:
        return ""
    along, across, up = (float(size_m[own]) for own in orientation.axis_of)
    if first == orientation.axis_of[1]:
        angle = np.arange(_ROUND) * 2 * np.pi / _ROUND
        radius = np.hypot(along, across) / 2 / np.cos(np.pi / _ROUND)
        rim = np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
        disc = np.vstack([np.column_stack([rim, np.full(_ROUND, z)]) for z in (0.0, up)])
        return "turned a quarter on the floor" if _stands(solid, disc) else ""
    if first == orientation.axis_of[0]:
        tipped = (along, across + up, float(np.hypot(across, up)))
        return "tipped onto its side" if _room(solid, tipped) else ""
    tipped = (along + up, across, float(np.hypot(along, up)))
    return "tipped upright" if _room(solid, tipped) else ""


def _room(solid: Solid, size: tuple[float, float, float]) -> bool:
    from basswright.space.kernels import room

    cells = solid.cells
    sizes = np.array(size)[:, None]
    return bool(room(sizes, cells.grow, cells.limit, cells.first)[:3].min() >= -_NEAR)


def _stands(solid: Solid, corners: Floats) -> bool:
    """Say whether an upright prism finds a place on the floor."""
    from basswright.space.wedges import stand

    body = hull_of(corners)
    pairs = body.edges
    ends = body.vertices[pairs[:, 1]] - body.vertices[pairs[:, 0]]
    along = np.hstack(
        [
            ends / np.linalg.norm(ends, axis=1, keepdims=True),
            body.A[pairs[:, 2]],
            body.A[pairs[:, 3]],
        ]
    )
    shape = (np.ascontiguousarray(corners), body.A, along)
    return bool(stand(solid.packed, shape, 1.0)[0])
