"""What stays usable around a placed box: the cover above it, the spare wheel under it."""

from __future__ import annotations

import numpy as np

from basswright.quantities import millimetres
from basswright.records.verdict import Relief, Verdict
from basswright.space.arrays import Floats
from basswright.space.solids import Solid

COVERS = ("cover", "floor cover")
_TOUCH_M = 1e-6


def access_verdicts(solid: Solid, corners: Floats) -> tuple[Verdict, ...]:
    """Say whether the cover closes and the spare wheel can be reached, where they are known.

    Parameters
    ----------
    solid : Solid
    corners : ndarray, shape (n, 3)
        Corners of the placed box [m].

    Returns
    -------
    tuple of Verdict
        Rule "cover": air between box and cover. Rule "spare wheel": see
        :func:`spare_wheel`. Both in mm; a rule of which the readings know nothing is left
        out.
    """
    found = []
    for name, normal, offset, tolerance in zip(
        solid.surfaces, solid.A, solid.b, solid.plane_tolerance_m, strict=True
    ):
        if name in COVERS:
            room = float(offset - (corners @ normal).max())
            found.append(_verdict("cover", room, f"height under the {name}", float(tolerance)))
    wheel = spare_wheel(solid, (corners,))
    return (*found, wheel) if wheel is not None else tuple(found)


def spare_wheel(solid: Solid, parts: tuple[Floats, ...]) -> Verdict | None:
    """Say how far a box stays off the spare-wheel well, in plan.

    Parameters
    ----------
    solid : Solid
    parts : tuple of ndarray, shape (n, 3)
        Corners of each convex part of the placed box [m].

    Returns
    -------
    Verdict or None
        Distance in mm between the rim of the well and the nearest outline of a part,
        seen from above; negative by how far the box reaches over the rim. None where
        there is no well.
    """
    if solid.well is None:
        return None
    centre = np.array(solid.well.centre_m)
    off = min(_signed_distance(centre, part[:, :2]) for part in parts)
    return _verdict("spare wheel", off - solid.well.radius_m, "spare-wheel well", solid.tolerance_m)


def _signed_distance(point: Floats, plan: Floats) -> float:
    """Return how far a point lies outside the convex hull of others; negative inside it."""
    from scipy.spatial import ConvexHull

    ring = plan[ConvexHull(plan).vertices]  # counterclockwise
    sides = np.roll(ring, -1, axis=0) - ring
    own = point - ring
    along = np.clip((own * sides).sum(axis=1) / (sides**2).sum(axis=1), 0.0, 1.0)
    distance = float(np.hypot(*(own - along[:, None] * sides).T).min())
    inside = (sides[:, 0] * own[:, 1] - sides[:, 1] * own[:, 0] >= 0).all()
    return -distance if inside else distance


def _verdict(rule: str, room_m: float, limit: str, tolerance_m: float) -> Verdict:
    passes = room_m >= -_TOUCH_M
    sure = abs(room_m) > tolerance_m
    return Verdict(
        rule=rule,
        passes=passes,
        margin=0.0 if abs(room_m) < _TOUCH_M else room_m * 1000,
        unit="mm",
        limit=limit,
        relief=None if passes else Relief(what=limit, amount=-room_m * 1000, unit="mm"),
        certainty="sure" if sure else "too close to call",
        note="" if sure else f"within the tape's tolerance of {millimetres(tolerance_m)}",
    )
