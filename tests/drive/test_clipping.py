"""Clipped sines against their Fourier series and against known limits."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.drive.clipping import clipped_sine, undistorted_share


@pytest.mark.parametrize("level", [0.999, 0.9, 0.6, 0.2])
def test_power_and_distortion_equal_those_of_a_sampled_clipped_sine(level: float) -> None:
    """The closed form agrees with the discrete Fourier transform of a cut sine."""
    phase = 2 * np.pi * (np.arange(200_000) + 0.5) / 200_000
    wave = np.clip(np.sin(phase), -level, level)
    fundamental = 2 * np.mean(wave * np.sin(phase))
    mean_square = np.mean(wave**2)
    power, distortion = clipped_sine(level)
    assert power == pytest.approx(mean_square / (level**2 / 2), rel=1e-6)
    rest = mean_square - fundamental**2 / 2
    assert distortion == pytest.approx(np.sqrt(rest) / (fundamental / np.sqrt(2)), rel=1e-4)


def test_a_square_wave_is_the_limit() -> None:
    """Twice the power of the sine, distortion sqrt(pi^2/8 - 1) (Fourier series)."""
    power, distortion = clipped_sine(1e-4)
    assert power == pytest.approx(2.0, rel=1e-3)
    assert distortion == pytest.approx(np.sqrt(np.pi**2 / 8 - 1), rel=1e-3)


def test_ten_per_cent_distortion_is_worth_about_a_quarter_more_power() -> None:
    """A rating at 10 % is some 1.25 times that at 1 % (common practice, no source)."""
    assert 1 / undistorted_share(0.10) == pytest.approx(1.25, abs=0.04)


def test_a_rating_at_the_standard_or_below_is_not_touched() -> None:
    """ANSI/CTA-2006 asks for 1 %; less is better and is never scaled up."""
    assert undistorted_share([0.0, 0.001, 0.01]) == pytest.approx([1, 1, 1])


def test_more_distortion_never_leaves_more_power() -> None:
    """The rule falls all the way."""
    share = undistorted_share(np.linspace(0.01, 0.5, 100))
    assert np.all(np.diff(share) <= 0)
    assert share[-1] > 0.5
    assert undistorted_share(0.0101) < 1.0


@pytest.mark.parametrize("distortion", [0.02, 0.05, 0.10, 0.20, 0.40])
def test_the_share_solves_the_fourier_series_for_both_distortions(distortion: float) -> None:
    """Found by bisection on the closed form, not by the table."""
    from scipy.optimize import brentq

    def power(wanted: float) -> float:
        level = brentq(lambda cut: clipped_sine(cut)[1] - wanted, 1e-6, 1 - 1e-9, xtol=1e-14)
        return float(clipped_sine(level)[0])

    assert undistorted_share(distortion) == pytest.approx(power(0.01) / power(distortion), rel=1e-4)
