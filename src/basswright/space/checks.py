"""Readings that contradict each other, each problem naming the readings concerned."""

from __future__ import annotations

from collections.abc import Iterator
from math import atan2, degrees, radians, tan

import numpy as np

from basswright.errors import InputError
from basswright.quantities import millimetres, name_without_unit
from basswright.records.space import (
    BootSpace,
    ConsoleSpace,
    FreeSpace,
    LoadSpace,
    PickupSpace,
    UnderSeatSpace,
    WellSpace,
)

#: A rear wall that leans out further than this is taken for a misreading [deg].
STEEPEST_REAR_DEG = 50.0

_AnySpace = BootSpace | PickupSpace | UnderSeatSpace | ConsoleSpace | WellSpace | FreeSpace


def check(load_space: LoadSpace) -> tuple[InputError, ...]:
    """Return what contradicts itself among the readings of a load space.

    Parameters
    ----------
    load_space : LoadSpace

    Returns
    -------
    tuple of InputError
        Empty where nothing is wrong. `field` names every reading concerned, as a job
        file spells them.
    """
    match load_space:
        case BootSpace():
            own = [*_boot(load_space), *_leaning(load_space)]
        case PickupSpace():
            own = list(_leaning(load_space))
        case UnderSeatSpace():
            own = list(_under_seat(load_space))
        case ConsoleSpace():
            own = []
        case WellSpace():
            own = list(_well(load_space))
        case FreeSpace():
            own = list(_free(load_space))
    return (*own, *_opening(load_space))


def _clash(problem: str, space: _AnySpace, *fields: str, allowed: str = "") -> InputError:
    values = []
    for field in fields:
        value = getattr(space, field)
        text = f"{value:g}°" if field.endswith("_deg") else millimetres(value)
        values.append(f"{name_without_unit(field)} {text}")
    return InputError(
        problem,
        field=", ".join(name_without_unit(field) for field in fields),
        value=_Shown("; ".join(values)),
        allowed=allowed,
    )


class _Shown(str):
    """A text that is shown as it is, without quotes."""

    __slots__ = ()

    def __repr__(self) -> str:
        return str(self)


def _boot(space: BootSpace) -> Iterator[InputError]:
    if space.width_floor_m > space.width_above_arches_m:
        yield _clash(
            "the wheel arches are wider apart than the sides above them",
            space,
            "width_floor_m",
            "width_above_arches_m",
        )
    if space.width_top_m is not None and space.width_top_m > space.width_above_arches_m:
        yield _clash(
            "the space widens towards the roof", space, "width_top_m", "width_above_arches_m"
        )
    yield from _arches(space)
    if (space.spare_well_depth_m > 0) != (space.spare_well_diameter_m > 0):
        yield _clash(
            "a well needs both a diameter and a depth",
            space,
            "spare_well_diameter_m",
            "spare_well_depth_m",
        )
    if space.spare_well_diameter_m > max(space.depth_floor_m, space.width_floor_m):
        yield _clash(
            "the spare-wheel well is larger than the floor",
            space,
            "spare_well_diameter_m",
            "depth_floor_m",
        )
    if space.hinge_drop_m >= space.height_m:
        yield _clash("the hinges reach below the floor", space, "hinge_drop_m", "height_m")


def _arches(space: BootSpace) -> Iterator[InputError]:
    reach = (space.width_above_arches_m - space.width_floor_m) / 2
    for field in ("arch_length_m", "arch_height_m"):
        if reach > 0 and getattr(space, field) == 0:
            yield _clash(
                "the floor is narrower than the space above, yet the arches have no size",
                space,
                field,
                "width_floor_m",
                "width_above_arches_m",
            )
    if space.arch_height_m > space.height_m:
        yield _clash(
            "the wheel arches are higher than the space", space, "arch_height_m", "height_m"
        )
    if space.arch_from_seat_m > space.depth_floor_m:
        yield _clash(
            "the wheel arches begin behind the tailgate",
            space,
            "arch_from_seat_m",
            "depth_floor_m",
        )
    if space.arch_top_length_m is not None and space.arch_top_length_m > space.arch_length_m:
        yield _clash(
            "a wheel arch is longer at its top than at the floor",
            space,
            "arch_top_length_m",
            "arch_length_m",
        )
    if space.arch_top_width_m is not None and space.arch_top_width_m > reach + 1e-9:
        yield _clash(
            "a wheel arch is wider at its top than at the floor",
            space,
            "arch_top_width_m",
            "width_floor_m",
            "width_above_arches_m",
            allowed=f"at most {millimetres(reach)}",
        )


def _leaning(space: BootSpace | PickupSpace) -> Iterator[InputError]:
    """Check depth at the top against depth at the floor and the lean of the seat back."""
    setback = space.height_m * tan(radians(space.seat_lean_deg))
    overhang = setback + space.depth_top_m - space.depth_floor_m
    lean = degrees(atan2(overhang, space.height_m))
    if abs(lean) > STEEPEST_REAR_DEG:
        way = "outwards" if lean > 0 else "forwards over the load"
        room = space.height_m * tan(radians(STEEPEST_REAR_DEG))
        least = max(space.depth_floor_m - setback - room, 0.0)
        most = space.depth_floor_m - setback + room
        yield _clash(
            f"together they make the rear lean {way} by {abs(lean):.0f}°",
            space,
            "depth_top_m",
            "depth_floor_m",
            "seat_lean_deg",
            allowed=f"depth_top from {millimetres(least)} to {millimetres(most)}",
        )


def _under_seat(space: UnderSeatSpace) -> Iterator[InputError]:
    if space.tunnel_width_m > space.width_m:
        yield _clash("the floor tunnel is wider than the space", space, "tunnel_width_m", "width_m")
    if space.tunnel_height_m >= min(space.height_front_m, space.height_rear_m):
        yield _clash(
            "the floor tunnel is higher than the seat base",
            space,
            "tunnel_height_m",
            "height_rear_m",
        )


def _well(space: WellSpace) -> Iterator[InputError]:
    if space.diameter_bottom_m > space.diameter_top_m:
        yield _clash(
            "the well is wider at its bottom than at the load floor",
            space,
            "diameter_bottom_m",
            "diameter_top_m",
        )
    if space.bolt_diameter_m > space.diameter_bottom_m:
        yield _clash(
            "the wheel bolt's boss is wider than the well",
            space,
            "bolt_diameter_m",
            "diameter_bottom_m",
        )


def _free(space: FreeSpace) -> Iterator[InputError]:
    from basswright.space.templates import hull_of, solid_of_planes

    for plane in space.planes:
        if np.linalg.norm(plane.normal) < 1e-9:
            yield InputError("the normal has no length", field=f"planes, {plane.name}")
            return
    try:
        solid_of_planes(space)
    except ValueError as problem:
        yield InputError(str(problem), field="planes", allowed="planes that close a volume")
    for body in space.bodies:
        points = np.array(body.points_m)
        if np.linalg.matrix_rank(points - points[0], tol=1e-6) < 3:
            yield InputError("the corners lie in one plane", field=f"bodies, {body.name}")
        else:
            hull_of(points)
    for column in space.columns:
        if column.top_m <= column.bottom_m:
            yield InputError(
                "the upper side lies below the underside", field=f"columns, {column.name}"
            )


def _opening(space: _AnySpace) -> Iterator[InputError]:
    widest = getattr(space, "width_above_arches_m", None) or getattr(space, "width_m", None)
    if widest is not None and space.opening.width_m > 1.25 * widest:
        yield InputError(
            "the opening is far wider than the space behind it",
            field="opening.width, width",
            value=_Shown(f"{millimetres(space.opening.width_m)} and {millimetres(widest)}"),
        )
    if space.tolerance_m > 0.2 * min(space.opening.width_m, space.opening.height_m):
        yield InputError(
            "the tolerance is out of proportion to the opening",
            field="tolerance, opening",
            value=_Shown(millimetres(space.tolerance_m)),
        )
