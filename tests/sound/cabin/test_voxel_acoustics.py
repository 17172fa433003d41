"""The independent simulation itself, against closed forms."""

from __future__ import annotations

import numpy as np

from basswright.sound.cabin.rectangular import RectangularCabin
from tests.sound.cabin.voxel_acoustics import Branch, grid_of

SIZE = np.array([2.4, 1.3, 1.1])


def test_simulated_box_has_the_greens_function_of_a_box():
    # Morse and Ingard, Theoretical Acoustics, section 9.5, away from the resonances.
    grid = grid_of(
        lambda x, y, z: (x < 2.4) & (y < 1.3) & (z < 1.1) & (x > 0) & (y > 0) & (z > 0),
        lambda x, y, z: x > 9,
        np.array([-0.05, -0.05, -0.05]),
        np.array([2.5, 1.4, 1.2]),
        0.1,
    )
    assert abs(grid.volume.sum() - np.prod(SIZE)) < 0.02 * np.prod(SIZE)
    grid.lining_m = 1e-9
    grid.branches = [Branch(grid.volume * 0, lambda omega: 0j)]
    source, ear = np.array([0.3, 0.35, 0.25]), np.array([1.55, 0.85, 0.85])
    frequency = np.array([20.0, 40.0, 55.0, 100.0, 110.0])
    answer = grid.pressure(frequency, grid.near(source, 0.05), grid.near(ear, 0.05), exact=4)
    exact = RectangularCabin(
        corner_m=np.zeros(3),
        size_m=SIZE,
        ear_m=ear,
        loss_factor=1e-6,
        volume_m3=float(np.prod(SIZE)),
    ).at_readings(frequency, source[None])[0]
    off_db = 20 * np.log10(np.abs(answer) / np.abs(exact))
    assert np.max(np.abs(off_db)) < 0.6


def test_walls_of_a_closed_space_cancel():
    # Gauss: the vector areas of a closed surface add up to nothing.
    grid = grid_of(
        lambda x, y, z: (x - 0.5) ** 2 + (y - 0.5) ** 2 + (z - 0.5) ** 2 < 0.2,
        lambda x, y, z: x > 9,
        np.zeros(3),
        np.ones(3),
        0.1,
    )
    assert np.max(np.abs(grid.wall.sum(axis=0))) < 0.02
