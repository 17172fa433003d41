"""Bodies that are no boxes: cylinders and L shapes."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.space import Opening, WellSpace
from basswright.space import solid
from basswright.space.bodies import cylinder, stand_body
from basswright.space.polytope import cuboid

from .examples import bare_room, plain_boot


def _well(diameter: float) -> WellSpace:
    return WellSpace(
        kind="spare-wheel-well",
        diameter_bottom_m=diameter,
        diameter_top_m=diameter + 0.06,
        depth_m=0.18,
        opening=Opening(width_m=0.7, height_m=0.7),
    )


def test_a_round_box_goes_into_a_spare_wheel_well() -> None:
    """600 mm bottom holds 580 mm but not 610; the polygon inside the well costs half a per cent."""
    space = solid(_well(0.6))
    assert stand_body(space, [cylinder(0.58, 0.15)]) is not None
    assert stand_body(space, [cylinder(0.61, 0.15)]) is None
    assert stand_body(space, [cylinder(0.58, 0.19)]) is None


def test_the_middle_of_a_round_box_is_the_middle_of_the_well() -> None:
    """Flared by 30 mm to 660 at the floor: the centre lies half of that from the front."""
    found = stand_body(solid(_well(0.6)), [cylinder(0.585, 0.05)])
    assert found is not None
    assert found.shift_m == pytest.approx((-0.33, 0.0, 0.0), abs=0.006)


def test_an_l_shape_reaches_over_a_wheel_arch() -> None:
    """Its long arm goes over the arch where its bounding cuboid would not."""
    space = solid(plain_boot(seat_lean_deg=0.0, depth_top_m=0.75))
    foot = cuboid(np.array([0.0, 0.0, 0.0]), np.array([0.3, 0.9, 0.32]))
    arm = cuboid(np.array([0.0, 0.0, 0.305]), np.array([0.3, 1.04, 0.5]))
    whole = cuboid(np.array([0.0, 0.0, 0.0]), np.array([0.3, 1.04, 0.5]))
    assert stand_body(space, [whole]) is None
    found = stand_body(space, [foot, arm])
    assert found is not None
    assert found.shift_m[0] == pytest.approx(-0.3, abs=1e-6)


def test_a_body_goes_to_the_rear_when_asked() -> None:
    """In a bare room of 800 mm a 300 mm body stands at -800."""
    body = cuboid(np.array([0.0, 0.0, 0.0]), np.array([0.3, 0.4, 0.3]))
    found = stand_body(solid(bare_room(1.0, 0.5, 0.8)), [body], toward="rear")
    assert found is not None
    assert found.shift_m == pytest.approx((-0.8, -0.2, 0.0), abs=1e-6)
