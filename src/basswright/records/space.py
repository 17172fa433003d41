"""What a load space is, as a person measures it with a tape.

Frame of every position in the program (axes as in ISO 8855): the origin lies on the
load floor, on the car's centre line, at the foot of the seat back (or, where there is
no seat, of the front wall). x points forwards, y to the left, z up; the load space
lies at negative x, the people at positive x.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from basswright.records.base import Record

_Length = Annotated[float, Field(gt=0, le=6.0)]
_LengthOrZero = Annotated[float, Field(ge=0, le=6.0)]
_Place = Annotated[float, Field(ge=-6.0, le=6.0)]
_Tolerance = Annotated[float, Field(ge=0, le=0.1)]

ZoneKind = Literal[
    "hinge", "spare wheel", "jack", "tether point", "duct", "trim", "luggage", "other"
]


class Opening(Record):
    """The hole through which the box has to pass, taken as a rectangle."""

    width_m: _Length = Field(description="clear width of the opening at its narrowest")
    height_m: _Length = Field(description="clear height, sill to the upper edge")
    sill_m: _LengthOrZero = Field(0.0, description="height of the sill above the load floor")


class Zone(Record):
    """A block of the load space that has to stay free: a hinge's swing, the jack, luggage."""

    name: str = Field(min_length=1, max_length=40, description="what it is, in a few words")
    reason: ZoneKind = Field("other", description="why it has to stay free")
    from_seat_m: _Place = Field(
        description="foot of the seat back to the front side of the block, rearwards"
    )
    length_m: _Length = Field(description="length of the block along the car")
    left_of_centre_m: _Place = Field(
        description="middle of the block, left of the centre line; negative to the right"
    )
    width_m: _Length = Field(description="width of the block across the car")
    bottom_m: _Place = Field(0.0, description="underside of the block above the load floor")
    height_m: _Length = Field(description="height of the block itself")


class BootSpace(Record):
    """Load space behind a seat back: hatchback, estate, saloon boot, SUV or van."""

    kind: Literal["hatchback", "estate", "saloon", "suv", "van"]
    width_floor_m: _Length = Field(description="width at the floor between the wheel arches")
    width_above_arches_m: _Length = Field(description="width above the wheel arches")
    height_m: _Length = Field(description="floor to cover, shelf or roof lining")
    depth_floor_m: _Length = Field(description="seat back to the tailgate, along the floor")
    depth_top_m: _Length = Field(description="seat back to the tailgate, at full height")
    seat_lean_deg: float = Field(
        ge=-10, le=60, description="lean of the seat back from upright, rearwards positive"
    )
    arch_length_m: _LengthOrZero = Field(description="length of a wheel arch along the car")
    arch_height_m: _LengthOrZero = Field(description="height of a wheel arch above the floor")
    arch_from_seat_m: _LengthOrZero = Field(
        description="gap between the foot of the seat back and the front end of the arch"
    )
    spare_well_diameter_m: _LengthOrZero = Field(description="spare-wheel well, 0 if none")
    spare_well_depth_m: _LengthOrZero = Field(description="depth of the well below the floor")
    opening: Opening
    tolerance_m: _Tolerance = Field(0.005, description="how far any of these readings may be off")
    width_top_m: _Length | None = Field(
        None, description="width at full height, where the sides lean in towards the roof"
    )
    arch_top_length_m: _LengthOrZero | None = Field(
        None, description="length of the flat top of a wheel arch, where its ends are rounded off"
    )
    arch_top_width_m: _LengthOrZero | None = Field(
        None, description="how far the top of a wheel arch reaches into the space from the side"
    )
    hinge_length_m: _LengthOrZero = Field(
        0.0, description="how far a lid hinge swings forwards from the tailgate, 0 if none"
    )
    hinge_drop_m: _LengthOrZero = Field(
        0.0, description="how far a lid hinge reaches down below the full height"
    )
    hinge_width_m: _LengthOrZero = Field(
        0.0, description="how far a lid hinge reaches in from the side at full height"
    )
    zones: tuple[Zone, ...] = Field((), description="blocks that have to stay free")


class PickupSpace(Record):
    """Space between the seat back and the rear wall of a pickup's cab."""

    kind: Literal["behind-seat"]
    width_m: _Length = Field(description="width between the side trims")
    height_m: _Length = Field(description="floor to the window sill or the wanted height")
    depth_floor_m: _Length = Field(description="seat back to the rear wall, along the floor")
    depth_top_m: _Length = Field(description="seat back to the rear wall, at full height")
    seat_lean_deg: float = Field(
        ge=-10, le=60, description="lean of the seat back from upright, rearwards positive"
    )
    opening: Opening
    tolerance_m: _Tolerance = Field(0.005, description="how far any of these readings may be off")
    zones: tuple[Zone, ...] = Field((), description="blocks that have to stay free")


class UnderSeatSpace(Record):
    """Space under the rear seat of a pickup or van; its front is the open side."""

    kind: Literal["under-seat"]
    width_m: _Length = Field(description="width between the seat's legs or side trims")
    depth_m: _Length = Field(description="rear wall to the front edge of the seat, on the floor")
    height_front_m: _Length = Field(description="floor to seat base, at the front edge")
    height_rear_m: _Length = Field(description="floor to seat base, at the rear wall")
    tunnel_width_m: _LengthOrZero = Field(0.0, description="width of the floor tunnel, 0 if none")
    tunnel_height_m: _LengthOrZero = Field(0.0, description="height of the floor tunnel")
    opening: Opening
    tolerance_m: _Tolerance = Field(0.005, description="how far any of these readings may be off")
    zones: tuple[Zone, ...] = Field((), description="blocks that have to stay free")


class ConsoleSpace(Record):
    """Space between the front seats, where a console stands or stood."""

    kind: Literal["console"]
    length_m: _Length = Field(description="length of the free space along the car")
    width_front_m: _Length = Field(description="width between the seats, at the front end")
    width_rear_m: _Length = Field(description="width between the seats, at the rear end")
    height_front_m: _Length = Field(description="floor to what stands above, at the front end")
    height_rear_m: _Length = Field(description="floor to what stands above, at the rear end")
    opening: Opening
    tolerance_m: _Tolerance = Field(0.005, description="how far any of these readings may be off")
    zones: tuple[Zone, ...] = Field((), description="blocks that have to stay free")


class WellSpace(Record):
    """A spare-wheel well without its wheel; the floor of the frame is the well's bottom."""

    kind: Literal["spare-wheel-well"]
    diameter_bottom_m: _Length = Field(description="diameter of the well at its bottom")
    diameter_top_m: _Length = Field(description="diameter of the well at the load floor")
    depth_m: _Length = Field(description="bottom of the well to the underside of the floor cover")
    bolt_diameter_m: _LengthOrZero = Field(0.0, description="boss of the wheel bolt, 0 if none")
    bolt_height_m: _LengthOrZero = Field(0.0, description="height of the wheel bolt's boss")
    opening: Opening
    tolerance_m: _Tolerance = Field(0.005, description="how far any of these readings may be off")
    zones: tuple[Zone, ...] = Field((), description="blocks that have to stay free")


class Plane(Record):
    """One flat boundary of a free space: the space lies on the side that `normal` leaves."""

    name: str = Field(min_length=1, max_length=40, description="what it is, such as 'seat back'")
    normal: tuple[float, float, float] = Field(
        description="direction out of the space; any length but zero"
    )
    point_m: tuple[float, float, float] = Field(description="a point on the plane")


class Hull(Record):
    """One convex body that stands in a free space, as the hull of its corners."""

    name: str = Field(min_length=1, max_length=40, description="what it is, in a few words")
    points_m: tuple[tuple[float, float, float], ...] = Field(
        min_length=4, max_length=400, description="corners"
    )


class Prism(Record):
    """One upright column that stands in a free space: an outline and two heights."""

    name: str = Field(min_length=1, max_length=40, description="what it is, in a few words")
    outline_m: tuple[tuple[float, float], ...] = Field(
        min_length=3, max_length=64, description="convex outline in plan, (x, y) in metres"
    )
    bottom_m: _Place = Field(description="underside above the load floor")
    top_m: _Place = Field(description="upper side above the load floor")


class FreeSpace(Record):
    """A load space as planes, blocks, bodies and columns; also what comes of a scan."""

    kind: Literal["free", "scan"]
    planes: tuple[Plane, ...] = Field(min_length=4, description="boundaries of the space")
    zones: tuple[Zone, ...] = Field((), description="blocks that have to stay free")
    bodies: tuple[Hull, ...] = Field((), description="convex bodies that stand in it")
    columns: tuple[Prism, ...] = Field((), description="upright columns that stand in it")
    opening: Opening
    tolerance_m: _Tolerance = Field(0.01, description="how far any of these surfaces may be off")


#: Every kind of load space; `kind` tells them apart.
LoadSpace = Annotated[
    BootSpace | PickupSpace | UnderSeatSpace | ConsoleSpace | WellSpace | FreeSpace,
    Field(discriminator="kind"),
]
