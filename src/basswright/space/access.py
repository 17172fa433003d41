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
        Rule "cover": air between box and cover. Rule "spare wheel": how far the foot of
        the box, as a rectangle square to the car, stays off the well, in plan. Both in
        mm; a rule of which the readings know nothing is left out.
    """
    found = []
    for name, normal, offset, tolerance in zip(
        solid.surfaces, solid.A, solid.b, solid.plane_tolerance_m, strict=True
    ):
        if name in COVERS:
            room = float(offset - (corners @ normal).max())
            found.append(_verdict("cover", room, f"height under the {name}", float(tolerance)))
    if solid.well is not None:
        plan = corners[:, :2]
        centre = np.array(solid.well.centre_m)
        off = _signed_distance(centre, plan.min(axis=0), plan.max(axis=0))
        room = off - solid.well.radius_m
        found.append(_verdict("spare wheel", room, "spare-wheel well", solid.tolerance_m))
    return tuple(found)


def _signed_distance(point: Floats, low: Floats, high: Floats) -> float:
    """Return how far a point lies outside a rectangle; negative inside it."""
    over = np.maximum(low - point, point - high)
    return float(np.hypot(*np.maximum(over, 0.0)) + min(over.max(), 0.0))


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
