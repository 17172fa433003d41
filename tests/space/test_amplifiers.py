"""Where the amplifier goes: on the box, on the seat back or on the floor."""

from __future__ import annotations

import pytest

from basswright.records.amplifier import Amplifier, PowerRating
from basswright.records.shapes import Cuboid
from basswright.space import Solid, place, solid
from basswright.space.amplifiers import amplifier_verdict

from .examples import bare_room, enclosure, full_boot


def _amplifier(long_mm: float, short_mm: float, thin_mm: float = 50.0) -> Amplifier:
    return Amplifier(
        id="demo-a",
        maker="Demo",
        model="A",
        channels=1,
        ratings=(PowerRating(mode="single", load_ohm=2.0, power_w=500.0),),
        lowest_load_ohm=2.0,
        width_m=long_mm / 1000,
        depth_m=short_mm / 1000,
        height_m=thin_mm / 1000,
        price=100.0,
    )


def _full_width(depth: float = 0.8) -> tuple[Solid, Cuboid]:
    return solid(bare_room(1.0, 0.5, depth)), Cuboid(width_m=1.0, height_m=0.4, depth_m=0.3)


def test_the_floor_beside_the_box_is_measured_to_the_millimetre() -> None:
    """Seat to box to tailgate: 0.8 - 0.3 m, less 0.1 m before the cone, holds 0.4 m."""
    space, shape = _full_width()
    placed = place(space, enclosure(shape), clearance_m=0.0)
    # end on end across the car: 900 + 2 x 50 = 1000; depth 300 + 2 x 10 = 320 of 400
    found = amplifier_verdict(space, placed, _amplifier(880.0, 300.0))
    assert found is not None
    assert found.passes
    assert "on the floor beside the box" in found.note
    assert found.margin == pytest.approx(20.0, abs=0.01)
    wider = amplifier_verdict(space, placed, _amplifier(920.0, 410.0))
    assert wider is not None
    assert not wider.passes
    assert wider.relief is not None


def test_no_place_is_said_with_how_much_is_missing() -> None:
    """20 mm too long for every place: all sizes would have to shrink by that."""
    space, shape = _full_width(depth=0.42)
    placed = place(space, enclosure(shape), clearance_m=0.0)
    found = amplifier_verdict(space, placed, _amplifier(920.0, 250.0, 60.0))
    assert found is not None
    assert not found.passes
    assert found.margin == pytest.approx(-20.0, abs=6.0)


def test_a_thin_amplifier_goes_on_top_of_the_box() -> None:
    """100 mm above the box take 50 mm of housing and 25 mm of air."""
    space, shape = _full_width(depth=0.35)
    placed = place(space, enclosure(shape), clearance_m=0.0)
    found = amplifier_verdict(space, placed, _amplifier(400.0, 200.0))
    assert found is not None
    assert found.passes
    assert found.limit == "on the box"
    thick = amplifier_verdict(space, placed, _amplifier(400.0, 200.0, 80.0))
    assert thick is not None
    assert not thick.passes


def test_a_seat_back_takes_a_housing_that_the_floor_does_not() -> None:
    """A small box against the seat back leaves the seat back above it free."""
    space = solid(full_boot())
    placed = place(
        space,
        enclosure(Cuboid(width_m=0.9, height_m=0.2, depth_m=0.6), firing="up"),
        clearance_m=0.005,
    )
    found = amplifier_verdict(space, placed, _amplifier(250.0, 150.0, 45.0))
    assert found is not None
    assert "on the seat back" in found.note
    assert "airbag" in found.note or found.limit != "on the seat back"


def test_a_sheet_without_sizes_gets_no_verdict() -> None:
    """Nothing is guessed of a housing."""
    space, shape = _full_width()
    placed = place(space, enclosure(shape), clearance_m=0.0)
    unknown = _amplifier(400.0, 200.0).model_copy(update={"height_m": None})
    assert amplifier_verdict(space, placed, unknown) is None
