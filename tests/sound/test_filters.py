"""Filters of the chain against scipy's Butterworth design."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal

from basswright.errors import InputError
from basswright.sound.filters import chain_response

GRID = np.geomspace(5, 1000, 60)


def test_low_pass_and_infrasonic_filter_are_scipys() -> None:
    """Fourth-order analogue Butterworth, magnitude and phase."""
    low = signal.freqs(*signal.butter(4, 2 * np.pi * 80, "low", analog=True), 2 * np.pi * GRID)[1]
    high = signal.freqs(*signal.butter(4, 2 * np.pi * 25, "high", analog=True), 2 * np.pi * GRID)[1]
    assert chain_response(GRID, lowpass_hz=80.0) == pytest.approx(low, rel=1e-9)
    assert chain_response(GRID, infrasonic_hz=25.0) == pytest.approx(high, rel=1e-9)
    both = chain_response(GRID, lowpass_hz=80.0, infrasonic_hz=25.0)
    assert both == pytest.approx(low * high, rel=1e-9)
    assert chain_response(GRID) == pytest.approx(np.ones(60))


@pytest.mark.parametrize(
    ("corners", "named"),
    [
        ({"lowpass_hz": 0.0}, "lowpass_hz"),
        ({"lowpass_hz": np.inf}, "lowpass_hz"),
        ({"infrasonic_hz": -20.0}, "infrasonic_hz"),
        ({"infrasonic_hz": 80.0, "lowpass_hz": 80.0}, "lies above the low-pass"),
    ],
)
def test_corners_that_cannot_be_are_named(corners: dict[str, float], named: str) -> None:
    """Not positive, not finite, or in the wrong order."""
    with pytest.raises(InputError, match=named):
        chain_response(GRID, **corners)
