"""What a programme asks of the supply."""

from __future__ import annotations

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.supply import draw_share
from basswright.supply.filter_kernel import low_pass
from basswright.supply.programme import STEP_S, bursts, demand_w, invented_piece, track_share


def test_bursts_are_on_for_their_share_of_the_time() -> None:
    """100 ms in every half second, with their slopes."""
    share = bursts(5.0)
    assert share.size == round(5.0 / STEP_S)
    assert (share.min(), share.max()) == (0.0, 1.0)
    assert share.mean() == pytest.approx((0.1 + 0.002) / 0.5, abs=0.01)


@pytest.mark.parametrize("duty", [0.125, 1 / 3, 0.5])
def test_the_invented_piece_has_the_duty_asked_for(duty: float) -> None:
    """And is the same every time."""
    share = invented_piece(30.0, duty_share=duty)
    assert share.mean() == pytest.approx(duty, rel=1e-3)
    assert share.max() <= 1.0
    assert np.array_equal(share, invented_piece(30.0, duty_share=duty))
    assert not np.array_equal(share, invented_piece(30.0, duty_share=duty, seed=2))


@pytest.mark.parametrize("rate_hz", [8000.0, 44100.0, 48000.0])
def test_a_full_scale_sine_in_the_bass_is_full_power(rate_hz: float) -> None:
    """40 Hz passes an 80 Hz low-pass of fourth order at -0.52 dB; 400 Hz hardly."""
    time = np.arange(int(rate_hz)) / rate_hz
    share = track_share(np.sin(2 * np.pi * 40 * time), rate_hz)
    expected = (1 / (1 + (40 / 80) ** 4)) ** 2
    assert share[600:].mean() == pytest.approx(expected, rel=2e-3)
    both = np.stack([np.sin(2 * np.pi * 40 * time)] * 2, axis=1)
    assert track_share(both, rate_hz) == pytest.approx(share)
    high = track_share(np.sin(2 * np.pi * 400 * time), rate_hz)
    assert high[600:].mean() < 3e-6


def test_the_low_pass_is_linkwitz_riley() -> None:
    """Half the voltage at its corner, against scipy's two Butterworth sections."""
    from scipy.signal import butter, lfilter

    rng = np.random.default_rng(1)
    noise = rng.normal(size=2000)
    b, a = butter(2, 80.0, fs=2000.0)
    reference = lfilter(b, a, lfilter(b, a, noise))
    assert low_pass(noise, float(np.tan(np.pi * 80 / 2000))) == pytest.approx(reference)


def test_demand_agrees_with_the_draw_of_the_balance() -> None:
    """Full power asks P/eff; a programme's mean is the draw share of its duty."""
    assert demand_w(1.0, 1000.0, 0.8) == pytest.approx(1250)
    share = invented_piece(10.0, duty_share=0.25)
    mean = demand_w(share, 1000.0, 0.8).mean()
    assert mean == pytest.approx(1250 * draw_share(0.25, 0.8), rel=1e-2)
    assert demand_w(0.0, 1000.0, 0.8, idle_w=15.0) == 15.0


@pytest.mark.parametrize(
    ("samples", "rate_hz"), [([], 44100.0), ([np.nan], 44100.0), ([0.1, 0.2], 1000.0)]
)
def test_what_is_no_recording_is_refused(samples: list[float], rate_hz: float) -> None:
    """Empty, not a number, or too low a rate."""
    with pytest.raises(InputError):
        track_share(samples, rate_hz)


def test_a_burst_rises_stays_and_falls_at_the_end_of_its_period() -> None:
    """2 ms up, 98 ms of full power and 2 ms down: 100 ms at half height, which is the area."""
    share = bursts(1.0)
    period = share[:1000]
    assert share[1000:] == pytest.approx(period, abs=1e-9)
    assert period[:792].max() == 0.0
    assert np.count_nonzero(period > 0.999) == pytest.approx(197, abs=1)
    assert period.sum() * STEP_S == pytest.approx(0.1, abs=STEP_S)
    long = bursts(1.0, on_s=0.2, period_s=1.0, rise_s=0.01)
    assert long.sum() * STEP_S == pytest.approx(0.2, abs=STEP_S)


def test_the_store_inside_evens_out_twenty_milliseconds() -> None:
    """A click of one sample is spread over 20 ms and keeps its energy; the mono sum of two
    channels, one of them silent, has a quarter of the power."""
    rate = 2000.0 * 4
    click = np.zeros(8000)
    click[:4000] = 0.5 * np.sin(2 * np.pi * 30 * np.arange(4000) / rate)
    even = track_share(click, rate, low_pass_hz=500.0)
    burst = np.flatnonzero(even > 1e-3)
    assert burst[-1] * STEP_S == pytest.approx(0.5 + 0.02, abs=2e-3)
    half = track_share(np.stack([click, np.zeros(8000)], axis=1), rate, low_pass_hz=500.0)
    assert half == pytest.approx(even / 4)


def test_full_scale_clipping_counts_as_a_square_wave_at_most() -> None:
    """Twice the power of a sine."""
    square = np.sign(np.sin(2 * np.pi * 20 * (np.arange(8000) + 0.5) / 8000))
    assert track_share(1.5 * square, 8000.0, low_pass_hz=900.0).max() == pytest.approx(2.0)


def test_demand_of_half_power_splits_the_loss() -> None:
    """500 W of 1000 W at 80 %: 250 W of loss at full power, of which 75 W stay and 175 W go
    with the power: 500 + 87.5 + 75 W."""
    assert demand_w(0.5, 1000.0, 0.8) == pytest.approx(662.5)
