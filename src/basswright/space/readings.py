"""Where each tape reading of a load space is taken: two points and the view to show it in.

A sample of each kind, of invented size, serves for the sketches.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, tan

from basswright.records.space import (
    BootSpace,
    ConsoleSpace,
    FreeSpace,
    LoadSpace,
    Opening,
    PickupSpace,
    Plane,
    UnderSeatSpace,
    WellSpace,
    Zone,
)

Point = tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading: dotted name of its field, the view, and the points that it runs between."""

    field: str
    view: str
    start: Point
    end: Point


_ZONE = Zone(
    name="block",
    from_seat_m=0.44,
    length_m=0.16,
    left_of_centre_m=0.2,
    width_m=0.22,
    bottom_m=0.06,
    height_m=0.14,
)


def sample(kind: str) -> LoadSpace:
    """Return an invented load space of a kind, with every part that it can have."""
    if kind == "behind-seat":
        return PickupSpace(
            kind="behind-seat",
            width_m=1.3,
            height_m=0.5,
            depth_floor_m=0.34,
            depth_top_m=0.2,
            seat_lean_deg=18.0,
            opening=Opening(width_m=0.7, height_m=0.46, sill_m=0.04),
            zones=(_zone_at(0.16, 0.1),),
        )
    if kind == "under-seat":
        return UnderSeatSpace(
            kind="under-seat",
            width_m=1.2,
            depth_m=0.5,
            height_front_m=0.3,
            height_rear_m=0.22,
            tunnel_width_m=0.24,
            tunnel_height_m=0.07,
            opening=Opening(width_m=1.1, height_m=0.28),
            zones=(_zone_at(0.3, 0.12),),
        )
    if kind == "console":
        return ConsoleSpace(
            kind="console",
            length_m=0.7,
            width_front_m=0.24,
            width_rear_m=0.3,
            height_front_m=0.26,
            height_rear_m=0.34,
            opening=Opening(width_m=0.24, height_m=0.3),
            zones=(_zone_at(0.5, 0.1, 0.06, 0.08),),
        )
    if kind == "spare-wheel-well":
        return WellSpace(
            kind="spare-wheel-well",
            diameter_bottom_m=0.56,
            diameter_top_m=0.66,
            depth_m=0.18,
            bolt_diameter_m=0.1,
            bolt_height_m=0.06,
            opening=Opening(width_m=0.66, height_m=0.6),
            zones=(_zone_at(0.42, 0.1, 0.12, 0.12),),
        )
    if kind in ("free", "scan"):
        return _free_sample()
    return _boot_sample(kind)


def _zone_at(from_seat: float, length: float, left: float = 0.25, width: float = 0.2) -> Zone:
    return _ZONE.model_copy(
        update={
            "from_seat_m": from_seat,
            "length_m": length,
            "left_of_centre_m": left,
            "width_m": width,
            "height_m": 0.07,
        }
    )


def _boot_sample(kind: str) -> BootSpace:
    sizes = {
        "kind": kind,
        "width_floor_m": 1.0,
        "width_above_arches_m": 1.3,
        "height_m": 0.62,
        "depth_floor_m": 0.85,
        "depth_top_m": 0.6,
        "seat_lean_deg": 20.0,
        "arch_length_m": 0.42,
        "arch_height_m": 0.26,
        "arch_from_seat_m": 0.12,
        "spare_well_diameter_m": 0.56,
        "spare_well_depth_m": 0.14,
        "opening": Opening(width_m=0.96, height_m=0.5, sill_m=0.06),
        "width_top_m": 1.14,
        "arch_top_length_m": 0.26,
        "arch_top_width_m": 0.09,
        "hinge_length_m": 0.12,
        "hinge_drop_m": 0.12,
        "hinge_width_m": 0.1,
        "zones": (_ZONE.model_copy(update={"from_seat_m": 0.6}),),
    }
    return BootSpace.model_validate(sizes)


def _free_sample() -> FreeSpace:
    sides: tuple[tuple[str, Point, Point], ...] = (
        ("front", (1.0, 0.0, 0.2), (0.0, 0.0, 0.0)),
        ("rear", (-1.0, 0.0, 0.0), (-0.7, 0.0, 0.0)),
        ("left", (0.0, 1.0, 0.0), (0.0, 0.5, 0.0)),
        ("right", (0.0, -1.0, 0.0), (0.0, -0.5, 0.0)),
        ("floor", (0.0, 0.0, -1.0), (0.0, 0.0, 0.0)),
        ("top", (0.0, 0.0, 1.0), (0.0, 0.0, 0.5)),
    )
    return FreeSpace(
        kind="free",
        planes=tuple(Plane(name=n, normal=v, point_m=p) for n, v, p in sides),
        zones=(_ZONE,),
        opening=Opening(width_m=0.8, height_m=0.4, sill_m=0.04),
    )


def readings(space: LoadSpace) -> tuple[Reading, ...]:
    """Return where each reading of a load space is taken, with the zone and the opening."""
    match space:
        case BootSpace():
            own = _boot(space)
        case PickupSpace():
            own = _pickup(space)
        case UnderSeatSpace():
            own = _under_seat(space)
        case ConsoleSpace():
            own = _console(space)
        case WellSpace():
            own = _well(space)
        case FreeSpace():
            own = []
    found = [*own, *_opening(space)]
    if space.zones:
        found += _zone(space.zones[0])
    return tuple(found)


def _made(field: str, view: str, start: Point, end: Point) -> Reading:
    return Reading(field=field, view=view, start=start, end=end)


def _seat(space: BootSpace | PickupSpace, height: float) -> float:
    return -height * tan(radians(space.seat_lean_deg))


def _rear(space: BootSpace | PickupSpace, height: float) -> float:
    top = _seat(space, space.height_m) - space.depth_top_m
    return -space.depth_floor_m + (top + space.depth_floor_m) * height / space.height_m


def _depths(space: BootSpace | PickupSpace, at: float) -> list[Reading]:
    high = space.height_m
    low = 0.03
    return [
        _made("height_m", "side", (at, 0, 0), (at, 0, high)),
        _made("depth_floor_m", "side", (_seat(space, low), 0, low), (_rear(space, low), 0, low)),
        _made(
            "depth_top_m",
            "side",
            (_seat(space, high), 0, high + 0.05),
            (_rear(space, high), 0, high + 0.05),
        ),
        _made(
            "seat_lean_deg",
            "side",
            (0, 0, high * 0.55),
            (_seat(space, high * 0.55), 0, high * 0.55),
        ),
    ]


def _boot(space: BootSpace) -> list[Reading]:
    high, arch = space.height_m, space.arch_height_m
    wall, inner = space.width_above_arches_m / 2, space.width_floor_m / 2
    front, rear = -space.arch_from_seat_m, -space.arch_from_seat_m - space.arch_length_m
    top = (space.width_top_m or space.width_above_arches_m) / 2
    flat = space.arch_top_length_m or space.arch_length_m
    thick = space.arch_top_width_m or wall - inner
    middle, lid = (front + rear) / 2, _rear(space, high)
    well = space.spare_well_diameter_m / 2
    deep, centre = -space.spare_well_depth_m, -space.depth_floor_m / 2
    drop = high - space.hinge_drop_m
    return [
        *_depths(space, -0.62 * space.depth_floor_m),
        _made("width_floor_m", "rear", (0, -inner, 0.03), (0, inner, 0.03)),
        _made("width_above_arches_m", "rear", (0, -wall, arch + 0.04), (0, wall, arch + 0.04)),
        _made("width_top_m", "rear", (0, -top, high + 0.05), (0, top, high + 0.05)),
        _made("arch_length_m", "plan", (front, inner - 0.05, 0), (rear, inner - 0.05, 0)),
        _made("arch_height_m", "rear", (0, -inner - 0.03, 0), (0, -inner - 0.03, arch)),
        _made("arch_from_seat_m", "plan", (0, inner - 0.05, 0), (front, inner - 0.05, 0)),
        _made(
            "arch_top_length_m",
            "plan",
            (middle + flat / 2, -wall + 0.04, 0),
            (middle - flat / 2, -wall + 0.04, 0),
        ),
        _made("arch_top_width_m", "rear", (0, wall, arch), (0, wall - thick, arch)),
        _made(
            "spare_well_diameter_m",
            "side",
            (centre + well, 0, deep - 0.05),
            (centre - well, 0, deep - 0.05),
        ),
        _made(
            "spare_well_depth_m",
            "side",
            (centre - well + 0.05, 0, 0),
            (centre - well + 0.05, 0, deep),
        ),
        _made(
            "hinge_length_m",
            "side",
            (lid + space.hinge_length_m, 0, drop - 0.03),
            (lid, 0, drop - 0.03),
        ),
        _made(
            "hinge_drop_m",
            "side",
            (lid + space.hinge_length_m / 2, 0, high),
            (lid + space.hinge_length_m / 2, 0, drop),
        ),
        _made(
            "hinge_width_m",
            "rear",
            (0, top, high - 0.04),
            (0, top - space.hinge_width_m, high - 0.04),
        ),
    ]


def _pickup(space: PickupSpace) -> list[Reading]:
    half = space.width_m / 2
    return [
        *_depths(space, -0.75 * space.depth_floor_m),
        _made("width_m", "rear", (0, -half, 0.42), (0, half, 0.42)),
    ]


def _under_seat(space: UnderSeatSpace) -> list[Reading]:
    half, tunnel, deep = space.width_m / 2, space.tunnel_width_m / 2, space.depth_m
    high = space.tunnel_height_m
    return [
        _made("width_m", "rear", (0, -half, 0.15), (0, half, 0.15)),
        _made("depth_m", "side", (0, 0, 0.03), (-deep, 0, 0.03)),
        _made("height_front_m", "side", (-0.03, 0, 0), (-0.03, 0, space.height_front_m)),
        _made("height_rear_m", "side", (0.03 - deep, 0, 0), (0.03 - deep, 0, space.height_rear_m)),
        _made("tunnel_width_m", "rear", (0, -tunnel, high + 0.02), (0, tunnel, high + 0.02)),
        _made("tunnel_height_m", "rear", (0, tunnel + 0.02, 0), (0, tunnel + 0.02, high)),
    ]


def _console(space: ConsoleSpace) -> list[Reading]:
    front, rear, long = space.width_front_m / 2, space.width_rear_m / 2, space.length_m
    return [
        _made("length_m", "side", (0, 0, 0.03), (-long, 0, 0.03)),
        _made("width_front_m", "plan", (-0.03, -front, 0), (-0.03, front, 0)),
        _made("width_rear_m", "plan", (0.03 - long, -rear, 0), (0.03 - long, rear, 0)),
        _made("height_front_m", "side", (-0.04, 0, 0), (-0.04, 0, space.height_front_m)),
        _made("height_rear_m", "side", (0.04 - long, 0, 0), (0.04 - long, 0, space.height_rear_m)),
    ]


def _well(space: WellSpace) -> list[Reading]:
    top, bottom, deep = space.diameter_top_m / 2, space.diameter_bottom_m / 2, space.depth_m
    centre = -max(top, bottom)
    bolt, rise = space.bolt_diameter_m / 2, space.bolt_height_m
    return [
        _made(
            "diameter_top_m", "side", (centre + top, 0, deep + 0.03), (centre - top, 0, deep + 0.03)
        ),
        _made(
            "diameter_bottom_m", "side", (centre + bottom, 0, -0.03), (centre - bottom, 0, -0.03)
        ),
        _made("depth_m", "side", (centre + bottom * 0.7, 0, 0), (centre + bottom * 0.7, 0, deep)),
        _made("bolt_diameter_m", "plan", (centre + bolt, 0.09, 0), (centre - bolt, 0.09, 0)),
        _made(
            "bolt_height_m", "side", (centre + bolt + 0.02, 0, 0), (centre + bolt + 0.02, 0, rise)
        ),
    ]


def _opening(space: LoadSpace) -> list[Reading]:
    opening = space.opening
    half, sill = opening.width_m / 2, opening.sill_m
    if isinstance(space, WellSpace):
        middle, reach = -space.diameter_top_m / 2, opening.height_m / 2
        return [
            _made("opening.width_m", "plan", (middle, -half, 0), (middle, half, 0)),
            _made("opening.height_m", "plan", (middle + reach, -0.1, 0), (middle - reach, -0.1, 0)),
            _made(
                "opening.sill_m", "side", (0.04, 0, space.depth_m), (0.04, 0, space.depth_m + 0.02)
            ),
        ]
    top = sill + opening.height_m
    found = [
        _made("opening.width_m", "rear", (0, -half, top - 0.03), (0, half, top - 0.03)),
        _made("opening.height_m", "rear", (0, half * 0.5, sill), (0, half * 0.5, top)),
    ]
    low = sill if sill > 0 else 0.001
    found.append(_made("opening.sill_m", "rear", (0, -half * 0.6, 0), (0, -half * 0.6, low)))
    return found


def _zone(zone: Zone) -> list[Reading]:
    front, rear = -zone.from_seat_m, -zone.from_seat_m - zone.length_m
    middle, half = zone.left_of_centre_m, zone.width_m / 2
    low, high = zone.bottom_m, zone.bottom_m + zone.height_m
    inside, edge = middle - half - 0.03, middle - half
    return [
        _made("zones.from_seat_m", "plan", (0, inside, 0), (front, inside, 0)),
        _made("zones.length_m", "plan", (front, inside, 0), (rear, inside, 0)),
        _made("zones.left_of_centre_m", "plan", (rear - 0.03, 0, 0), (rear - 0.03, middle, 0)),
        _made("zones.width_m", "plan", (rear - 0.06, edge, 0), (rear - 0.06, middle + half, 0)),
        _made("zones.bottom_m", "side", (rear + 0.03, 0, 0), (rear + 0.03, 0, max(low, 0.001))),
        _made("zones.height_m", "side", (rear + 0.03, 0, low), (rear + 0.03, 0, high)),
    ]
