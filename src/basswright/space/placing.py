"""One box in its best place, with everything that a person wants to know about it."""

from __future__ import annotations

import numpy as np

from basswright.quantities import millimetres
from basswright.records.enclosure import Enclosure
from basswright.records.placement import Placement, Point
from basswright.records.verdict import Relief, Verdict
from basswright.space.access import access_verdicts
from basswright.space.arrays import Floats
from basswright.space.boxes import BoxTable, box_table
from basswright.space.entering import way_in
from basswright.space.faces import face_verdicts
from basswright.space.fit import TOUCH_M, Standing, require_clearance, stand_family
from basswright.space.gaps import gaps
from basswright.space.limits import limit_name
from basswright.space.openings import WAYS, passage
from basswright.space.orientations import Orientation
from basswright.space.solids import Solid
from basswright.space.templates import hull_of


def place(solid: Solid, enclosure: Enclosure, *, clearance_m: float) -> Placement:
    """Put one box into its best place.

    Among its ways to stand the one of :func:`basswright.space.fit` is taken; there it
    stands on the floor, as far against the seat back as it goes, then nearest to the
    middle of the car. A box that does not go in is shown in the middle against the
    seat back, with verdicts that fail and what would help.

    Parameters
    ----------
    solid : Solid
    enclosure : Enclosure
    clearance_m : float
        Air wanted on every side but below [m].

    Returns
    -------
    Placement

    Raises
    ------
    InputError
        For a clearance that is negative or not a number.
    """
    from basswright.space.standing import cone_in_own_frame, own_places

    require_clearance(clearance_m)
    boxes, rows = box_table([enclosure]), np.array([0])
    found = stand_family(solid, boxes, rows, clearance_m)
    origin, turn = own_places(solid, boxes, rows, found, clearance_m)
    parts = [origin[0] + own @ turn[0].T for own in own_parts(boxes)]
    corners = np.vstack(parts)
    cone = origin[0] + turn[0] @ cone_in_own_frame(boxes, rows)[0]
    orientation = found.ways[int(found.way[0])]
    support = support_for(solid, orientation, corners)
    room = _room_verdict(solid, found, support)
    opening = _opening_verdict(solid, boxes)
    if room.passes:
        entry = way_in(solid, parts, orientation, boxes.size_m[0]).text
    else:
        entry = "has no place to get to"
    volume = float(boxes.volume_m3[0])
    found_gaps = gaps(solid, [hull_of(part) for part in parts])
    return Placement(
        orientation=orientation.name,
        pitch_deg=_tilt_deg(orientation, "pitch"),
        yaw_deg=_tilt_deg(orientation, "yaw"),
        support=support,
        parts=tuple(tuple(_point(corner) for corner in part) for part in parts),
        cone=_point(cone),
        centre=_point(_centre(parts)),
        gaps=found_gaps,
        binding=room.limit,
        luggage_lost_m3=volume,
        luggage_left_m3=max(solid.volume_m3 - volume, 0.0),
        way_in=entry,
        verdicts=(
            room,
            opening,
            *access_verdicts(solid, corners),
            *face_verdicts(enclosure, found_gaps, turn[0]),
        ),
    )


def own_parts(boxes: BoxTable) -> list[Floats]:
    """Return the corners of each convex part of the first box, in its own frame [m]."""
    parts = boxes.parts[0] if boxes.parts else None
    return [box_corners(boxes)] if parts is None else [part.corners() for part in parts]


def box_corners(boxes: BoxTable) -> Floats:
    """Return the corners of the first box in its own frame, shape (8, 3) [m]."""
    width, height = boxes.width_m[0], boxes.height_m[0]
    bottom, top = boxes.depth_m[0], boxes.depth_top_m[0]
    return np.array(
        [
            [x, y, z]
            for z, depth in ((0.0, bottom), (height, top))
            for x in (0.0, depth)
            for y in (0.0, width)
        ]
    )


def _centre(parts: list[Floats]) -> Floats:
    if len(parts) == 1:
        return np.asarray(parts[0].mean(axis=0))
    every = np.vstack(parts)
    return np.asarray((every.min(axis=0) + every.max(axis=0)) / 2)


def _point(values: Floats) -> Point:
    return float(values[0]), float(values[1]), float(values[2])


def _tilt_deg(orientation: Orientation, about: str) -> float:
    tilt = orientation.tilt
    return tilt.angle_deg if tilt is not None and tilt.about == about else 0.0


def support_for(solid: Solid, orientation: Orientation, corners: Floats) -> str:
    """Say how a tilted box has to be held up; empty for one that stands flat.

    Parameters
    ----------
    corners : ndarray, shape (v, 3)
        Of the placed box [m].
    """
    tilt = orientation.tilt
    if tilt is None or tilt.about == "yaw":
        return ""
    height = corners @ tilt.turn[:, 2]
    foot = corners[height < height.min() + 1e-6, 2] - solid.floor_m
    edge, other = ("front", "rear") if tilt.angle_deg > 0 else ("rear", "front")
    held = f"{tilt.words}: wedge or brace it, {millimetres(float(foot.max()))} at its {edge} edge"
    if foot.min() > 5e-4:
        held += f" and {millimetres(float(foot.min()))} at its {other} edge"
    return held


def _room_verdict(solid: Solid, found: Standing, support: str) -> Verdict:
    room = float(found.room_m[0])
    surfaces = tuple(int(s) for s in found.surfaces[0] if s >= 0)
    limit = limit_name(solid, int(found.axis[0]), surfaces)
    return _verdict("space", room, limit, float(found.tolerance_m[0]), note=support)


def _verdict(rule: str, room_m: float, limit: str, tolerance_m: float, note: str = "") -> Verdict:
    passes = room_m >= -TOUCH_M
    sure = abs(room_m) > tolerance_m
    if not sure:
        hint = f"within the tape's tolerance of {millimetres(tolerance_m)}: measure again: {limit}"
        note = f"{note}; {hint}" if note else hint
    return Verdict(
        rule=rule,
        passes=passes,
        margin=0.0 if abs(room_m) < TOUCH_M else room_m * 1000,
        unit="mm",
        limit=limit,
        relief=None if passes else Relief(what=limit, amount=-room_m * 1000, unit="mm"),
        certainty="sure" if sure else "too close to call",
        note=note,
    )


def _opening_verdict(solid: Solid, boxes: BoxTable) -> Verdict:
    opening = solid.opening
    room, _, way = passage(boxes.size_m, opening.width_m, opening.height_m)
    limit = f"opening, {WAYS[int(way[0])]}"
    return _verdict("opening", float(room[0]), limit, solid.tolerance_m)
