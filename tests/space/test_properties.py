"""What has to hold for every box and every load space."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.space import BoxTable, Solid, fit, solid
from basswright.space.openings import passage
from basswright.space.polytope import Convex

from .examples import full_boot, random_boxes

_SPACE = solid(full_boot())
_SEEDS = st.integers(0, 10_000)


def _larger(boxes: BoxTable, by: tuple[float, float, float]) -> BoxTable:
    """Grow width and height, and both depths alike; the slope of a wedge stays."""
    width, depth, height = by
    slope = (boxes.depth_m - boxes.depth_top_m) / boxes.height_m
    return replace(
        boxes,
        width_m=boxes.width_m + width,
        height_m=boxes.height_m + height,
        depth_m=boxes.depth_m + depth + slope * height,
        depth_top_m=boxes.depth_top_m + depth,
    )


@settings(max_examples=30, deadline=None)
@given(_SEEDS, st.tuples(*[st.floats(0, 0.1)] * 3))
def test_growing_a_box_never_makes_it_fit(seed: int, by: tuple[float, float, float]) -> None:
    """Verdicts of larger boxes are a subset."""
    boxes = random_boxes(60, seed)
    small = fit(_SPACE, boxes, clearance_m=0.005)
    large = fit(_SPACE, _larger(boxes, by), clearance_m=0.005)
    assert not (large.fit.passes & ~small.fit.passes).any()
    assert not (large.opening.passes & ~small.opening.passes).any()


@settings(max_examples=30, deadline=None)
@given(_SEEDS, st.floats(0, 0.05), st.floats(0, 0.05))
def test_a_larger_clearance_never_helps(seed: int, one: float, two: float) -> None:
    """Verdicts with more air are a subset."""
    boxes = random_boxes(60, seed)
    less = fit(_SPACE, boxes, clearance_m=min(one, two))
    more = fit(_SPACE, boxes, clearance_m=max(one, two))
    assert not (more.fit.passes & ~less.fit.passes).any()


def _moved(space: Solid, shift: np.ndarray, mirror: np.ndarray) -> Solid:
    """Carry a whole space elsewhere: mirrored, then shifted along the floor."""

    def body(old: Convex) -> Convex:
        A = old.A * mirror
        return Convex(
            A=A, b=old.b + A @ shift, vertices=old.vertices * mirror + shift, edges=old.edges
        )

    keep_outs = tuple(replace(k, body=body(k.body)) for k in space.keep_outs)
    return replace(space, envelope=body(space.envelope), keep_outs=keep_outs)


@settings(max_examples=15, deadline=None)
@given(_SEEDS, st.floats(-1, 1), st.floats(-1, 1), st.sampled_from([-1.0, 1.0]))
def test_moving_space_and_box_together_changes_nothing(
    seed: int, x: float, y: float, side: float
) -> None:
    """A space shifted along the floor, and mirrored left to right, gives equal margins."""
    boxes = random_boxes(40, seed)
    moved = _moved(_SPACE, np.array([x, y, 0.0]), np.array([1.0, side, 1.0]))
    here = fit(_SPACE, boxes, clearance_m=0.005)
    there = fit(moved, boxes, clearance_m=0.005)
    np.testing.assert_allclose(there.fit.margin, here.fit.margin, atol=1e-3)


@settings(max_examples=20, deadline=None)
@given(_SEEDS)
def test_a_box_grown_by_its_margin_touches(seed: int) -> None:
    """Cut by what it lacks, a cuboid that failed goes in with nothing to spare."""
    boxes = random_boxes(60, seed, wedges=0.0)
    table = fit(_SPACE, boxes, clearance_m=0.0)
    failed = np.flatnonzero(~table.fit.passes)
    for row in failed:
        cut = -table.fit.margin[row] / 1000
        sizes = boxes.size_m[row]
        margins = []
        for axis in range(3):
            changed = sizes.copy()
            changed[axis] -= cut
            if changed[axis] > 0.07:
                margins.append(_margin(boxes, row, changed))
        margins.append(_margin(boxes, row, sizes - cut) if (sizes - cut > 0.07).all() else -1.0)
        assert max(margins) > -1e-3


def _margin(boxes: BoxTable, row: int, sizes: np.ndarray) -> float:
    one = {name: getattr(boxes, name)[row : row + 1] for name in boxes.__dataclass_fields__}
    box = replace(
        BoxTable(**one),
        depth_m=sizes[:1],
        depth_top_m=sizes[:1],
        width_m=sizes[1:2],
        height_m=sizes[2:],
    )
    return float(fit(_SPACE, box, clearance_m=0.0).fit.margin[0])


@settings(max_examples=200, deadline=None)
@given(*[st.floats(0.1, 1.5)] * 4)
def test_a_rectangle_passes_as_carver_says(p: float, q: float, a: float, b: float) -> None:
    """Carver's condition of 1957, in the form given by Wetzel, Math. Mag. 73 (2000), 204."""
    long, short = max(p, q), min(p, q)
    wide, narrow = max(a, b), min(a, b)
    if long <= wide:
        expected = short <= narrow
    else:
        turned = (
            2 * long * short * wide
            + (long**2 - short**2) * np.sqrt(max(long**2 + short**2 - wide**2, 0.0))
        ) / (long**2 + short**2)
        expected = short <= wide and narrow >= turned
    size = np.array([[5.0, long, short]])
    room, _, way = passage(size, wide, narrow)
    if abs(room[0]) > 1e-6:
        assert way[0] == 0
        assert (room[0] > 0) == expected
