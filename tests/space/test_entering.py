"""Getting in, and what the tape's tolerance does to a verdict."""

from __future__ import annotations

import pytest

from basswright.records.enclosure import Cuboid, Enclosure
from basswright.records.space import Opening
from basswright.space import place, solid
from basswright.space.doubts import doubt

from .examples import bare_room, enclosure, full_boot


def _box(width: float, height: float, depth: float) -> Enclosure:
    return enclosure(Cuboid(width_m=width, height_m=height, depth_m=depth))


def _room(opening: Opening, height: float = 0.5, depth: float = 0.8) -> object:
    return solid(bare_room(1.0, height, depth).model_copy(update={"opening": opening}))


def test_a_box_goes_straight_in_over_the_sill() -> None:
    """Lift is the sill's height where the box stands on the floor."""
    space = _room(Opening(width_m=0.9, height_m=0.45, sill_m=0.1))
    placed = place(space, _box(0.6, 0.3, 0.3), clearance_m=0.005)
    assert placed.way_in == "straight in as it stands, lifted 100 mm over the sill"


def test_a_box_wider_than_the_opening_goes_end_first_and_is_turned() -> None:
    """800 mm wide through 600 mm: end first, then a quarter turn, for which there is room."""
    space = _room(Opening(width_m=0.6, height_m=0.45))
    placed = place(space, _box(0.7, 0.3, 0.3), clearance_m=0.005)
    assert placed.way_in == "an end first, then turned a quarter on the floor"


def test_a_turn_without_room_is_not_promised() -> None:
    """Where the diagonal does not fit inside, it has to be tried by hand."""
    space = _room(Opening(width_m=0.6, height_m=0.45), depth=0.4)
    placed = place(space, _box(0.95, 0.3, 0.3), clearance_m=0.005)
    assert placed.way_in == "an end first; turning it inside has to be tried by hand"


def test_a_box_larger_than_the_opening_on_every_side_cannot_get_in() -> None:
    """No tilting helps when the smallest side exceeds the hole."""
    space = _room(Opening(width_m=0.4, height_m=0.3))
    placed = place(space, _box(0.5, 0.35, 0.35), clearance_m=0.0)
    assert "cannot get in" in placed.way_in
    assert not placed.verdicts[1].passes


def test_a_doubtful_verdict_names_the_reading_that_settles_it() -> None:
    """3 mm of room in height at a tolerance of 5 mm: the height has to be measured again."""
    room = bare_room(1.0, 0.5, 0.8)
    found = doubt(room, _box(0.6, 0.492, 0.495), clearance_m=0.005)
    assert found.margin_mm == pytest.approx(3.0)
    assert found.verdict == "too close to call"
    assert found.measure_again == "height"
    assert (found.least_mm, found.most_mm) == pytest.approx((-2.0, 8.0))


def test_a_clear_verdict_asks_for_nothing() -> None:
    """With 50 mm of room no reading needs another look."""
    found = doubt(full_boot(), _box(0.5, 0.3, 0.25), clearance_m=0.005)
    assert found.verdict == "goes in"
    assert found.measure_again == ""
    assert found.least_mm > 0
