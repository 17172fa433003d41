"""Wedges: the compiled search against HiGHS, size by size."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.space import Solid, solid
from basswright.space.fit import ranks, stand_family
from basswright.space.orientations import Orientation, growth, orientations
from basswright.space.wedges import desk_for, no_rooms, wedge_corners, wedge_rooms

from .examples import full_boot, random_boxes
from .oracle import greatest_growth

_NONE = np.zeros(3)


def _searched(
    space: Solid, size: np.ndarray, way: Orientation, low: np.ndarray, high: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """Room and axis of wedges in one orientation, with nothing known beforehand."""
    count = len(size)
    found, none = no_rooms(count), np.full((1, count), -np.inf)
    wedge_rooms(
        space.packed,
        (size, np.arange(count), low[None], high[None]),
        (way.turn[None], np.array([way.axis_of], dtype=np.int64), 0),
        (
            np.full((1, count, 3), np.inf),
            np.full((1, count, 3), -np.inf),
            np.full((1, count), np.inf),
            none,
            np.full((1, count), 3),
        ),
        found,
        desk_for(space.packed),
    )
    return found.room, found.axis


def _standing(corners: np.ndarray, turn: np.ndarray) -> np.ndarray:
    turned = corners @ turn.T
    return np.asarray(turned - turned.min(axis=0))


def _expected(space: object, size: np.ndarray, turn: np.ndarray) -> tuple[bool, float]:
    """Return whether a wedge goes in, and its least room or its smallest single cut."""
    corners = _standing(wedge_corners(size, _NONE, _NONE)[0], turn)
    still = np.zeros((8, 3))
    if greatest_growth(space, corners, still) > -1:
        rooms = []
        for axis in range(3):
            speed = np.vstack([still, still + np.eye(3)[axis]])
            both = np.vstack([corners, corners])
            rooms.append(greatest_growth(space, both, speed))
        return True, min(rooms)
    cuts = [-np.inf]
    slope = (size[2] - size[3]) / size[1]
    own = np.zeros((3, 8, 3))
    own[0, [2, 3, 6, 7], 0] = 1.0
    own[1, [1, 3, 5, 7], 1] = 1.0
    own[2, 4:, 2] = 1.0
    own[2, [2, 3], 0] = slope
    for speed in own @ turn.T:
        axis = int(np.abs(speed).max(axis=0).argmax())
        shifted = speed.copy()
        for a in range(3):
            shifted[:, a] -= speed[corners[:, a] < 1e-9, a].min()
        del axis
        found = greatest_growth(space, corners, shifted)
        cuts.append(min(found, 0.0))
    return False, max(cuts)


@pytest.mark.parametrize("seed", range(6))
def test_room_of_a_wedge_equals_a_zero_gap_integer_programme(seed: int) -> None:
    """Verdict and margin agree with HiGHS in a random orientation."""
    space = solid(full_boot())
    rng = np.random.default_rng(seed)
    bottom = rng.uniform(0.3, 0.55)
    size = np.array([rng.uniform(0.4, 1.1), rng.uniform(0.25, 0.5), bottom, bottom * 0.6])
    way = orientations("front", wedge=True)[int(rng.integers(16))]
    rooms, axes = _searched(space, size[None], way, np.zeros((1, 3)), np.zeros((1, 3)))
    found, axis = float(rooms[0]), int(axes[0])
    goes, expected = _expected(space, size, way.turn)
    assert (found >= -1e-7) == goes
    if axis < 3 and np.isfinite(expected):
        assert found == pytest.approx(expected, abs=1e-4)


def test_a_wedge_is_its_bounding_cuboid_less_the_corner() -> None:
    """Depth at the top shrinks by the slope, with the air measured square to the lean."""
    size = np.array([0.8, 0.4, 0.4, 0.25])
    corners, slope = wedge_corners(size, np.array([0.03, 0.01, 0.0]), np.array([0.01, 0.01, 0.01]))
    assert slope == pytest.approx(0.15 / 0.4)
    lean = 0.01 * np.hypot(1, slope)
    assert corners[2] == pytest.approx([0.4 + lean, -0.01, 0.0])
    assert corners[7] == pytest.approx([0.25 + lean - 0.01 * slope, 0.81, 0.41])


@pytest.mark.parametrize("firing", ["front", "up", "down"])
def test_nothing_is_lost_by_what_cuboids_say_beforehand(firing: str) -> None:
    """Room of wedges by cuboids, pruning and search together, or by the search alone."""
    space = solid(full_boot())
    space.__dict__["tilted"] = ()
    boxes = random_boxes(120, seed=3, wedges=1.0)
    rows = np.arange(len(boxes))
    boxes.firing[:] = ("front", "up", "down").index(firing)
    boxes.width_m[:] *= 1.1
    boxes.depth_m[:] *= 1.15
    ways = orientations(firing, wedge=True)
    found = stand_family(space, boxes, rows, 0.005).room_m
    size = np.stack([boxes.width_m, boxes.height_m, boxes.depth_m, boxes.depth_top_m], axis=1)
    best = np.full(len(rows), -np.inf)
    for first, group in ranks(ways):
        open_ = best <= space.tolerance_m
        for way in ways[first : first + len(group)]:
            low, high = growth(way, 0.005, boxes.face_air_m)
            room, _ = _searched(space, size, way, low, high)
            best = np.where(open_, np.maximum(best, room), best)
    lost = np.isneginf(best)
    np.testing.assert_allclose(found[~lost], best[~lost], atol=1e-6)
    np.testing.assert_allclose(found[lost], -size[lost].max(axis=1))
