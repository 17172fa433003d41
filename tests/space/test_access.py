"""Cover and spare wheel: figures worked out by hand from the plan and the heights."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import Cuboid
from basswright.space import place, solid
from basswright.space.access import access_verdicts
from basswright.space.luggage import luggage
from basswright.space.polytope import cuboid

from .examples import bare_room, enclosure, plain_boot


def test_the_spare_wheel_margin_is_the_distance_in_plan() -> None:
    """A foot 300 and 400 mm off the middle of the well is 500 mm away, less its radius."""
    space = solid(plain_boot())
    assert space.well is not None
    x, y = space.well.centre_m
    body = cuboid(np.array([x + 0.3, y + 0.4, 0.0]), np.array([x + 0.5, y + 0.5, 0.1]))
    found = {v.rule: v for v in access_verdicts(space, body.vertices)}["spare wheel"]
    assert found.margin == pytest.approx((0.5 - space.well.radius_m) * 1000)
    over = cuboid(np.array([x - 0.1, y - 0.3, 0.0]), np.array([x + 0.2, y + 0.3, 0.1]))
    found = {v.rule: v for v in access_verdicts(space, over.vertices)}["spare wheel"]
    assert not found.passes
    assert found.relief is not None
    assert found.relief.amount == pytest.approx((0.1 + space.well.radius_m) * 1000)


def test_a_box_turned_on_the_floor_counts_with_its_own_outline() -> None:
    """A square turned by 45 degrees is a side away from the well, not a corner's rectangle."""
    space = solid(plain_boot())
    assert space.well is not None
    x, y = space.well.centre_m
    centre = np.array([x, y]) + 0.4 / np.sqrt(2) + space.well.radius_m / np.sqrt(2)
    square = 0.2 * np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])
    side = 0.2 / np.sqrt(2)  # half a side of the square, which faces the well
    plan = np.vstack([centre + square] * 2)
    corners = np.column_stack([plan, np.repeat([0.0, 0.1], 4)])
    found = {v.rule: v for v in access_verdicts(space, corners)}["spare wheel"]
    assert found.margin == pytest.approx((0.4 - side) * 1000)


def test_place_and_luggage_say_the_same_of_the_spare_wheel() -> None:
    """The words follow the verdict, wherever the box stands."""
    for diameter in (0.05, 0.3, 0.7):
        space = solid(plain_boot(spare_well_diameter_m=diameter))
        for width in (0.3, 0.6, 0.9):
            box = enclosure(Cuboid(width_m=width, height_m=0.35, depth_m=0.3))
            placed = place(space, box, clearance_m=0.0)
            verdict = {v.rule: v for v in placed.verdicts}["spare wheel"]
            assert verdict.passes == ("can be reached" in luggage(space, placed).spare_wheel)


@pytest.mark.parametrize("air", [0.05, 0.0, -0.02])
def test_the_cover_margin_is_the_air_above_the_box(air: float) -> None:
    """A box that ends so far under the cover leaves that much; above it, it fails."""
    space = solid(plain_boot())
    at = space.surfaces.index("cover")
    top = float(space.b[at] / space.A[at, 2])
    body = cuboid(np.array([-0.4, -0.1, 0.0]), np.array([-0.2, 0.1, top - air]))
    found = {v.rule: v for v in access_verdicts(space, body.vertices)}["cover"]
    assert found.margin == pytest.approx(air * 1000, abs=1e-6)
    assert found.passes == (air >= 0)


def test_what_the_readings_do_not_know_is_left_out() -> None:
    """A room without a well has no verdict on the spare wheel."""
    space = solid(bare_room(1.0, 0.5, 0.8))
    body = cuboid(np.array([-0.4, -0.1, 0.0]), np.array([-0.2, 0.1, 0.2]))
    assert "spare wheel" not in {v.rule for v in access_verdicts(space, body.vertices)}
