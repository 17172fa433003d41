"""Frequency grids."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.sound.grid import checked_grid, octave_grid


def test_steps_are_fractions_of_an_octave() -> None:
    """Twelve to the octave are semitones, 1.0595 apart (equal temperament); both ends in."""
    grid = octave_grid(20.0, 160.0)
    assert grid.size == 37
    assert (grid[0], grid[-1]) == (20.0, pytest.approx(160.0))
    assert grid[1:] / grid[:-1] == pytest.approx(1.059463)
    assert octave_grid(16.0, 32.0, 2) == pytest.approx([16, 22.627, 32], abs=1e-3)
    assert octave_grid(16.0, 31.9, 2) == pytest.approx([16, 22.627], abs=1e-3)


def test_only_audible_rising_frequencies_pass() -> None:
    """0.5 Hz to 20 kHz, ends included."""
    ends = [0.5, 20_000.0]
    assert checked_grid(ends).tolist() == ends
    for grid in ([0.4975, 10.0], [10.0, 20_100.0], [10.0, 10.0], [], [[10.0]], [np.inf]):
        with pytest.raises(InputError, match="frequency_hz"):
            checked_grid(grid)
