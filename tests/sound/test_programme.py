"""Programme signals and what they do, against IEC 60268-1 and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from basswright.errors import InputError
from basswright.sound.programme import (
    BoxResponse,
    Coil,
    coil_rise_k,
    programme_band_db,
    programme_effect,
    programme_signal,
    through,
    track_statistics,
)

RATE = 1000.0

# IEC 60268-1:1985, table II: band [Hz], level [dB], tolerance [dB].
TABLE_II = [
    (20.0, -13.5, 3.0),
    (25.0, -10.2, 2.0),
    (31.5, -7.4, 1.0),
    (40.0, -5.2, 1.0),
    (50.0, -3.5, 1.0),
    (63.0, -2.3, 1.0),
    (80.0, -1.4, 1.0),
    (100.0, -0.9, 0.8),
    (125.0, -0.5, 0.6),
    (160.0, -0.2, 0.5),
    (200.0, -0.1, 0.5),
]


def _figure_2_db(frequency: np.ndarray) -> np.ndarray:
    """Gain of the filter that IEC 60268-1:1985, figure 2 draws, by nodal analysis."""
    out = []
    for f in frequency:
        s = 2j * np.pi * f
        into_first = 430 + 1 / (s * 2.2e-6)
        first = 1 / (1 / 3300 + s * 91e-9)
        into_second = 330 + 1 / (s * 2.2e-6)
        second = 1 / (1 / 3300 + s * 68e-9)
        into_load, load = 1 / (s * 0.47e-6), 10e3
        y = np.array(
            [
                [1 / into_first + 1 / first + 1 / into_second, -1 / into_second, 0],
                [-1 / into_second, 1 / into_second + 1 / second + 1 / into_load, -1 / into_load],
                [0, -1 / into_load, 1 / into_load + 1 / load],
            ]
        )
        out.append(np.linalg.solve(y, [1 / into_first, 0, 0])[2])
    return 20 * np.log10(np.abs(out))


@pytest.mark.parametrize(("frequency", "level", "tolerance"), TABLE_II)
def test_bands_lie_on_the_standards_table(frequency, level, tolerance):
    assert programme_band_db(frequency) == pytest.approx(level, abs=1e-9)
    assert tolerance > 0


def test_bands_agree_with_the_filter_that_the_standard_draws():
    frequency = np.array([row[0] for row in TABLE_II])
    drawn = _figure_2_db(frequency) - _figure_2_db(np.array([250.0]))
    off = np.abs(programme_band_db(frequency) - drawn)
    assert np.all(off <= [row[2] for row in TABLE_II])


def test_signal_has_the_standards_spectrum_and_crest():
    signal = programme_signal(600, RATE, seed=3)
    assert np.sqrt(np.mean(signal**2)) == pytest.approx(1.0, abs=1e-3)
    # IEC 60268-5: peak over RMS between 1.8 and 2.2.
    assert 1.8 <= np.max(np.abs(signal)) <= 2.2
    stats = track_statistics(signal, RATE)
    # A band of constant relative width takes the band level of noise with power 1/f.
    expected = programme_band_db(stats.band_hz)
    off = (stats.band_db - expected) - np.mean(stats.band_db - expected)
    # Limiting the peaks spreads a little power into the lowest band.
    np.testing.assert_allclose(off[1:], 0, atol=0.5)
    assert abs(off[0]) < 1.0


def test_same_seed_same_signal():
    np.testing.assert_array_equal(programme_signal(2, RATE), programme_signal(2, RATE))
    assert not np.array_equal(programme_signal(2, RATE), programme_signal(2, RATE, seed=1))


def _sine(frequency: float, seconds: float = 8.0) -> np.ndarray:
    return np.sin(2 * np.pi * frequency * np.arange(int(seconds * RATE)) / RATE)


def test_sine_has_a_crest_of_3_db_and_full_duty():
    stats = track_statistics(0.5 * _sine(48.0), RATE)
    assert stats.crest_db == pytest.approx(3.0103, abs=0.02)
    assert stats.power_share == pytest.approx(1.0, abs=0.005)
    assert stats.duty_share == 1.0
    assert stats.band_hz[np.argmax(stats.band_db)] == pytest.approx(50.1, abs=0.1)


def test_bursts_have_the_duty_that_they_play():
    burst = np.tile(np.concatenate([_sine(48.0, 1.0), 0.01 * _sine(48.0, 3.0)]), 4)
    assert track_statistics(burst, RATE).duty_share == pytest.approx(0.25, abs=0.02)


def test_stereo_is_added_up():
    left = _sine(48.0)
    assert track_statistics(np.stack([left, left], axis=1), RATE).rms == pytest.approx(
        track_statistics(left, RATE).rms
    )


@settings(max_examples=25, deadline=None)
@given(st.sampled_from([20.0, 40.0, 60.0, 90.0]), st.floats(0.1, 5), st.floats(-1.5, 1.5))
def test_a_tone_goes_through_with_its_gain_and_phase(frequency, gain, turn):
    grid = np.geomspace(5, 200, 60)
    out = through(_sine(frequency), RATE, grid, np.full(60, gain * np.exp(1j * turn)))
    t = np.arange(len(out)) / RATE
    np.testing.assert_allclose(out, gain * np.sin(2 * np.pi * frequency * t + turn), atol=1e-9)


BOX = BoxResponse(
    frequency_hz=np.geomspace(5, 400, 80),
    excursion_m_per_v=np.full(80, 1e-3 + 0j),
    current_a_per_v=np.full(80, 0.25 + 0j),
    limit_m=0.009,
)
COIL = Coil(resistance_ohm=4.0, coil_k_per_w=1.0, magnet_k_per_w=0.5, coil_s=2.0, magnet_s=4.0)


def test_a_clean_sine_draws_its_power_and_moves_the_cone():
    effect = programme_effect(10 * _sine(50.0, 60), RATE, box=BOX, coil=COIL, amplifier_v=20.0)
    assert effect.average_w == pytest.approx(12.5, rel=1e-6)
    assert effect.peak_m == pytest.approx(0.01, rel=1e-3)
    # |sin| exceeds 0.9 in 1 - 2/pi asin(0.9) of the time.
    assert effect.over_limit_share == pytest.approx(1 - 2 / np.pi * np.arcsin(0.9), abs=0.02)
    assert effect.clipped_share == 0
    assert effect.clipping_db == 0
    # Steady state T = P R / (1 + a T), a quadratic.
    a, heat = 0.00393, 12.5 * 1.5
    hot = (-1 + np.sqrt(1 + 4 * a * heat)) / (2 * a)
    assert effect.coil_rise_k == pytest.approx(hot, rel=2e-3)


def test_a_sine_3_db_too_high_clips_half_of_the_time():
    wanted = 20 * np.sqrt(2) * np.sqrt(2) * _sine(7.3, 40)
    effect = programme_effect(wanted, RATE, box=BOX, coil=COIL, amplifier_v=20.0)
    assert effect.clipping_db == pytest.approx(3.0103, abs=0.01)
    assert effect.clipped_share == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(("rise", "loss"), [(50, 1.56), (100, 2.88), (150, 4.03), (200, 5.04)])
def test_hot_copper_plays_quieter(rise, loss):
    # Copper, 0.00393 /K (IACS, IEC 60028): 20 lg (1 + a T).
    coil = Coil(resistance_ohm=4.0, coil_k_per_w=1e-6, magnet_k_per_w=1.0, magnet_s=0.5)
    heat = rise * (1 + 0.00393 * rise)
    volts = np.sqrt(2 * heat * 4.0)
    effect = programme_effect(volts * _sine(50.0, 20), RATE, box=BOX, coil=coil, amplifier_v=200.0)
    assert effect.compression_db == pytest.approx(loss, abs=0.01)


def test_a_coil_warms_with_its_time_constant():
    cold = Coil(
        resistance_ohm=4.0, coil_k_per_w=2.0, magnet_k_per_w=1e-9, coil_s=5.0, per_kelvin=1e-12
    )
    rise = coil_rise_k(np.full(10_000, 10.0), RATE, cold)
    assert rise[39] == pytest.approx(20 * (1 - np.exp(-1)), rel=1e-3)


def test_programme_heats_less_than_a_sine_of_the_same_peak():
    signal = programme_signal(60, RATE)
    peak = np.max(np.abs(signal))
    music = programme_effect(20 * signal / peak, RATE, box=BOX, coil=COIL, amplifier_v=20.0)
    tone = programme_effect(20 * _sine(50.0, 60), RATE, box=BOX, coil=COIL, amplifier_v=20.0)
    assert 0.2 < music.average_w / tone.average_w < 0.6


@pytest.mark.parametrize(
    "track", [np.zeros(2000), np.full(2000, np.nan), np.ones(10), np.ones((2, 2, 2))]
)
def test_tracks_that_say_nothing_are_refused(track):
    with pytest.raises(InputError, match="track"):
        track_statistics(track, RATE)


def test_figures_out_of_range_are_refused():
    with pytest.raises(InputError, match="duration_s"):
        programme_signal(0, RATE)
    with pytest.raises(InputError, match="crest_ratio"):
        programme_signal(1, RATE, crest_ratio=np.nan)
    with pytest.raises(InputError, match="frequency_hz"):
        programme_band_db(0)
    with pytest.raises(InputError, match="response"):
        through(_sine(50), RATE, [10, 5], [1, 1])
    with pytest.raises(InputError, match="response"):
        through(_sine(50), RATE, [5, 10], [1, np.nan])
    with pytest.raises(InputError, match="amplifier_v"):
        programme_effect(_sine(50), RATE, box=BOX, coil=COIL, amplifier_v=0)


# IEC 60268-1:1985, table II, above the bass: band [Hz], level [dB].
TABLE_II_ABOVE = [
    (250.0, 0.0),
    (800.0, 0.0),
    (1000.0, -0.1),
    (2000.0, -1.0),
    (4000.0, -3.7),
    (8000.0, -9.4),
    (16000.0, -18.2),
    (20000.0, -21.6),
]


@pytest.mark.parametrize(("frequency", "level"), TABLE_II_ABOVE)
def test_bands_above_the_bass_lie_on_the_table_too(frequency, level):
    assert programme_band_db(frequency) == pytest.approx(level, abs=1e-9)


def test_below_the_table_the_signal_falls_as_the_table_ends():
    # From 25 to 20 Hz the table falls by 3.3 dB in 0.322 octaves: 10.25 dB an octave.
    assert (10.2 - 13.5) / np.log2(20 / 25) == pytest.approx(10.25, abs=0.01)
    assert programme_band_db([10.0, 5.0]) == pytest.approx([-13.5 - 10.5, -13.5 - 21.0])


@pytest.mark.parametrize(
    ("duration", "rate", "crest"),
    [
        (0.499, 1000, 2), (3601, 1000, 2), (1, 399, 2), (1, 193_000, 2), (1, 1000, 1.49),
        (1, 1000, 4.01),
    ],
)  # fmt: skip
def test_figures_just_out_of_range_are_refused(duration, rate, crest):
    with pytest.raises(InputError, match="out of range"):
        programme_signal(duration, rate, crest_ratio=crest)


def test_figures_at_the_ends_of_their_ranges_are_taken():
    assert programme_signal(0.5, 400, crest_ratio=1.5).size == 200
    assert programme_signal(0.5, 1000, crest_ratio=4.0).size == 500


@pytest.mark.parametrize("crest", [1.8, 2.0, 2.2])
def test_peaks_are_those_asked_for(crest):
    # IEC 60268-5 takes 1.8 to 2.2; without a figure it is the middle.
    signal = programme_signal(60, RATE, crest_ratio=crest)
    assert np.sqrt(np.mean(signal**2)) == pytest.approx(1.0, rel=1e-12)
    assert np.max(np.abs(signal)) == pytest.approx(crest, rel=2e-4)
    assert np.max(np.abs(programme_signal(60, RATE))) == pytest.approx(2.0, rel=2e-4)


def test_band_shares_are_those_of_the_tones():
    # Two tones, one of twice the other's amplitude: 1/5 and 4/5 of the power (Parseval).
    wave = _sine(40.0) + 2 * _sine(80.0)
    stats = track_statistics(wave, RATE)
    bands = 1000 * 10 ** (np.arange(-17, -6) / 10)
    np.testing.assert_allclose(stats.band_hz, bands)
    at = [int(np.argmin(np.abs(bands - f))) for f in (40.0, 80.0)]
    np.testing.assert_allclose(stats.band_db[at], 10 * np.log10([0.2, 0.8]), atol=1e-6)
    assert stats.rms == pytest.approx(np.sqrt(2.5))
    assert stats.peak == pytest.approx(np.abs(wave).max())
    assert stats.power_share == pytest.approx(2 * 2.5 / stats.peak**2)
    # Band edges of IEC 61260-1: a twentieth of a decade either side of the middle.
    for factor, inside in ((0.995, True), (1.005, False)):
        edge = track_statistics(_sine(bands[5] * 10**0.05 * factor, 50.0), RATE).band_db
        assert (edge[5] > -1) is np.bool_(inside)
    assert np.all(stats.band_db[[0, 9, 10]] < -100)


def test_the_level_is_read_every_eighth_of_a_second():
    # "Fast" of IEC 61672-1: 125 ms; within 10 dB of the loudest counts.
    steps = np.repeat([1.0, 0.32, 0.31, 0.1], 125)
    track = np.tile(steps, 4) * np.sin(2 * np.pi * 48 * np.arange(2000) / RATE)
    stats = track_statistics(track, RATE)
    assert stats.envelope.size == 16
    np.testing.assert_allclose(stats.envelope[:4], steps[::125] / np.sqrt(2), rtol=0.01)
    assert stats.duty_share == pytest.approx(0.5)


def test_a_response_is_followed_over_log_frequency():
    # A response that falls by 6 dB an octave between two points: half at the octave.
    grid, value = np.array([10.0, 160.0]), np.array([1.0, 1.0 / 16])
    out = through(_sine(40.0), RATE, grid, value)
    assert np.sqrt(2 * np.mean(out**2)) == pytest.approx(0.25, rel=1e-9)
    assert np.abs(through(_sine(200.0), RATE, grid, value)).max() < 1e-9
    with pytest.raises(InputError, match="one value for each"):
        through(_sine(40.0), RATE, grid, [1.0])


def test_the_excursion_that_is_often_exceeded_is_the_hundredth_of_the_time():
    wanted = 10 * _sine(7.3, 60)
    effect = programme_effect(wanted, RATE, box=BOX, coil=COIL, amplifier_v=20.0)
    # |sin| stays below sin(0.99 pi/2) in 99 % of the time.
    assert effect.often_m == pytest.approx(0.01 * np.sin(0.99 * np.pi / 2), rel=1e-4)
    clipped = programme_effect(wanted, RATE, box=BOX, coil=COIL, amplifier_v=5.0)
    assert clipped.peak_m == pytest.approx(5e-3 * np.sqrt(2), rel=0.25)
    assert clipped.clipping_db == pytest.approx(20 * np.log10(10 / (5 * np.sqrt(2))), abs=1e-3)


def test_two_stages_follow_their_own_time_constants():
    # Without feedback each is W R (1 - exp(-t/tau)); with it the end is a quadratic's root.
    cold = Coil(
        resistance_ohm=4.0, coil_k_per_w=2.0, magnet_k_per_w=0.5, coil_s=5.0, magnet_s=40.0,
        per_kelvin=1e-12,
    )  # fmt: skip
    rise = coil_rise_k(np.full(60_000, 10.0), RATE, cold)
    t = 0.125 * np.arange(1, rise.size + 1)
    wanted = 20 * (1 - np.exp(-t / 5)) + 5 * (1 - np.exp(-t / 40))
    np.testing.assert_allclose(rise, wanted, rtol=1e-9)
    usual = Coil(resistance_ohm=4.0, coil_k_per_w=2.0, magnet_k_per_w=0.5)
    assert (usual.coil_s, usual.magnet_s, usual.per_kelvin) == (8.0, 1200.0, 0.00393)
    one = coil_rise_k(np.full(60, 10.0), RATE, cold)
    assert one.shape == (1,)
    assert one[0] == pytest.approx(20 * (1 - np.exp(-0.06 / 5)) + 5 * (1 - np.exp(-0.06 / 40)))
