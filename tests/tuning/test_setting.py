"""Settings as a whole: equaliser within limits, infrasonic filter, gain, delay."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import differential_evolution

from basswright import tuning
from basswright.errors import InputError, InputErrors
from basswright.records.measurement import Measurement
from basswright.records.tuning import EqualiserBand
from basswright.tuning.equalise import fit, house_curve, objective
from basswright.tuning.filters import peaking, response
from basswright.tuning.setting import gain_setting, infrasonic_setting

FREQUENCY = np.geomspace(10, 200, 120)


def _bumpy(seed, size_db=4.0):
    random = np.random.default_rng(seed)
    level = np.full(FREQUENCY.size, 110.0)
    for _ in range(3):
        centre, height = random.uniform(25, 75), random.normal(0, size_db)
        level += height * np.exp(-((np.log2(FREQUENCY / centre) / 0.3) ** 2))
    return level


@settings(max_examples=12, deadline=None)
@given(st.integers(0, 10_000), st.floats(-6, 6))
def test_no_band_ever_boosts_beyond_the_headroom(seed, room):
    """The bands together stay below the headroom, and boost nothing where there is none."""
    headroom = room + 3 * np.sin(np.log(FREQUENCY) * 3 + seed)
    found = fit(
        FREQUENCY,
        _bumpy(seed),
        target_db=house_curve(FREQUENCY, crossover_hz=80.0),
        headroom_db=headroom,
        fit_range_hz=(22.0, 80.0),
    )
    assert (found.equaliser_db <= np.clip(headroom, 0, 6) + 0.06).all()
    assert found.after_db <= found.before_db + 1e-9


def test_fit_is_as_good_as_a_general_optimiser():
    """scipy.optimize.differential_evolution on the same objective, two bands."""
    level, headroom = _bumpy(3), np.full(FREQUENCY.size, 4.0)
    error = level - house_curve(FREQUENCY, crossover_hz=80.0)
    inside = (FREQUENCY >= 22) & (FREQUENCY <= 80)

    def cost(values):
        rest = objective(np.asarray(values), FREQUENCY, error, room_db=headroom, inside=inside)
        return float(rest @ rest)

    span = [(np.log(22), np.log(80)), (-12, 6), (np.log(0.6), np.log(6))]
    general = differential_evolution(cost, span * 2, seed=1, maxiter=150, polish=True)
    found = fit(
        FREQUENCY,
        level,
        target_db=house_curve(FREQUENCY, crossover_hz=80.0),
        headroom_db=headroom,
        fit_range_hz=(22.0, 80.0),
        count=2,
    )
    values = [(np.log(b.frequency_hz), b.gain_db, np.log(b.Q)) for b in found.bands]
    assert np.sqrt(cost(np.ravel(values))) <= np.sqrt(general.fun) * 1.15 + 0.05


def test_a_deviation_made_of_one_band_is_taken_back_exactly():
    hump = EqualiserBand(frequency_hz=42.0, gain_db=7.0, Q=2.5)
    shape = 20 * np.log10(np.abs(response([peaking(hump, 48000.0)], FREQUENCY, 48000.0)))
    found = fit(
        FREQUENCY,
        100 + shape,
        target_db=np.zeros_like(shape),
        headroom_db=np.full(shape.size, 10.0),
        fit_range_hz=(20.0, 90.0),
        count=3,
    )
    deepest = min(found.bands, key=lambda band: band.gain_db)
    assert deepest.frequency_hz == pytest.approx(42, rel=0.05)
    assert found.after_db < 0.15 * found.before_db


def test_tone_voltage_is_the_published_one():
    """sqrt(P R) and 10^(x/20): 300 W into 4 ohm 34.64 V; -5 dB is 0.5623 of it."""
    found = gain_setting(34.641, tone_level_dbfs=-5.0)
    assert found.tone_voltage_v == pytest.approx(19.480, abs=2e-3)


def test_infrasonic_filter_is_the_lowest_that_keeps_the_stroke():
    headroom = np.where(FREQUENCY < 24, -6.0, 3.0)
    found = infrasonic_setting(FREQUENCY, headroom_db=headroom, protect_below_hz=34.0)
    assert found is not None
    edge = FREQUENCY[FREQUENCY < 24].max()
    loss = 10 * np.log10(1 + (found.frequency_hz / edge) ** 8)
    lower = 10 * np.log10(1 + ((found.frequency_hz - 1.0) / edge) ** 8)
    assert loss >= 6.0 > lower


def test_a_closed_box_within_its_stroke_gets_no_infrasonic_filter():
    assert (
        infrasonic_setting(
            FREQUENCY, headroom_db=np.full(FREQUENCY.size, 2.0), protect_below_hz=None
        )
        is None
    )


def _request(**changes):
    return tuning.TuningRequest(crossover_hz=80.0, gain_voltage_v=30.0, **changes)


def test_settings_say_everything_and_the_chain_is_what_they_say():
    request = _request(bass_distance_m=2.4, front_distance_m=1.0, protect_below_hz=34.0)
    found = tuning.settings(
        FREQUENCY, _bumpy(5), headroom_db=np.full(FREQUENCY.size, 3.0), request=request
    )
    assert found.ripple_after_db < found.ripple_before_db
    assert found.delay.on == "front"
    assert found.delay.delay_s == pytest.approx(1.4 / 343.2, rel=1e-6)
    whole = response(found.biquads, [80.0], 48000.0)
    bands = response([peaking(b, 48000.0) for b in found.bands], [80.0], 48000.0)
    corner = 20 * np.log10(np.abs(whole / bands))
    high = 10 * np.log10(1 + (found.infrasonic.frequency_hz / 80.0) ** 8)
    assert corner == pytest.approx([-3.0103 - high], abs=0.01)
    assert any("hearing" in caution for caution in found.cautions)


def test_where_the_box_cannot_the_settings_say_so():
    level = np.where(FREQUENCY < 32, 100.0, 112.0)
    found = tuning.settings(
        FREQUENCY, level, headroom_db=np.zeros(FREQUENCY.size), request=_request()
    )
    bands = response([peaking(band, 48000.0) for band in found.bands], FREQUENCY, 48000.0)
    assert np.abs(bands).max() < 10 ** (0.08 / 20)
    assert found.level_lost_db > 1.0 or found.held_back


def test_bad_arrays_are_named():
    with pytest.raises(InputErrors, match="level_db"):
        tuning.settings(FREQUENCY, [1.0], headroom_db=FREQUENCY, request=_request())
    holed = np.where(FREQUENCY > 50, np.nan, 1.0)
    with pytest.raises(InputErrors, match="not numbers"):
        tuning.settings(FREQUENCY, holed, headroom_db=FREQUENCY, request=_request())
    with pytest.raises(InputError, match="front_distance_m"):
        tuning.from_distances(2.0, 40.0)


def _measured(pressure, frequency):
    level = 20 * np.log10(np.abs(pressure))
    none = np.zeros_like(frequency)
    return Measurement(
        frequency_hz=frequency,
        level_db=level,
        phase_rad=np.unwrap(np.angle(pressure)),
        impulse=np.zeros(8),
        impulse_rate_hz=4800.0,
        arrival_s=0.0,
        harmonics=(2,),
        distortion_db=none[None, :] - 120,
        noise_db=none - 100,
        coherence=none + 1,
        spread_db=none,
        drift_ppm=0.0,
        absolute=True,
        played_dbfs=-12.0,
    )


@pytest.mark.parametrize("late_s", [-0.003, 0.0, 0.005])
@pytest.mark.parametrize("sign", [1, -1])
def test_delay_and_polarity_are_found_from_three_recordings(late_s, sign):
    """Filters of Linkwitz-Riley kind add flat when nothing is late or reversed."""
    frequency = np.geomspace(20, 300, 200)
    s = 1j * frequency / 80
    front = s**4 / (s**2 + np.sqrt(2) * s + 1) ** 2
    plain = 1 / (s**2 + np.sqrt(2) * s + 1) ** 2
    bass = sign * plain * np.exp(-2j * np.pi * frequency * late_s)
    found = tuning.from_measurements(
        _measured(plain * np.exp(0.7j * frequency / 100), frequency),
        _measured(front, frequency),
        together=_measured(front + bass, frequency),
        crossover_hz=80.0,
    )
    wait = found.delay_s * {"bass": 1, "front": -1, "neither": 0}[found.on]
    flip = 1 if found.polarity == "normal" else -1
    fixed = front + flip * bass * np.exp(-2j * np.pi * frequency * wait)
    around = np.abs(np.log2(frequency / 80)) < 0.5
    assert (20 * np.log10(np.abs(fixed[around]))).mean() > -0.6
