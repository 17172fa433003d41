"""Luggage left: litres by volume, and by blocks of 200 x 100 x 50 mm.

The block count follows the idea of ISO 3832 (blocks of one litre laid into the space);
it lays them square to the car, in layers of one block height each and in rows within a
layer. Layers and rows are chosen by dynamic programming on a grid, so the count is a
lower bound of the best packing; the volume is the upper bound.

References
----------
.. [1] ISO 3832:2002, Passenger cars, Luggage compartments, Method of measuring reference
   volume.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from pydantic import Field

from basswright.records.base import Record
from basswright.records.placement import Placement
from basswright.space.access import spare_wheel
from basswright.space.arrays import Bools, Floats
from basswright.space.polytope import Convex, volume_without
from basswright.space.separation import cuboid_directions
from basswright.space.solids import Solid
from basswright.space.templates import hull_of

GRID_M = 0.025
_BLOCK_M3 = 0.001
_SLACK = 1e-6


class Luggage(Record):
    """What is left for luggage."""

    volume_before_m3: float = Field(ge=0, description="of the empty space, by geometry")
    volume_after_m3: float = Field(ge=0, description="with the box in it, by geometry")
    blocks_before_m3: float = Field(ge=0, description="blocks of one litre, empty")
    blocks_after_m3: float = Field(ge=0, description="blocks of one litre, with the box")
    spare_wheel: str = Field(description="whether the spare wheel can still be reached")
    note: str = Field(description="how near the block count is to the best packing")


def luggage(solid: Solid, placement: Placement) -> Luggage:
    """Return the luggage space before and after a box is fitted.

    Parameters
    ----------
    solid : Solid
    placement : Placement

    Returns
    -------
    Luggage
        Reserved luggage zones count as room for luggage.
    """
    fixed = tuple(k.body for k in solid.keep_outs if k.reason != "luggage")
    parts = tuple(hull_of(np.array(part)) for part in placement.parts)
    before = volume_without(solid.envelope, fixed)
    after = volume_without(solid.envelope, (*fixed, *parts))
    return Luggage(
        volume_before_m3=before,
        volume_after_m3=after,
        blocks_before_m3=blocks(solid, fixed) * _BLOCK_M3,
        blocks_after_m3=blocks(solid, (*fixed, *parts)) * _BLOCK_M3,
        spare_wheel=_spare_wheel(solid, parts),
        note=(
            f"blocks lie square to the car on a {GRID_M * 1000:.0f} mm grid: never more than the "
            "best packing, a few per cent fewer in tapering spaces; take the difference of two "
            "counts from the volumes"
        ),
    )


def _spare_wheel(solid: Solid, parts: tuple[Convex, ...]) -> str:
    verdict = spare_wheel(solid, tuple(part.vertices for part in parts))
    if verdict is None:
        return "no spare-wheel well"
    if verdict.passes:
        return "can be reached with the box in place"
    return "under the box: the box has to come out before the wheel"


def blocks(solid: Solid, bodies: tuple[Convex, ...]) -> int:
    """Return how many blocks of 200 x 100 x 50 mm go in beside the bodies."""
    return int(_stacked(free_grid(solid, bodies)))


def free_grid(solid: Solid, bodies: tuple[Convex, ...]) -> Bools:
    """Return which cells of a grid lie wholly in the free space, shape (nx, ny, nz).

    The grid starts at the front, the right-hand side and the floor of the envelope.
    """
    low, high = solid.low, solid.high
    shape = np.maximum(((high - low + _SLACK) / GRID_M).astype(int), 0)
    starts = [np.arange(count) * GRID_M for count in shape]
    starts[0] = high[0] - low[0] - GRID_M - starts[0]
    corner = np.stack(np.meshgrid(*starts, indexing="ij"), axis=-1) + low
    free = np.ones(tuple(shape), dtype=bool)
    for normal, offset in zip(solid.A, solid.b, strict=True):
        reach = np.maximum(normal, 0.0).sum() * GRID_M
        free &= corner @ normal + reach <= offset + _SLACK
    for body in bodies:
        free &= _clear(corner, body)
    return free


def _clear(corner: Floats, body: Convex) -> Bools:
    clear = np.zeros(corner.shape[:3], dtype=bool)
    for normal in cuboid_directions(body):
        reach = float((body.vertices @ normal).max())
        clear |= corner @ normal + np.minimum(normal, 0.0).sum() * GRID_M >= reach - _SLACK
    return clear


@njit(cache=True, nogil=True)
def _row(free: Bools, low: int, high: int, along: int) -> int:
    """Count blocks of `along` cells end to end in the strip ``free[:, low:high]``."""
    count, run = 0, 0
    for x in range(free.shape[0]):
        whole = True
        for y in range(low, high):
            if not free[x, y]:
                whole = False
                break
        run = run + 1 if whole else 0
        if run == along:
            count += 1
            run = 0
    return count


@njit(cache=True, nogil=True)
def _layer(free: Bools, one: int, two: int) -> int:
    """Count blocks with a foot of one by two cells, in rows over a plan of free cells."""
    size = free.shape[1]
    best = np.zeros(size + 1, np.int64)
    for end in range(1, size + 1):
        best[end] = best[end - 1]
        for wide, along in ((one, two), (two, one)):
            if wide <= end:
                found = best[end - wide] + _row(free, end - wide, end, along)
                best[end] = max(best[end], found)
    return int(best[size])


@njit(cache=True, nogil=True)
def _stacked(free: Bools) -> int:
    """Count blocks in layers of 2, 4 or 8 cells, each in the better direction of rows."""
    size = free.shape[2]
    best = np.zeros(size + 1, np.int64)
    for top in range(1, size + 1):
        best[top] = best[top - 1]
        for high, one, two in ((2, 4, 8), (4, 2, 8), (8, 2, 4)):
            if high > top:
                continue
            plan = np.ones(free.shape[:2], np.bool_)
            for z in range(top - high, top):
                plan &= free[:, :, z]
            found = max(_layer(plan, one, two), _layer(plan.T.copy(), one, two))
            best[top] = max(best[top], best[top - high] + found)
    return int(best[size])
