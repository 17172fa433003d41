"""Cells answer for every upright cuboid; HiGHS answers the same question another way."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.space import solid
from basswright.space.kernels import room

from .examples import bare_room, full_boot, plain_boot
from .oracle import greatest_growth


def _cuboid(size: np.ndarray) -> np.ndarray:
    unit = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
    return unit * size


@pytest.mark.parametrize("boot", [plain_boot(), full_boot()], ids=["plain", "full"])
def test_room_along_each_axis_equals_a_zero_gap_integer_programme(boot: object) -> None:
    """Largest growth along x, y and z agrees with HiGHS to a tenth of a millimetre."""
    space = solid(boot)
    cells = space.cells
    rng = np.random.default_rng(3)
    sizes = rng.uniform([0.2, 0.3, 0.2], [0.6, 1.1, 0.5], (8, 3))
    found = room(np.ascontiguousarray(sizes.T), cells.grow, cells.limit, cells.first).T
    for size, rooms in zip(sizes, found, strict=True):
        axis = int(rng.integers(3))
        speed = np.zeros((8, 3))
        speed[:, axis] = _cuboid(np.ones(3))[:, axis]
        expected = greatest_growth(space, _cuboid(size), speed)
        if np.isfinite(rooms[axis]):
            assert rooms[axis] == pytest.approx(expected, abs=1e-4)
        else:
            assert expected < 0.06 - size[axis] + 1e-4


def test_an_upright_room_gives_its_own_sizes() -> None:
    """In a bare room the room left is plain subtraction."""
    cells = solid(bare_room(1.0, 0.5, 0.8)).cells
    found = room(np.array([[0.3], [0.6], [0.35]]), cells.grow, cells.limit, cells.first).T
    assert found[0, :3] == pytest.approx([0.5, 0.4, 0.15])
    too_large = np.array([[0.85], [1.1], [0.6]])  # no single cut helps, 100 mm off all do
    found = room(too_large, cells.grow, cells.limit, cells.first).T
    assert np.isneginf(found[0, :3]).all()
    assert found[0, 3] == pytest.approx(-0.1)
