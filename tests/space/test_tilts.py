"""Boxes that lean against a seat back or follow a tapering side."""

from __future__ import annotations

import re
from dataclasses import replace
from math import cos, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.records.enclosure import Cuboid
from basswright.records.space import FreeSpace, Opening, PickupSpace, Plane
from basswright.space import BoxTable, Solid, drawings, fit, place, solid
from basswright.space.boxes import box_table
from basswright.space.fit import rooms as rooms_of
from basswright.space.tilts import tilts_of

from .examples import enclosure, full_boot, plain_boot, random_boxes
from .oracle import greatest_growth

_LEAN = 20.0
_DEEP, _HIGH = 0.4, 0.6


def _slanted_slot() -> Solid:
    """Seat back and rear wall lean alike: a slot of even thickness."""
    return solid(
        plain_boot(
            width_floor_m=1.2,
            width_above_arches_m=1.2,
            arch_length_m=0.0,
            arch_height_m=0.0,
            seat_lean_deg=_LEAN,
            depth_floor_m=_DEEP,
            depth_top_m=_DEEP,
            height_m=_HIGH,
            opening=Opening(width_m=1.2, height_m=0.6),
        )
    )


def _bare(width: float, height: float, depth: float) -> BoxTable:
    """One box that wants no air."""
    table = box_table([enclosure(Cuboid(width_m=width, height_m=height, depth_m=depth))])
    return replace(table, cone_air_m=np.zeros(1))


@settings(max_examples=40, deadline=None)
@given(height=st.floats(0.25, 0.55), depth=st.floats(0.1, 0.39))
def test_a_leaning_box_goes_into_a_slanted_slot_by_plain_trigonometry(
    height: float, depth: float
) -> None:
    """Upright: d + h tan a <= D. Leaning: d <= D cos a and h cos a + d sin a <= H."""
    angle = radians(_LEAN)
    upright = _DEEP - depth - height * tan(angle)
    leaning = min(_DEEP * cos(angle) - depth, (_HIGH - depth * sin(angle)) / cos(angle) - height)
    table = fit(_slanted_slot(), _bare(1.15, height, depth), clearance_m=0.0)
    name = table.orientations[int(table.orientation_index[0])]
    if name.startswith("upright") and "leaning" in name:
        assert upright < table.fit.margin[0] / 1000
        expected = min(
            _DEEP * cos(angle) - depth,
            (_HIGH - depth * sin(angle)) / cos(angle) - height,
            (_HIGH - height * cos(angle)) / sin(angle) - depth,
            1.2 - 1.15,
        )
        assert table.fit.margin[0] == pytest.approx(1000 * expected, abs=1e-3)
    if max(upright, leaning) > 1e-6:
        assert table.fit.passes[0]


def test_the_lean_is_that_of_the_seat_back_and_says_how_to_stand() -> None:
    """A box too deep at the top goes in leaning, with the brace that it needs."""
    space = _slanted_slot()
    box = enclosure(Cuboid(width_m=1.0, height_m=0.45, depth_m=0.27))
    placed = place(space, box, clearance_m=0.0)
    room = placed.verdicts[0]
    assert room.passes
    assert placed.pitch_deg == pytest.approx(_LEAN)
    assert "leaning 20° against the seat back" in placed.orientation
    assert "brace" in room.note
    corners = np.array(placed.parts[0])
    lowest = np.sort(corners[:, 2])
    air = 0.012 + 0.015  # in front of the cone, kept from the floor too
    assert lowest[:2] == pytest.approx(air * sin(radians(_LEAN)), abs=1e-6)
    assert "9 mm at its rear edge" in room.note
    assert "102 mm at its front edge" in room.note
    along = corners[4] - corners[0]
    assert np.degrees(np.arctan2(-along[0], along[2])) == pytest.approx(_LEAN)


def _tapering_room() -> Solid:
    """The left side runs inwards by 12 degrees, the right one along the car."""
    angle = radians(12.0)
    return solid(
        FreeSpace(
            kind="free",
            planes=(
                Plane(name="seat back", normal=(1.0, 0.0, 0.0), point_m=(0.0, 0.0, 0.0)),
                Plane(name="tailgate", normal=(-1.0, 0.0, 0.0), point_m=(-1.5, 0.0, 0.0)),
                Plane(name="floor", normal=(0.0, 0.0, -1.0), point_m=(0.0, 0.0, 0.0)),
                Plane(name="cover", normal=(0.0, 0.0, 1.0), point_m=(0.0, 0.0, 0.5)),
                Plane(
                    name="left side",
                    normal=(-sin(angle), cos(angle), 0.0),
                    point_m=(0.0, 0.5, 0.0),
                ),
                Plane(
                    name="right side",
                    normal=(sin(angle), -cos(angle), 0.0),
                    point_m=(0.0, -0.1, 0.0),
                ),
            ),
            opening=Opening(width_m=1.0, height_m=0.5),
        )
    )


def test_a_box_turns_to_follow_a_tapering_side() -> None:
    """Between two walls that run askew by 12 degrees, 0.6 m apart across the car."""
    across = 0.6 * cos(radians(12.0))
    table = fit(_tapering_room(), _bare(across - 0.02, 0.45, 1.0), clearance_m=0.0)
    assert table.fit.passes[0]
    assert table.fit.margin[0] == pytest.approx(20.0, abs=1e-6)
    assert "turned 12° to follow the" in table.orientations[int(table.orientation_index[0])]
    wider = fit(_tapering_room(), _bare(across + 0.002, 0.45, 1.0), clearance_m=0.0)
    assert not wider.fit.passes[0]


def test_room_of_tilted_cuboids_equals_a_zero_gap_integer_programme() -> None:
    """Room along each tilted axis, against HiGHS with all separating axes, to 0.01 mm."""
    spaces = [solid(full_boot(seat_lean_deg=lean)) for lean in (31.0,)]
    rng = np.random.default_rng(5)
    checked = 0
    for space in spaces:
        for tilted in space.tilted:
            turn = tilted.tilt.turn
            for size in rng.uniform([0.25, 0.3, 0.15], [0.6, 1.1, 0.45], (3, 3)):
                rooms = rooms_of(tilted.cells, size[:, None, None])[:, 0, 0]
                for axis in range(3):
                    expected = _oracle_room(space, size, turn, axis)
                    if -0.08 < rooms[axis] < 0.3:
                        assert rooms[axis] == pytest.approx(expected, abs=1e-5)
                        checked += 1
    assert checked > 4


def _oracle_room(space: Solid, size: np.ndarray, turn: np.ndarray, axis: int) -> float:
    grid = np.stack(np.meshgrid([0, 1], [0, 1], [0, 1], indexing="ij"), axis=-1).reshape(-1, 3)
    corners = (grid * size) @ turn.T
    speed = grid[:, axis : axis + 1] * turn[:, axis]
    low = corners[:, 2].min()
    lowest = corners[:, 2] < low + 1e-9
    corners[:, 2] += space.floor_m - low
    speed[:, 2] -= speed[lowest, 2].min()
    return greatest_growth(space, corners, speed)


def test_a_square_room_suggests_no_tilt() -> None:
    """Where nothing slopes, nothing is tilted."""
    from .examples import bare_room

    assert tilts_of(solid(bare_room())) == ()


def test_tilts_never_take_a_box_out_again() -> None:
    """With its slopes known, a space takes every box that it takes without them."""
    boxes = random_boxes(400, seed=3)
    space = solid(full_boot(seat_lean_deg=30.0))
    with_tilts = fit(space, boxes, clearance_m=0.005).fit
    square = replace(space)
    square.__dict__["tilted"] = ()
    without = fit(square, boxes, clearance_m=0.005).fit
    assert (with_tilts.passes >= without.passes).all()
    same = with_tilts.passes == without.passes
    assert (with_tilts.margin[same] >= without.margin[same] - 1e-9).all()


def test_drawings_show_the_leaning_box() -> None:
    """Side and plan carry the length that the turned box takes along the floor."""
    space = solid(
        PickupSpace(
            kind="behind-seat",
            width_m=1.3,
            height_m=0.5,
            depth_floor_m=0.35,
            depth_top_m=0.33,
            seat_lean_deg=18.0,
            opening=Opening(width_m=1.3, height_m=0.5),
        )
    )
    placed = place(
        space, enclosure(Cuboid(width_m=0.9, height_m=0.35, depth_m=0.22)), clearance_m=0.002
    )
    assert placed.pitch_deg == pytest.approx(np.degrees(np.arctan(tan(radians(18.0)) - 0.04)))
    drawn = drawings(space, placed)
    caption = re.findall(r"<text[^>]*>([^<]*)</text>", drawn.side)
    assert "cone rearwards, leaning 16°" in caption
    assert "against the rear wall. Lengths in" in caption
    flat = 0.22 * cos(radians(placed.pitch_deg)) + 0.35 * sin(radians(placed.pitch_deg))
    assert f">{1000 * flat:.0f}<" in drawn.side
    assert f">{1000 * flat:.0f}<" in drawn.plan
