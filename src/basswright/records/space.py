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


class Opening(Record):
    """The hole through which the box has to pass, taken as a rectangle."""

    width_m: _Length = Field(description="clear width of the opening at its narrowest")
    height_m: _Length = Field(description="clear height, sill to the upper edge")
    sill_m: _LengthOrZero = Field(0.0, description="height of the sill above the load floor")


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
    tolerance_m: float = Field(
        0.005, ge=0, le=0.1, description="how far any of these readings may be off"
    )


#: Every kind of load space; `kind` tells them apart.
LoadSpace = Annotated[BootSpace, Field()]
