"""The rectangular cavity against closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.sound.cabin.air import BULK, DENSITY, SPEED
from basswright.sound.cabin.rectangular import RectangularCabin, static_green

SIZE = np.array([2.4, 1.3, 1.1])
SOURCE = np.array([[0.2, 0.3, 0.2]])
EAR = np.array([1.5, 0.8, 0.9])

# Morse and Ingard, Theoretical Acoustics, section 9.5: the Green's function of this
# box with a hysteretic loss factor of 0.06, closed form along the longest side [Pa s/m3].
GREEN = {
    10: 670.33,
    20: 355.57,
    40: 233.10,
    60: 321.84,
    71.5: 1143.4,
    90: 25.28,
    120: 234.5,
}


def _cabin(loss: float = 0.06) -> RectangularCabin:
    return RectangularCabin(
        corner_m=np.zeros(3),
        size_m=SIZE,
        ear_m=EAR,
        loss_factor=loss,
        volume_m3=float(np.prod(SIZE)),
    )


def test_sum_of_modes_and_residual_is_the_greens_function():
    frequency = np.array(list(GREEN))
    answer = np.abs(_cabin().at_readings(frequency, SOURCE))[0]
    error_db = 20 * np.log10(answer / np.array(list(GREEN.values())))
    assert np.max(np.abs(error_db)) < 0.02


def test_mode_frequencies_are_those_of_a_rectangular_room():
    # Kuttruff, Room Acoustics, eq. (3.16): c/2 sqrt(sum (l/L)²).
    cabin = _cabin()
    modes = cabin.mode_hz(cabin.orders())
    expected = [0, 71.5, 132.0, 143.0, 150.12, 156.0, 171.61, 194.61, 204.35]
    np.testing.assert_allclose(modes[:9], expected, atol=0.01)


def test_far_below_the_modes_only_the_volume_counts():
    # p/Q = ρc²/(ωV): 376.2 Pa s/m3 for 3 m3 at 20 Hz.
    volume = 3.0
    assert BULK / (2 * np.pi * 20 * volume) == pytest.approx(376.2, abs=0.1)
    answer = np.abs(_cabin().at_readings([5.0], SOURCE))[0, 0]
    expected = BULK / (2 * np.pi * 5.0 * np.prod(SIZE))
    assert answer == pytest.approx(expected, rel=0.01)


@settings(max_examples=20, deadline=None)
@given(*[st.floats(0.05, 0.95) for _ in range(6)])
def test_static_residual_is_symmetric_and_sums_the_modes(a, b, c, d, e, f):
    one, two = np.array([a, b, c]) * SIZE, np.array([d, e, f]) * SIZE
    if np.linalg.norm(one - two) < 0.5:
        return
    there, back = static_green(one[None], two, SIZE)[0], static_green(two[None], one, SIZE)[0]
    assert there == pytest.approx(back, abs=2e-3)


def test_static_residual_agrees_with_a_long_sum():
    n = 60
    grid = np.stack(np.meshgrid(*[np.arange(n)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)[1:]
    k2 = (np.pi**2 * (grid / SIZE) ** 2).sum(axis=1)
    scale = np.where(grid > 0, 2.0, 1.0).prod(axis=1)
    waves = np.cos(np.pi * grid * SOURCE[0] / SIZE) * np.cos(np.pi * grid * EAR / SIZE)
    smooth = np.exp(-((grid / n) ** 2).sum(axis=1) * 8)  # tames the end of the sum
    expected = (scale * waves.prod(axis=1) / k2 * smooth).sum() / np.prod(SIZE)
    assert static_green(SOURCE, EAR, SIZE)[0] == pytest.approx(expected, abs=1e-3)


def test_mass_like_rest_of_the_modes_is_there_between_them():
    # Published trap: opposite sides of the node, +3.0 dB at 40 Hz over the volume alone.
    answer = np.abs(_cabin().at_readings([40.0], SOURCE))[0, 0]
    volume_alone = DENSITY * SPEED**2 / (2 * np.pi * 40 * np.prod(SIZE))
    assert 20 * np.log10(answer / volume_alone) == pytest.approx(3.03, abs=0.05)
