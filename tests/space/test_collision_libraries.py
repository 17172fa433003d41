"""The same verdicts from libraries that know nothing of ours.

python-fcl says whether a placed box touches a keep-out, manifold3d how much of a box
lies outside the space; scipy's HiGHS whether any place exists at all.
"""

from __future__ import annotations

import fcl
import manifold3d
import numpy as np
import pytest
from scipy.spatial import ConvexHull

from basswright.space import Solid, fit, solid
from basswright.space.boxes import BoxTable
from basswright.space.fit import stand_family
from basswright.space.placing import box_corners
from basswright.space.standing import own_places

from .examples import full_boot, plain_boot, random_boxes
from .oracle import greatest_growth

_CASES = 500
_NEAR_M = 1e-4


def _fcl_hull(points: np.ndarray) -> fcl.CollisionObject:
    hull = ConvexHull(points)
    faces = np.column_stack([np.full(len(hull.simplices), 3), hull.simplices]).reshape(-1)
    shape = fcl.Convex(points, len(hull.simplices), faces)
    return fcl.CollisionObject(shape, fcl.Transform())


def _penetration(space: Solid, corners: np.ndarray) -> float:
    """Return how deep a box reaches into keep-outs or out of the envelope, by fcl."""
    outside = float((corners @ space.A.T - space.b).max())
    box = _fcl_hull(corners)
    for keep_out in space.keep_outs:
        result = fcl.DistanceResult()
        request = fcl.DistanceRequest(enable_signed_distance=True)
        distance = fcl.distance(box, _fcl_hull(keep_out.body.vertices), request, result)
        outside = max(outside, -distance)
    return outside


def _one(boxes: BoxTable, row: int) -> BoxTable:
    fields = {name: getattr(boxes, name)[row : row + 1] for name in boxes.__dataclass_fields__}
    return BoxTable(**fields)


def _placed(space: Solid, boxes: BoxTable, row: int) -> np.ndarray:
    own, rows = _one(boxes, row), np.array([0])
    found = stand_family(space, own, rows, 0.0)
    origin, turn = own_places(space, own, rows, found, 0.0)
    return np.asarray(origin[0] + box_corners(own) @ turn[0].T)


@pytest.mark.parametrize("readings", [plain_boot(), full_boot()], ids=["plain", "full"])
def test_every_box_that_goes_in_touches_nothing_by_fcl(readings: object) -> None:
    """1,000 random boxes in all: where ours passes, fcl finds no penetration over 0.1 mm."""
    space = solid(readings)
    boxes = random_boxes(_CASES, seed=11)
    table = fit(space, boxes, clearance_m=0.0)
    assert 50 < table.fit.passes.sum() < _CASES
    for row in np.flatnonzero(table.fit.passes):
        assert _penetration(space, _placed(space, boxes, row)) < _NEAR_M


def test_boxes_that_do_not_go_in_have_no_place_by_highs() -> None:
    """In the way it stands best, HiGHS finds no place for a box that ours refuses."""
    space = solid(full_boot())
    boxes = random_boxes(300, seed=12, wedges=0.5)
    table = fit(space, boxes, clearance_m=0.0)
    refused = np.flatnonzero(table.fit.margin < -1000 * _NEAR_M)
    assert len(refused) > 20
    for row in refused[:12]:
        corners = _placed(space, boxes, row)
        corners = corners - corners.min(axis=0)
        assert greatest_growth(space, corners, np.zeros((8, 3))) == -np.inf


def _manifold(points: np.ndarray) -> manifold3d.Manifold:
    return manifold3d.Manifold.hull_points(points.astype(np.float64))


def test_volumes_agree_with_manifold3d() -> None:
    """Volume of the space, and of the part of a placed box outside it, by booleans."""
    space = solid(full_boot())
    whole = _manifold(space.envelope.vertices)
    for keep_out in space.keep_outs:
        whole -= _manifold(keep_out.body.vertices)
    assert space.volume_m3 == pytest.approx(whole.volume(), rel=1e-4)
    boxes = random_boxes(40, seed=13, wedges=0.5)
    table = fit(space, boxes, clearance_m=0.0)
    for row in range(len(boxes)):
        box = _manifold(_placed(space, boxes, row))
        assert box.volume() == pytest.approx(boxes.volume_m3[row], rel=1e-4)
        lost = box.volume() - (box ^ whole).volume()
        if table.fit.passes[row]:
            assert lost < 1e-6
