"""How fast a whole catalogue is tested against a load space, beside python-fcl.

``python -m benchmarks.space``
"""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from statistics import median

import fcl
import numpy as np
from scipy.spatial import ConvexHull

from basswright.space import BoxTable, Solid, fit, solid
from basswright.space.orientations import Orientation, orientations
from basswright.space.wedges import wedge_corners

from .space_case import boot, boxes

COUNT = 20_000
_LOOPED = 60
_WITH_MARGIN = 12
_STEP_M = 0.02


def _cpu(work: Callable[[], object], repeats: int = 5) -> float:
    times = []
    for _ in range(repeats):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return median(times)


def _hull(points: np.ndarray) -> fcl.CollisionObject:
    hull = ConvexHull(points)
    faces = np.column_stack([np.full(len(hull.simplices), 3), hull.simplices]).reshape(-1)
    return fcl.CollisionObject(fcl.Convex(points, len(hull.simplices), faces), fcl.Transform())


class _Loop:
    """A loop over boxes, ways to stand and places on a grid, with python-fcl."""

    def __init__(self, space: Solid) -> None:
        self.space = space
        self.keep_outs = [_hull(k.body.vertices) for k in space.keep_outs]
        low, high = space.low, space.high
        grid = [np.arange(low[a], high[a], _STEP_M) for a in range(2)]
        self.places = np.stack(np.meshgrid(*grid, indexing="ij"), axis=-1).reshape(-1, 2)
        self.queries = 0

    def goes(self, table: BoxTable, row: int) -> bool:
        ways = orientations("front", wedge=bool(table.wedge[row]))
        return any(self._stands(table, row, way) for way in ways)

    def margin(self, table: BoxTable, row: int) -> float:
        """Room of the tightest size to a millimetre, by bisection, for boxes that go."""
        ways = orientations("front", wedge=bool(table.wedge[row]))
        way = next(way for way in ways if self._stands(table, row, way))
        rooms = []
        for grow in (np.array([1.0, 0, 0, 0]), np.array([0, 1.0, 0, 0]), np.array([0, 0, 1.0, 1])):
            low, high = 0.0, 0.4
            while high - low > 1e-3:
                middle = (low + high) / 2
                goes = self._stands(table, row, way, middle * grow)
                low, high = (middle, high) if goes else (low, middle)
            rooms.append(low)
        return min(rooms)

    def _stands(
        self, table: BoxTable, row: int, way: Orientation, more: np.ndarray | float = 0.0
    ) -> bool:
        size = more + np.array(
            [
                table.width_m[row],
                table.height_m[row],
                table.depth_m[row],
                table.depth_top_m[row],
            ]
        )
        corners, _ = wedge_corners(size, np.zeros(3), np.zeros(3))
        corners = corners @ way.turn.T
        corners = corners - corners.min(axis=0)
        reach = (self.space.A @ corners.T).max(axis=1)
        slack = self.space.b - reach - self.places @ self.space.A[:, :2].T
        inside = self.places[(slack > -1e-9).all(axis=1)]
        if not len(inside):
            return False
        box = _hull(corners)
        for x, y in inside:
            box.setTranslation(np.array([x, y, self.space.floor_m]))
            if not any(self._hits(box, other) for other in self.keep_outs):
                return True
        return False

    def _hits(self, box: fcl.CollisionObject, other: fcl.CollisionObject) -> bool:
        self.queries += 1
        return bool(fcl.collide(box, other, fcl.CollisionRequest(), fcl.CollisionResult()))


def main() -> None:
    """Print the table."""
    table = boxes(COUNT)
    space = solid(boot())
    fit(space, boxes(50), clearance_m=0.005)  # compile

    def fresh() -> None:
        fit(solid(boot()), table, clearance_m=0.005)

    first = _cpu(fresh)
    steps = iter(np.linspace(0.004, 0.02, 50))
    moved = _cpu(lambda: fit(space, table, clearance_m=float(next(steps))))
    square = solid(boot())
    square.__dict__["tilted"] = ()
    fit(square, table, clearance_m=0.005)
    square_moved = _cpu(lambda: fit(square, table, clearance_m=float(next(steps))))
    tilted = fit(space, table, clearance_m=0.005).fit.passes
    gained = int(tilted.sum() - fit(square, table, clearance_m=0.005).fit.passes.sum())
    cuboids = boxes(COUNT, wedge_share=0.0)
    plain = _cpu(lambda: fit(space, cuboids, clearance_m=float(next(steps))))
    ours = fit(space, _without_air(table), clearance_m=0.0).fit
    loop = _Loop(space)
    start = time.process_time()
    answers = [loop.goes(table, row) for row in range(_LOOPED)]
    per_box = (time.process_time() - start) / _LOOPED
    start = time.process_time()
    passing = [row for row in range(_LOOPED) if answers[row]][:_WITH_MARGIN]
    for row in passing:
        loop.margin(table, row)
    per_margin = (time.process_time() - start) / len(passing)
    same = sum(a == bool(p) for a, p in zip(answers, ours.passes, strict=False))
    missed = sum(not a and bool(p) for a, p in zip(answers, ours.passes, strict=False))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    with_margin = per_box + per_margin * float(ours.passes.mean())
    print(f"{len(space.keep_outs)} keep-outs, {len(space.cells.choices)} cells, {COUNT} boxes")
    print(f"new space, verdicts and exact margins       : {first * 1000:8.0f} ms CPU")
    print(f"clearance moved, one in five a wedge        : {moved * 1000:8.0f} ms CPU")
    print(f"the same without any tilt                   : {square_moved * 1000:8.0f} ms CPU")
    print(f"  boxes that only a tilt lets in            : {gained:8d}")
    print(f"clearance moved, cuboids alone              : {plain * 1000:8.0f} ms CPU")
    print(
        f"python-fcl loop over {_STEP_M * 1000:.0f} mm places, a verdict : {per_box * 1000:8.2f} ms"
    )
    print(f"  times faster with margins against without : {per_box * COUNT / first:8.0f}")
    print(f"the same loop with a margin to 1 mm         : {with_margin * 1000:8.2f} ms a box")
    print(f"  times faster                              : {with_margin * COUNT / first:8.0f}")
    print(f"  verdicts equal {same} of {_LOOPED}; {missed} that go in between its places")
    print(f"peak memory                                 : {peak:8.0f} MB")


def _without_air(table: BoxTable) -> BoxTable:
    from dataclasses import replace

    return replace(table, cone_air_m=np.zeros(len(table)))


if __name__ == "__main__":
    main()
