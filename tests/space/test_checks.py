"""Readings that contradict each other are named, both of them."""

from __future__ import annotations

from typing import Any

import pytest

from basswright.errors import InputErrors
from basswright.records.space import (
    FreeSpace,
    LoadSpace,
    Opening,
    Plane,
    UnderSeatSpace,
    WellSpace,
)
from basswright.space import check, solid
from basswright.space.readings import sample
from basswright.space.sketches import KINDS

from .examples import full_boot, plain_boot

_OPENING = Opening(width_m=0.6, height_m=0.4)


@pytest.mark.parametrize(
    ("changes", "fields"),
    [
        ({"width_floor_m": 1.4}, "width_floor, width_above_arches"),
        ({"width_top_m": 1.4}, "width_top, width_above_arches"),
        ({"arch_height_m": 0.6}, "arch_height, height"),
        ({"arch_height_m": 0.0}, "arch_height, width_floor, width_above_arches"),
        ({"arch_from_seat_m": 0.8}, "arch_from_seat, depth_floor"),
        ({"arch_top_length_m": 0.6}, "arch_top_length, arch_length"),
        ({"arch_top_width_m": 0.2}, "arch_top_width, width_floor, width_above_arches"),
        ({"depth_top_m": 1.6}, "depth_top, depth_floor, seat_lean"),
        ({"depth_top_m": 0.01, "seat_lean_deg": 0.0}, "depth_top, depth_floor, seat_lean"),
        ({"spare_well_depth_m": 0.0}, "spare_well_diameter, spare_well_depth"),
        ({"spare_well_diameter_m": 1.2}, "spare_well_diameter, depth_floor"),
        ({"hinge_drop_m": 0.55}, "hinge_drop, height"),
        ({"opening": Opening(width_m=1.8, height_m=0.5)}, "opening.width, width"),
    ],
)
def test_contradictions_name_every_reading_concerned(changes: dict[str, Any], fields: str) -> None:
    """The problem is found, names its readings, and stops the building of a solid."""
    problems = check(plain_boot(**changes))
    assert fields in [problem.field for problem in problems]
    with pytest.raises(InputErrors, match="load space"):
        solid(plain_boot(**changes))


@pytest.mark.parametrize("kind", KINDS)
def test_the_samples_contradict_nothing(kind: str) -> None:
    """Every kind of load space can be built from plausible readings."""
    space = sample(kind)
    assert check(space) == ()
    assert solid(space).volume_m3 > 0.02


def test_other_kinds_are_checked_too() -> None:
    """Tunnel higher than the seat, well wider below, planes that close nothing."""
    seat = UnderSeatSpace(
        kind="under-seat",
        width_m=1.0,
        depth_m=0.4,
        height_front_m=0.3,
        height_rear_m=0.2,
        tunnel_width_m=0.2,
        tunnel_height_m=0.25,
        opening=_OPENING,
    )
    well = WellSpace(
        kind="spare-wheel-well",
        diameter_bottom_m=0.6,
        diameter_top_m=0.5,
        depth_m=0.2,
        opening=_OPENING,
    )
    sides = [(1.0, 0.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0)]
    open_space = FreeSpace(
        kind="free",
        planes=tuple(
            Plane(name=f"side {n}", normal=normal, point_m=normal) for n, normal in enumerate(sides)
        ),
        opening=_OPENING,
    )
    cases: list[tuple[LoadSpace, str]] = [
        (seat, "tunnel_height, height_rear"),
        (well, "diameter_bottom, diameter_top"),
        (open_space, "planes"),
    ]
    for space, field in cases:
        assert field in [problem.field for problem in check(space)]


def test_a_full_boot_is_made_of_its_readings() -> None:
    """Planes and keep-outs lie where the tape found them."""
    space = solid(full_boot())
    names = dict(zip(space.surfaces, space.b, strict=True))
    assert names["cover"] == pytest.approx(0.55)
    assert names["left side"] == pytest.approx(0.65)
    arch = next(k.body for k in space.keep_outs if k.name == "left wheel arch")
    on_floor = arch.vertices[arch.vertices[:, 2] < 1e-9]
    assert on_floor[:, 1].min() == pytest.approx(0.5)
    assert on_floor[:, 0].max() == pytest.approx(-0.05)
    assert on_floor[:, 0].min() == pytest.approx(-0.55)
    on_top = arch.vertices[arch.vertices[:, 2] > 0.3 - 1e-9]
    assert on_top[:, 1].min() == pytest.approx(0.55)
    assert (on_top[:, 0].max(), on_top[:, 0].min()) == pytest.approx((-0.15, -0.45))
