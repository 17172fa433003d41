"""Two figures that a wish is told in, on levels that are known."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.choose import goals


def test_a_dip_around_the_crossover_ends_no_walk_but_one_below_it_does() -> None:
    """From 63 Hz downwards the level has to be held; where it is not, that is told as 79 Hz."""
    held = np.full(goals.GRID_HZ.size, 100.0)
    above = np.where(goals.GRID_HZ > 75.0, 70.0, held)
    assert goals.low_limit_hz(above, goals.GRID_HZ, 105.0) == goals.GRID_HZ[0]
    below = np.where((goals.GRID_HZ > 38.0) & (goals.GRID_HZ < 50.0), 70.0, held)
    assert 45.0 < goals.low_limit_hz(below, goals.GRID_HZ, 105.0) < 56.0
    nowhere = np.where(goals.GRID_HZ > 50.0, 70.0, held)
    assert goals.low_limit_hz(nowhere, goals.GRID_HZ, 105.0) == pytest.approx(10**1.9)
    assert goals.low_limit_hz(nowhere, goals.GRID_HZ, 105.0) >= goals.NOT_HELD_HZ
