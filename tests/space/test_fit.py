"""Many boxes at once, one box in depth, and that both say the same."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.records.enclosure import Cuboid, Port, Wedge
from basswright.space import box_table, fit, place, solid

from .examples import bare_room, enclosure, full_boot, plain_boot, random_boxes


def test_a_box_in_a_bare_room_has_the_margin_of_plain_subtraction() -> None:
    """Width 1000 - 600 - 2 x 5; depth 800 - 350 - 5 - 27; height 500 - 300 - 5."""
    boxes = box_table([enclosure(Cuboid(width_m=0.6, height_m=0.3, depth_m=0.35))])
    table = fit(solid(bare_room(1.0, 0.5, 0.8)), boxes, clearance_m=0.005)
    verdict = table.fit.row(0)
    assert verdict.passes
    assert verdict.margin == pytest.approx(500 - 300 - 5)
    assert verdict.limit == "height"


def test_the_binding_dimension_and_the_cut_are_named() -> None:
    """A box 20 mm too wide for the arches says so, and what would help."""
    boot = plain_boot(arch_height_m=0.5, arch_length_m=0.7, arch_from_seat_m=0.0)
    boxes = box_table([enclosure(Cuboid(width_m=1.02, height_m=0.45, depth_m=0.3))])
    verdict = fit(solid(boot), boxes, clearance_m=0.0).fit.row(0)
    assert not verdict.passes
    assert verdict.margin == pytest.approx(-20.0)
    assert verdict.limit == "width between the wheel arches"
    assert verdict.relief is not None
    assert verdict.relief.amount == pytest.approx(20.0)


def test_touching_counts_as_going_in_with_no_margin() -> None:
    """A box as wide, high and deep as the room has margin zero and passes."""
    boxes = box_table([enclosure(Cuboid(width_m=1.0, height_m=0.5, depth_m=0.773))])
    verdict = fit(solid(bare_room(1.0, 0.5, 0.8)), boxes, clearance_m=0.0).fit.row(0)
    assert verdict.passes
    assert verdict.margin == pytest.approx(0.0, abs=1e-6)
    assert verdict.certainty == "too close to call"


def test_one_box_gets_the_same_answer_alone_and_in_a_table() -> None:
    """`place` and `fit` agree on verdict, margin and cone."""
    space = solid(full_boot())
    shapes = [
        Cuboid(width_m=0.6, height_m=0.4, depth_m=0.35),
        Wedge(width_m=0.8, height_m=0.4, depth_bottom_m=0.4, depth_top_m=0.25),
        Cuboid(width_m=1.2, height_m=0.5, depth_m=0.5),
    ]
    boxes = [enclosure(shape) for shape in shapes]
    table = fit(space, box_table(boxes), clearance_m=0.005)
    for row, box in enumerate(boxes):
        placed = place(space, box, clearance_m=0.005)
        assert placed.verdicts[0] == table.fit.row(row)
        assert placed.verdicts[1].margin == pytest.approx(table.opening.margin[row])
        assert placed.cone == pytest.approx(table.cone_m[row])
        assert placed.orientation == table.orientations[table.orientation_index[row]]


def test_a_placed_box_keeps_its_air_to_every_surface() -> None:
    """Gaps to the sides are never less than the clearance, in front of the cone more."""
    space = solid(full_boot())
    boxes = random_boxes(40, seed=5)
    table = fit(space, boxes, clearance_m=0.008)
    assert table.fit.passes.any()
    placed = place(
        space, enclosure(Cuboid(width_m=0.7, height_m=0.35, depth_m=0.3)), clearance_m=0.008
    )
    gaps = {gap.side: gap.gap_m for gap in placed.gaps}
    assert placed.orientation == "upright, cone rearwards"
    assert gaps["rear"] >= 0.027 - 1e-6
    assert min(gaps[side] for side in ("front", "left", "right", "above")) >= 0.008 - 1e-6
    assert gaps["below"] == 0.0


def test_a_vented_box_keeps_a_port_diameter_free() -> None:
    """The larger of cone air and port diameter counts on the cone side."""
    box = enclosure(
        Cuboid(width_m=0.6, height_m=0.3, depth_m=0.35), kind="vented", ports=Port(diameter_m=0.1)
    )
    assert box_table([box]).front_air_m[0] == pytest.approx(0.1)


def test_answers_can_be_pickled() -> None:
    """A solid and its table go to another process whole."""
    space = solid(full_boot())
    boxes = random_boxes(5, seed=1)
    first = fit(space, boxes, clearance_m=0.005)
    second = fit(pickle.loads(pickle.dumps(space)), boxes, clearance_m=0.005)
    np.testing.assert_array_equal(first.fit.margin, second.fit.margin)
    assert pickle.loads(pickle.dumps(first)).fit.limits == first.fit.limits


@pytest.mark.parametrize("clearance", [-0.001, float("nan"), float("inf")])
def test_an_impossible_clearance_is_refused(clearance: float) -> None:
    """No NaN and no negative air gets in."""
    with pytest.raises(InputError, match="clearance"):
        fit(solid(plain_boot()), random_boxes(1, seed=0), clearance_m=clearance)
