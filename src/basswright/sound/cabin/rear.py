"""The rear of the cabin as acoustics sees it, whatever kind of load space was measured."""

from __future__ import annotations

import numpy as np

from basswright.records.car import Car
from basswright.records.space import (
    BootSpace,
    FreeSpace,
    Opening,
    PickupSpace,
)

#: Depth behind the seat of a cab whose load space lies elsewhere: under a seat, between
#: the seats, in a well (common practice, no source).
_BEHIND_SEAT_M = 0.25


def rear_of(car: Car) -> BootSpace:
    """Return the space behind the rearmost seat back, by plain readings.

    A boot, hatch or load bay is returned as it was measured. For the space behind a
    pickup's seat the side trims are taken as straight; for spaces that say nothing of
    the rear wall (under a seat, a console, a wheel well) a shallow rear is assumed; a
    free space counts as the block that its planes enclose.
    """
    space = car.load_space
    if isinstance(space, BootSpace):
        return space
    if isinstance(space, PickupSpace):
        return _plain(
            space.width_m,
            car.cabin.height_m,
            space.depth_floor_m,
            space.depth_top_m,
            space.seat_lean_deg,
        )
    if isinstance(space, FreeSpace):
        width, height, depth = _extent(space)
        return _plain(width, height, depth, depth, 0.0)
    return _plain(car.cabin.width_m, car.cabin.height_m, _BEHIND_SEAT_M, _BEHIND_SEAT_M, 0.0)


def _plain(
    width_m: float, height_m: float, depth_floor_m: float, depth_top_m: float, lean_deg: float
) -> BootSpace:
    return BootSpace(
        kind="estate",
        width_floor_m=width_m,
        width_above_arches_m=width_m,
        height_m=height_m,
        depth_floor_m=depth_floor_m,
        depth_top_m=depth_top_m,
        seat_lean_deg=lean_deg,
        arch_length_m=0.0,
        arch_height_m=0.0,
        arch_from_seat_m=0.0,
        spare_well_diameter_m=0.0,
        spare_well_depth_m=0.0,
        opening=Opening(width_m=width_m, height_m=height_m),
    )


def _extent(space: FreeSpace) -> tuple[float, float, float]:
    """Width, height and depth between the outermost of the planes' points."""
    points = np.array([plane.point_m for plane in space.planes])
    depth, width, height = np.ptp(points, axis=0)
    clipped = np.clip([width, height, depth], 0.15, 3.0)
    return float(clipped[0]), float(clipped[1]), float(clipped[2])
