"""Load spaces as people measure them, built into solids.

Each builder takes the readings of one record and gives named planes and keep-outs in
the frame of :mod:`basswright.records.space`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import cos, hypot, radians, sin, tan

import numpy as np

from basswright.records.space import (
    BootSpace,
    ConsoleSpace,
    FreeSpace,
    LoadSpace,
    Opening,
    PickupSpace,
    UnderSeatSpace,
    WellSpace,
    Zone,
)
from basswright.space.arrays import Floats
from basswright.space.polytope import Convex, convex, cuboid
from basswright.space.solids import Aperture, KeepOut, Solid, Well

#: Sides of the regular polygon that stands for a round well; it lies inside the circle.
WELL_SIDES = 32

_Named = tuple[str, Sequence[float], float, float]  # surface, normal, offset, tolerance


def solid(load_space: LoadSpace) -> Solid:
    """Build the solid of a load space.

    Parameters
    ----------
    load_space : LoadSpace
        Readings [m], [deg].

    Returns
    -------
    Solid
        Frozen; can be pickled.

    Raises
    ------
    InputErrors
        Where readings contradict each other (see :func:`basswright.space.check`).
    """
    from basswright.errors import InputErrors
    from basswright.space.checks import check

    problems = check(load_space)
    if problems:
        raise InputErrors(problems, item="load space")
    match load_space:
        case BootSpace():
            planes, keep_outs = _boot(load_space)
        case PickupSpace():
            planes, keep_outs = _behind_seat(load_space), []
        case UnderSeatSpace():
            planes, keep_outs = _under_seat(load_space)
        case ConsoleSpace():
            planes, keep_outs = _console(load_space), []
        case WellSpace():
            planes, keep_outs = _well(load_space)
        case FreeSpace():
            planes, keep_outs = _free(load_space)
    keep_outs += [_zone(zone, load_space.tolerance_m) for zone in load_space.zones]
    built = assemble(
        kind=load_space.kind,
        planes=planes,
        keep_outs=keep_outs,
        opening=load_space.opening,
        tolerance_m=load_space.tolerance_m,
    )
    return replace(built, well=_well_below(load_space))


def _well_below(space: LoadSpace) -> Well | None:
    """Return the spare-wheel well of a boot; it lies in the middle of the floor."""
    if not isinstance(space, BootSpace) or space.spare_well_depth_m <= 0:
        return None
    return Well(
        centre_m=(-space.depth_floor_m / 2, 0.0),
        radius_m=space.spare_well_diameter_m / 2,
        depth_m=space.spare_well_depth_m,
    )


def assemble(
    *,
    kind: str,
    planes: Sequence[_Named],
    keep_outs: Sequence[KeepOut],
    opening: Opening,
    tolerance_m: float,
) -> Solid:
    """Put named planes and keep-outs together; planes that carry no face are dropped."""
    normals = np.array([plane[1] for plane in planes], dtype=float)
    length = np.linalg.norm(normals, axis=1)
    offsets = np.array([plane[2] for plane in planes], dtype=float)
    envelope = convex(normals, offsets)
    rows = np.column_stack([normals / length[:, None], offsets / length])
    kept = [
        int(np.abs(rows - np.append(normal, offset)).max(axis=1).argmin())
        for normal, offset in zip(envelope.A, envelope.b, strict=True)
    ]
    return Solid(
        kind=kind,
        envelope=envelope,
        surfaces=tuple(planes[i][0] for i in kept),
        plane_tolerance_m=np.array([planes[i][3] for i in kept], dtype=float),
        keep_outs=tuple(keep_outs),
        opening=Aperture(width_m=opening.width_m, height_m=opening.height_m, sill_m=opening.sill_m),
        tolerance_m=tolerance_m,
    )


def _through(first: tuple[float, float], second: tuple[float, float]) -> tuple[list[float], float]:
    """Return normal and offset of the plane across the car through two points (x, z).

    The space lies to the left of the way from the first to the second, seen from the
    right-hand side of the car.
    """
    dx, dz = second[0] - first[0], second[1] - first[1]
    size = hypot(dx, dz)
    normal = [dz / size, 0.0, -dx / size]
    return normal, normal[0] * first[0] + normal[2] * first[1]


def _seat_and_rear(space: BootSpace | PickupSpace, rear: str) -> list[_Named]:
    lean, tolerance = radians(space.seat_lean_deg), space.tolerance_m
    top_x = -space.height_m * tan(lean) - space.depth_top_m
    normal, offset = _through((top_x, space.height_m), (-space.depth_floor_m, 0.0))
    return [
        ("seat back", [cos(lean), 0.0, sin(lean)], 0.0, 0.0),
        (rear, normal, offset, tolerance),
        ("floor", [0.0, 0.0, -1.0], 0.0, 0.0),
    ]


def _boot(space: BootSpace) -> tuple[list[_Named], list[KeepOut]]:
    tolerance, half = space.tolerance_m, space.width_above_arches_m / 2
    top = "roof lining" if space.kind == "van" else "cover"
    rear = "boot lid" if space.kind == "saloon" else "tailgate"
    planes = _seat_and_rear(space, rear)
    planes.append((top, [0.0, 0.0, 1.0], space.height_m, tolerance))
    planes += [
        ("left side", [0.0, 1.0, 0.0], half, tolerance / 2),
        ("right side", [0.0, -1.0, 0.0], half, tolerance / 2),
    ]
    if space.width_top_m is not None:
        planes += _leaning_sides(space, space.width_top_m)
    return planes, [*_arches(space), *_hinges(space)]


def _leaning_sides(space: BootSpace, width_top_m: float) -> list[_Named]:
    inward = (space.width_above_arches_m - width_top_m) / 2
    rise = space.height_m - space.arch_height_m
    size = hypot(inward, rise)
    across, up = rise / size, inward / size
    offset = across * space.width_above_arches_m / 2 + up * space.arch_height_m
    tolerance = space.tolerance_m / 2
    return [
        ("left side at the top", [0.0, across, up], offset, tolerance),
        ("right side at the top", [0.0, -across, up], offset, tolerance),
    ]


def _arches(space: BootSpace) -> list[KeepOut]:
    reach = (space.width_above_arches_m - space.width_floor_m) / 2
    if reach < 1e-6 or min(space.arch_length_m, space.arch_height_m) < 1e-6:
        return []
    front, rear = -space.arch_from_seat_m, -space.arch_from_seat_m - space.arch_length_m
    wall, inner = space.width_above_arches_m / 2, space.width_floor_m / 2
    flat = _or(space.arch_top_length_m, space.arch_length_m)
    thick = _or(space.arch_top_width_m, reach)
    end_cut, side_cut = (space.arch_length_m - flat) / 2, reach - thick
    high = space.arch_height_m
    planes = [
        ([1.0, 0.0, end_cut / high], front),
        ([-1.0, 0.0, end_cut / high], -rear),
        ([0.0, 1.0, 0.0], wall + 0.1),
        ([0.0, -1.0, side_cut / high], -inner),
        ([0.0, 0.0, 1.0], high),
        ([0.0, 0.0, -1.0], 0.0),
    ]
    normals = np.array([plane[0] for plane in planes])
    offsets = np.array([plane[1] for plane in planes])
    mirror = np.array([1.0, -1.0, 1.0])
    return [
        KeepOut(
            name=f"{side} wheel arch",
            reason="arch",
            body=convex(normals * flip, offsets),
            tolerance_m=space.tolerance_m / 2,
        )
        for side, flip in (("left", 1.0), ("right", mirror))
    ]


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


def _hinges(space: BootSpace) -> list[KeepOut]:
    if min(space.hinge_length_m, space.hinge_drop_m, space.hinge_width_m) < 1e-6:
        return []
    lean = radians(space.seat_lean_deg)
    rear = -max(space.height_m * tan(lean) + space.depth_top_m, space.depth_floor_m)
    top_x = -space.height_m * tan(lean) - space.depth_top_m
    front = top_x + space.hinge_length_m
    half = _or(space.width_top_m, space.width_above_arches_m) / 2
    bottom = space.height_m - space.hinge_drop_m
    blocks = []
    for side, sign in (("left", 1), ("right", -1)):
        ends = sorted((sign * (half - space.hinge_width_m), sign * (half + 0.3)))
        low, high = (rear - 0.1, ends[0], bottom), (front, ends[1], space.height_m + 0.1)
        blocks.append(
            KeepOut(
                name=f"{side} hinge",
                reason="hinge",
                body=cuboid(np.array(low), np.array(high)),
                tolerance_m=space.tolerance_m,
            )
        )
    return blocks


def _behind_seat(space: PickupSpace) -> list[_Named]:
    half, tolerance = space.width_m / 2, space.tolerance_m
    return [
        *_seat_and_rear(space, "rear wall"),
        ("window sill", [0.0, 0.0, 1.0], space.height_m, tolerance),
        ("left side", [0.0, 1.0, 0.0], half, tolerance / 2),
        ("right side", [0.0, -1.0, 0.0], half, tolerance / 2),
    ]


def _under_seat(space: UnderSeatSpace) -> tuple[list[_Named], list[KeepOut]]:
    half, tolerance = space.width_m / 2, space.tolerance_m
    normal, offset = _through((0.0, space.height_front_m), (-space.depth_m, space.height_rear_m))
    planes: list[_Named] = [
        ("front edge of the seat", [1.0, 0.0, 0.0], 0.0, 0.0),
        ("rear wall", [-1.0, 0.0, 0.0], space.depth_m, tolerance),
        ("floor", [0.0, 0.0, -1.0], 0.0, 0.0),
        ("seat base", normal, offset, tolerance),
        ("left side", [0.0, 1.0, 0.0], half, tolerance / 2),
        ("right side", [0.0, -1.0, 0.0], half, tolerance / 2),
    ]
    if min(space.tunnel_width_m, space.tunnel_height_m) < 1e-6:
        return planes, []
    reach = space.tunnel_width_m / 2
    body = cuboid(
        np.array([-space.depth_m - 0.1, -reach, -0.1]),
        np.array([0.1, reach, space.tunnel_height_m]),
    )
    tunnel = KeepOut(name="floor tunnel", reason="trim", body=body, tolerance_m=tolerance / 2)
    return planes, [tunnel]


def _console(space: ConsoleSpace) -> list[_Named]:
    tolerance = space.tolerance_m
    normal, offset = _through((0.0, space.height_front_m), (-space.length_m, space.height_rear_m))
    taper = (space.width_front_m - space.width_rear_m) / 2 / space.length_m
    size = hypot(1.0, taper)
    half = space.width_front_m / 2 / size
    return [
        ("front end", [1.0, 0.0, 0.0], 0.0, 0.0),
        ("rear end", [-1.0, 0.0, 0.0], space.length_m, tolerance),
        ("floor", [0.0, 0.0, -1.0], 0.0, 0.0),
        ("upper edge", normal, offset, tolerance),
        ("left seat", [-taper / size, 1.0 / size, 0.0], half, tolerance / 2),
        ("right seat", [-taper / size, -1.0 / size, 0.0], half, tolerance / 2),
    ]


def _well(space: WellSpace) -> tuple[list[_Named], list[KeepOut]]:
    tolerance, depth = space.tolerance_m, space.depth_m
    centre = -max(space.diameter_bottom_m, space.diameter_top_m) / 2
    flare = (space.diameter_top_m - space.diameter_bottom_m) / 2 / depth
    inner = space.diameter_bottom_m / 2 * cos(np.pi / WELL_SIDES)
    planes: list[_Named] = [
        ("bottom of the well", [0.0, 0.0, -1.0], 0.0, 0.0),
        ("floor cover", [0.0, 0.0, 1.0], depth, tolerance),
    ]
    for index in range(WELL_SIDES):
        angle = 2 * np.pi * index / WELL_SIDES
        normal = [cos(angle), sin(angle), -flare]
        planes.append(("wall of the well", normal, inner + centre * cos(angle), tolerance / 2))
    if min(space.bolt_diameter_m, space.bolt_height_m) < 1e-6:
        return planes, []
    reach = space.bolt_diameter_m / 2
    body = _column(
        [
            (centre + reach * cos(a) / cos(np.pi / 8), reach * sin(a) / cos(np.pi / 8))
            for a in np.pi / 8 + np.arange(8) * np.pi / 4
        ],
        -0.1,
        space.bolt_height_m,
    )
    bolt = KeepOut(name="wheel bolt", reason="spare wheel", body=body, tolerance_m=tolerance / 2)
    return planes, [bolt]


def _column(outline: Sequence[tuple[float, float]], bottom: float, top: float) -> Convex:
    from scipy.spatial import ConvexHull

    hull = ConvexHull(np.array(outline))
    sides = np.column_stack([hull.equations[:, :2], np.zeros(len(hull.equations))])
    normals = np.vstack([sides, [[0, 0, 1.0], [0, 0, -1.0]]])
    return convex(normals, np.concatenate([-hull.equations[:, 2], [top, -bottom]]))


def _free(space: FreeSpace) -> tuple[list[_Named], list[KeepOut]]:
    tolerance = space.tolerance_m
    planes: list[_Named] = []
    for plane in space.planes:
        normal = np.array(plane.normal) / np.linalg.norm(plane.normal)
        planes.append((plane.name, normal.tolist(), float(normal @ plane.point_m), tolerance))
    keep_outs = [
        KeepOut(
            name=body.name,
            reason="other",
            body=hull_of(np.array(body.points_m)),
            tolerance_m=tolerance,
        )
        for body in space.bodies
    ]
    keep_outs += [
        KeepOut(
            name=column.name,
            reason="other",
            body=_column(column.outline_m, column.bottom_m, column.top_m),
            tolerance_m=tolerance,
        )
        for column in space.columns
    ]
    return planes, keep_outs


def solid_of_planes(space: FreeSpace) -> Convex:
    """Return the envelope of a free space; ValueError where its planes leave nothing."""
    normals = np.array([plane.normal for plane in space.planes], dtype=float)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    points = np.array([plane.point_m for plane in space.planes], dtype=float)
    envelope = convex(normals, (normals * points).sum(axis=1))
    if not _is_closed(envelope.A):
        raise ValueError("the planes do not close a volume")
    return envelope


def _is_closed(normals: Floats) -> bool:
    """Say whether normals surround the origin, so that their planes bound a volume."""
    from scipy.optimize import linprog

    rows = np.vstack([normals.T, np.ones(len(normals))])
    found = linprog(np.zeros(len(normals)), A_eq=rows, b_eq=[0, 0, 0, 1], bounds=(1e-6, 1))
    return bool(found.status == 0)


def hull_of(points: Floats) -> Convex:
    """Return the convex hull of points, shape (n, 3), with coplanar facets as one."""
    from scipy.spatial import ConvexHull

    equations = ConvexHull(points).equations
    unique = np.unique(np.round(equations, 9), axis=0)
    return convex(unique[:, :3], -unique[:, 3])


def _zone(zone: Zone, tolerance_m: float) -> KeepOut:
    front, middle, half = -zone.from_seat_m, zone.left_of_centre_m, zone.width_m / 2
    low = np.array([front - zone.length_m, middle - half, zone.bottom_m])
    high = np.array([front, middle + half, zone.bottom_m + zone.height_m])
    return KeepOut(
        name=zone.name, reason=zone.reason, body=cuboid(low, high), tolerance_m=tolerance_m
    )
