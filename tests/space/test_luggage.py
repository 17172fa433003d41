"""Luggage by blocks: hand counts of simple solids, ISO 3832 blocks of 200 x 100 x 50 mm."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.records.enclosure import Cuboid
from basswright.space import place, solid
from basswright.space.luggage import blocks, luggage
from basswright.space.polytope import cuboid

from .examples import bare_room, enclosure, full_boot, plain_boot
from .packing import CELL_M, most_blocks


@pytest.mark.parametrize(
    ("width", "height", "depth", "count"),
    [
        (1.0, 0.5, 0.8, 400),  # 5 x 8 footprints of 200 x 100 in 10 layers of 50
        (0.2, 0.05, 0.1, 1),
        (0.199, 0.05, 0.1, 0),
        (0.3, 0.1, 0.3, 8),  # 200x100 pinwheel leaves 100x100x100: 4 a layer here
        (0.45, 0.05, 0.2, 4),  # 450 leaves 50 over
    ],
)
def test_upright_rooms_hold_what_a_hand_count_says(
    width: float, height: float, depth: float, count: int
) -> None:
    """Whole blocks only, square to the room."""
    found = blocks(solid(bare_room(width, height, depth)), ())
    assert found == count


def test_a_box_takes_at_least_its_own_litres() -> None:
    """A block of 400 x 400 x 200 in an even room costs 32 blocks."""
    space = solid(bare_room(1.0, 0.5, 0.8))
    body = cuboid(np.array([-0.4, -0.5, 0.0]), np.array([0.0, -0.1, 0.2]))
    assert blocks(space, ()) - blocks(space, (body,)) == 32


def test_the_count_is_near_an_exact_packing() -> None:
    """Small rooms with blocks in them, against an integer programme without a gap."""
    ours, best = [], []
    for seed in (2, 5, 6, 8, 10):
        rng = np.random.default_rng(seed)
        count = (rng.integers(5, 12, 3) * np.array([1, 1, 0.7])).astype(int)
        free = np.ones(count, bool)
        depth, width, height = (float(n) for n in count * CELL_M)
        space, bodies = solid(bare_room(width, height, depth)), []
        for _ in range(rng.integers(0, 3)):
            low = rng.integers(0, count - 1)
            high = np.minimum(low + rng.integers(1, 4, 3), count)
            free[tuple(slice(a, b) for a, b in zip(low, high, strict=True))] = False
            front, right = space.high[0], space.low[1]  # the floor lies at 0
            near = np.array([front - high[0] * CELL_M, right + low[1] * CELL_M, low[2] * CELL_M])
            far = np.array([front - low[0] * CELL_M, right + high[1] * CELL_M, high[2] * CELL_M])
            bodies.append(cuboid(near, far))
        ours.append(blocks(space, tuple(bodies)))
        best.append(most_blocks(free))
    assert all(own <= most for own, most in zip(ours, best, strict=True))
    assert all(own >= 0.9 * most for own, most in zip(ours, best, strict=True))
    assert sum(ours) >= 0.97 * sum(best)


def test_a_real_boot_loses_a_few_per_cent_to_its_slopes() -> None:
    """Blocks never exceed the volume, and reach most of it."""
    space = solid(full_boot())
    placed = place(
        space, enclosure(Cuboid(width_m=0.6, height_m=0.35, depth_m=0.3)), clearance_m=0.0
    )
    found = luggage(space, placed)
    assert found.volume_before_m3 - found.volume_after_m3 == pytest.approx(0.063, rel=1e-6)
    assert 0.75 * found.volume_before_m3 < found.blocks_before_m3 <= found.volume_before_m3
    assert found.blocks_after_m3 < found.blocks_before_m3


def test_the_spare_wheel_is_looked_after() -> None:
    """A box over the well is said to be in the way; without a well there is none."""
    box = enclosure(Cuboid(width_m=0.6, height_m=0.35, depth_m=0.3))
    covered = solid(plain_boot())
    assert "under the box" in luggage(covered, place(covered, box, clearance_m=0.0)).spare_wheel
    small = solid(plain_boot(spare_well_diameter_m=0.1))
    placed = place(
        small,
        box.model_copy(update={"shape": Cuboid(width_m=0.4, height_m=0.3, depth_m=0.15)}),
        clearance_m=0.0,
    )
    assert "can be reached" in luggage(small, placed).spare_wheel
    bare = solid(bare_room())
    assert luggage(bare, place(bare, box, clearance_m=0.0)).spare_wheel == "no spare-wheel well"
