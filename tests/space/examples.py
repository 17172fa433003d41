"""Invented load spaces and boxes for the tests of space."""

from __future__ import annotations

from typing import Any

import numpy as np

from basswright.records.enclosure import Driver, Enclosure, Shape
from basswright.records.space import BootSpace, Opening, Zone
from basswright.space import BoxTable


def plain_boot(**changes: Any) -> BootSpace:
    """A hatchback's load space with square wheel arches."""
    readings: dict[str, Any] = {
        "kind": "hatchback",
        "width_floor_m": 1.0,
        "width_above_arches_m": 1.3,
        "height_m": 0.55,
        "depth_floor_m": 0.75,
        "depth_top_m": 0.55,
        "seat_lean_deg": 22.0,
        "arch_length_m": 0.5,
        "arch_height_m": 0.3,
        "arch_from_seat_m": 0.05,
        "spare_well_diameter_m": 0.6,
        "spare_well_depth_m": 0.15,
        "opening": Opening(width_m=1.0, height_m=0.6, sill_m=0.1),
    }
    return BootSpace(**{**readings, **changes})


def full_boot(**changes: Any) -> BootSpace:
    """The same with tapered arches, leaning sides, hinges and blocks: six keep-outs."""
    readings: dict[str, Any] = {
        "arch_top_length_m": 0.3,
        "arch_top_width_m": 0.1,
        "width_top_m": 1.1,
        "hinge_length_m": 0.15,
        "hinge_drop_m": 0.2,
        "hinge_width_m": 0.1,
        "zones": (
            Zone(
                name="jack",
                reason="jack",
                from_seat_m=0.6,
                length_m=0.12,
                left_of_centre_m=0.35,
                width_m=0.2,
                height_m=0.15,
            ),
            Zone(
                name="tether point",
                reason="tether point",
                from_seat_m=0.15,
                length_m=0.1,
                left_of_centre_m=0.0,
                width_m=0.1,
                bottom_m=0.42,
                height_m=0.2,
            ),
        ),
    }
    return plain_boot(**{**readings, **changes})


def bare_room(width: float = 1.0, height: float = 0.5, depth: float = 0.8) -> BootSpace:
    """An upright box of a room: no arches, nothing leans."""
    return plain_boot(
        width_floor_m=width,
        width_above_arches_m=width,
        height_m=height,
        depth_floor_m=depth,
        depth_top_m=depth,
        seat_lean_deg=0.0,
        arch_length_m=0.0,
        arch_height_m=0.0,
        spare_well_diameter_m=0.0,
        spare_well_depth_m=0.0,
        opening=Opening(width_m=width, height_m=height),
    )


def enclosure(shape: Shape, **changes: Any) -> Enclosure:
    """A closed box with one 300 mm cone of 12 mm excursion."""
    readings: dict[str, Any] = {
        "id": "demo-1",
        "maker": "Demo",
        "model": "Box",
        "kind": "closed",
        "shape": shape,
        "driver": Driver(size_m=0.3, Xmax_m=0.012),
        "price": 100.0,
    }
    return Enclosure(**{**readings, **changes})


def random_boxes(count: int, seed: int, *, wedges: float = 0.2) -> BoxTable:
    """Boxes of plausible sizes, the cone air drawn with them."""
    rng = np.random.default_rng(seed)
    width, height = rng.uniform(0.3, 1.1, count), rng.uniform(0.2, 0.5, count)
    depth = rng.uniform(0.15, 0.55, count)
    wedge = rng.random(count) < wedges
    top = np.where(wedge, depth * rng.uniform(0.4, 0.9, count), depth)
    return BoxTable(
        ids=tuple(str(i) for i in range(count)),
        wedge=wedge,
        width_m=width,
        height_m=height,
        depth_m=depth,
        depth_top_m=top,
        firing=np.zeros(count, np.int64),
        cone_air_m=rng.uniform(0.02, 0.04, count),
        cone_air_estimated=np.zeros(count, bool),
        port_air_m=np.zeros(count),
        kind=("closed",) * count,
        mass_kg=np.full(count, 15.0),
        volume_m3=width * height * (depth + top) / 2,
    )
