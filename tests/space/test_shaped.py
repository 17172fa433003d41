"""Bevelled, L-shaped and round boxes, and boxes on feet."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, radians, tan

import fcl
import manifold3d
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from basswright.records.enclosure import Cuboid, Enclosure, Wedge
from basswright.records.shapes import Cylinder, LShape, Shape, Truncated, outer_volume_m3
from basswright.records.space import Opening, WellSpace
from basswright.space import BoxTable, Solid, box_table, drawings, fit, place, scene, solid
from basswright.space.fit import stand_family
from basswright.space.placing import own_parts
from basswright.space.standing import own_places

from .examples import bare_room, enclosure, full_boot, plain_boot
from .oracle import greatest_growth_of_union

_EDGES = ("back-top", "back-left", "top-right", "bottom-left", "front-top", "back-bottom")


def _random_shape(rng: np.random.Generator) -> Shape:
    width, height, depth = rng.uniform([0.4, 0.2, 0.2], [1.2, 0.5, 0.6]).round(3)
    sizes = {"width_m": width, "height_m": height, "depth_m": depth}
    edge = str(rng.choice(_EDGES))
    kind = str(rng.choice(["bevel", "notch", "round"]))
    if kind == "round":
        return Cylinder(diameter_m=depth, length_m=height, lying=bool(rng.random() < 0.5))
    axis = {"back": "depth", "front": "depth", "left": "width", "right": "width"}
    cuts = {
        f"{kind}_{size}_m": float(sizes[f"{size}_m"] * rng.uniform(0.2, 0.7))
        for size in (axis.get(side, "height") for side in edge.split("-"))
    }
    form = Truncated if kind == "bevel" else LShape
    return form(**sizes, **cuts, **{f"{kind}_edge": edge})


def _bare(boxes: list[Enclosure]) -> BoxTable:
    return replace(box_table(boxes), cone_air_m=np.zeros(len(boxes)))


def _many(count: int, seed: int) -> list[Enclosure]:
    rng = np.random.default_rng(seed)
    return [enclosure(_random_shape(rng), id=f"demo-{n}") for n in range(count)]


def _placed(space: Solid, boxes: BoxTable) -> list[np.ndarray]:
    found = stand_family(space, boxes, np.array([0]), 0.0)
    origin, turn = own_places(space, boxes, np.array([0]), found, 0.0)
    return [origin[0] + part @ turn[0].T for part in own_parts(boxes)]


def _manifold(parts: list[np.ndarray]) -> manifold3d.Manifold:
    whole = manifold3d.Manifold()
    for part in parts:
        whole += manifold3d.Manifold.hull_points(np.ascontiguousarray(part))
    return whole


def _fcl_hull(points: np.ndarray) -> fcl.CollisionObject:
    hull = ConvexHull(points)
    faces = np.column_stack([np.full(len(hull.simplices), 3), hull.simplices]).reshape(-1)
    return fcl.CollisionObject(fcl.Convex(points, len(hull.simplices), faces), fcl.Transform())


@pytest.mark.parametrize("seed", range(6))
def test_outer_volume_is_that_of_the_union_by_booleans(seed: int) -> None:
    """Bevels, notches and cylinders against manifold3d; a round box is a hair larger."""
    for box in _many(8, seed):
        parts = own_parts(box_table([box]))
        found = _manifold(parts).volume()
        expected = outer_volume_m3(box.shape)
        if isinstance(box.shape, Cylinder):
            expected *= 32 / pi * tan(pi / 32)  # circumscribed 32-gon
        assert found == pytest.approx(expected, rel=1e-4)


def test_shapes_that_go_in_overlap_nothing_by_manifold3d_and_fcl() -> None:
    """Random shapes: what ours passes has no volume outside, and touches by 0.1 mm at most."""
    space = solid(full_boot())
    free = _manifold([space.envelope.vertices])
    for keep_out in space.keep_outs:
        free -= _manifold([keep_out.body.vertices])
    bodies = [_fcl_hull(keep_out.body.vertices) for keep_out in space.keep_outs]
    passed = 0
    for box in _many(40, seed=7):
        table = _bare([box])
        if not fit(space, table, clearance_m=0.0).fit.passes[0]:
            continue
        passed += 1
        parts = _placed(space, table)
        whole = _manifold(parts)
        assert whole.volume() - (whole ^ free).volume() < 2e-6
        for part in parts:
            own = _fcl_hull(part)
            for body in bodies:
                request = fcl.DistanceRequest(enable_signed_distance=True)
                assert fcl.distance(own, body, request, fcl.DistanceResult()) > -1e-4
    assert passed > 12


def test_shapes_that_do_not_go_in_have_no_place_by_highs() -> None:
    """Where ours refuses by over 0.1 mm, a zero-gap programme finds no place upright."""
    space = solid(plain_boot())
    checked = 0
    for box in _many(60, seed=8):
        table = _bare([box])
        if isinstance(box.shape, Cylinder) or fit(space, table, clearance_m=0.0).fit.margin[0] > -1:
            continue
        parts = [part - [0, 0, 0] for part in own_parts(table)]
        assert greatest_growth_of_union(space, parts) == -np.inf
        checked += 1
        if checked == 6:
            break
    assert checked == 6


def test_a_bevel_that_follows_the_seat_back_gains_what_it_cuts() -> None:
    """Leaning 20 degrees, a 0.4 m high box wants 146 mm more depth without its bevel."""
    lean = tan(radians(20.0))
    room = solid(
        bare_room(1.0, 0.5, 0.8).model_copy(
            update={"seat_lean_deg": 20.0, "depth_top_m": 0.8 - 0.5 * lean}
        )
    )
    plain = Cuboid(width_m=0.9, height_m=0.4, depth_m=0.75)
    bevelled = Truncated(
        width_m=0.9, height_m=0.4, depth_m=0.75, bevel_height_m=0.4, bevel_depth_m=0.4 * lean
    )
    without = fit(room, _bare([enclosure(plain)]), clearance_m=0.0).fit
    with_it = fit(room, _bare([enclosure(bevelled)]), clearance_m=0.0).fit
    assert not without.passes[0]
    assert without.margin[0] == pytest.approx(1000 * (0.8 - 0.75 - 0.4 * lean), abs=1e-4)
    assert with_it.passes[0]
    assert with_it.margin[0] == pytest.approx(50.0, abs=1e-3)


def test_an_l_shape_reaches_over_a_wheel_arch() -> None:
    """A notch over the left arch is worth its width."""
    room = solid(plain_boot(seat_lean_deg=0.0, depth_top_m=0.75))
    reach = LShape(
        width_m=1.14,
        height_m=0.45,
        depth_m=0.5,
        notch_edge="bottom-left",
        notch_width_m=0.15,
        notch_height_m=0.301,
    )
    found = fit(room, _bare([enclosure(reach)]), clearance_m=0.0).fit
    # 1.0 m between the arches for the 0.99 m below the notch, 1.15 m from arch to wall above
    assert found.margin[0] == pytest.approx(10.0, abs=1e-3)
    plain = Cuboid(width_m=1.14, height_m=0.45, depth_m=0.5)
    assert not fit(room, _bare([enclosure(plain)]), clearance_m=0.0).fit.passes[0]


@pytest.mark.parametrize(("diameter", "goes"), [(0.596, True), (0.5975, False)])
def test_a_round_box_in_a_round_well_is_safe_by_half_a_per_cent(
    diameter: float, goes: bool
) -> None:
    """The well's polygon lies inside its circle: 0.6 m cos(pi/32) = 597.1 mm is the limit."""
    well = solid(
        WellSpace(
            kind="spare-wheel-well",
            diameter_bottom_m=0.6,
            diameter_top_m=0.6,
            depth_m=0.25,
            opening=Opening(width_m=0.7, height_m=0.7),
        )
    )
    assert 0.6 * cos(pi / 32) == pytest.approx(0.5971, abs=1e-4)
    round_box = enclosure(Cylinder(diameter_m=diameter, length_m=0.2), firing="up")
    table = fit(well, _bare([round_box]), clearance_m=0.0)
    assert table.fit.passes[0] == goes


_SIZES = st.floats(0.0, 0.06)


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 500), more=st.tuples(_SIZES, _SIZES, _SIZES), air=_SIZES)
def test_growing_a_shape_or_its_air_never_makes_it_fit(
    seed: int, more: tuple[float, float, float], air: float
) -> None:
    """A larger L of the same notch holds the smaller one; so does one with more air."""
    rng = np.random.default_rng(seed)
    space = solid(plain_boot())
    small = LShape(
        width_m=float(rng.uniform(0.6, 1.1)),
        height_m=float(rng.uniform(0.25, 0.45)),
        depth_m=float(rng.uniform(0.3, 0.55)),
        notch_height_m=0.15,
        notch_depth_m=0.15,
    )
    large = small.model_copy(
        update={
            name: getattr(small, name) + step
            for name, step in zip(("width_m", "height_m", "depth_m"), more, strict=True)
        }
    )
    one, other = (fit(space, _bare([enclosure(s)]), clearance_m=0.0).fit for s in (small, large))
    assert one.passes[0] or not other.passes[0]
    wider = fit(space, _bare([enclosure(small)]), clearance_m=air).fit
    assert one.passes[0] or not wider.passes[0]


def test_a_wedge_as_a_union_gets_the_answer_of_the_wedge() -> None:
    """A bevel over the whole height is a wedge: both ways of searching agree."""
    space = solid(full_boot())
    for depth in (0.35, 0.5, 0.62):
        wedge = Wedge(width_m=0.9, height_m=0.4, depth_bottom_m=depth, depth_top_m=depth - 0.12)
        bevelled = Truncated(
            width_m=0.9, height_m=0.4, depth_m=depth, bevel_height_m=0.4, bevel_depth_m=0.12
        )
        one = fit(space, box_table([enclosure(wedge)]), clearance_m=0.005).fit
        two = fit(space, box_table([enclosure(bevelled)]), clearance_m=0.005).fit
        assert one.passes[0] == two.passes[0]


def test_one_shape_gets_the_same_answer_alone_and_in_a_table() -> None:
    """Shapes, wedges and cuboids share a table; order does not matter."""
    space = solid(full_boot())
    boxes = _many(12, seed=4)
    boxes.insert(5, enclosure(Cuboid(width_m=0.6, height_m=0.3, depth_m=0.3), id="plain"))
    table = fit(space, box_table(boxes), clearance_m=0.005)
    for row in (0, 5, 12):
        alone = fit(space, box_table([boxes[row]]), clearance_m=0.005)
        assert table.fit.margin[row] == pytest.approx(alone.fit.margin[0])
        assert table.cone_m[row] == pytest.approx(alone.cone_m[0])


def test_feet_stand_under_the_box_and_are_part_of_its_height() -> None:
    """50 mm feet under a 300 mm box in a 400 mm room leave 50 mm."""
    room = solid(bare_room(1.0, 0.4, 0.8))
    for shape in (
        Cuboid(width_m=0.6, height_m=0.3, depth_m=0.4),
        Wedge(width_m=0.6, height_m=0.3, depth_bottom_m=0.4, depth_top_m=0.3),
    ):
        box = enclosure(shape, firing="down", feet_m=0.05)
        found = fit(room, box_table([box]), clearance_m=0.0).fit
        assert found.margin[0] == pytest.approx(50.0, abs=1e-3)


def test_pictures_show_every_part() -> None:
    """An L is drawn and shown as two bodies."""
    space = solid(plain_boot())
    shape = LShape(width_m=0.8, height_m=0.4, depth_m=0.4, notch_height_m=0.2, notch_depth_m=0.2)
    placed = place(space, enclosure(shape), clearance_m=0.005)
    assert len(placed.parts) == 2
    assert placed.luggage_lost_m3 == pytest.approx(0.8 * (0.4 * 0.4 - 0.2 * 0.2))
    assert drawings(space, placed).side.count("#e4e4e4") == 2
    assert b"box 2" in scene(space, placed)
