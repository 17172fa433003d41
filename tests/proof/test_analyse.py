"""The sweep analysis on rooms with a known answer (Farina, AES 108, 2000)."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import signal as scipy_signal

from basswright.errors import InputError
from basswright.proof.analyse import analyse, frequencies
from basswright.proof.recording import inspect
from basswright.proof.seats import average, coherence
from basswright.records.measurement import Calibration, Recording, Sweep
from basswright.tuning import signals
from tests.proof.rooms import known_room, played, recorded

SWEEP = Sweep()
FREQUENCY = frequencies(SWEEP)
BASS = (FREQUENCY >= 15) & (FREQUENCY <= 150)


def _error(measurement, room=known_room):
    return (measurement.level_db - 20 * np.log10(np.abs(room(FREQUENCY))))[BASS]


@pytest.mark.parametrize("drift_ppm", [-100, -30, 0, 60, 100])
def test_level_is_known_to_a_hundredth_of_a_decibel_with_drift(drift_ppm):
    found = analyse(recorded(drift=drift_ppm * 1e-6), SWEEP)
    assert np.abs(_error(found)).max() < 0.02
    assert found.drift_ppm == pytest.approx(drift_ppm, abs=0.5)


def test_level_is_known_to_a_tenth_of_a_decibel_with_noise_and_drift():
    """Noise 45 dB below the response at its weakest; the worst of 80 frequencies."""
    found = analyse(recorded(drift=8e-5, noise=4e-4), SWEEP)
    assert (found.level_db - found.noise_db)[BASS].min() < 46
    assert np.abs(_error(found)).max() < 0.1
    assert found.drift_ppm == pytest.approx(80, abs=3)


def test_noise_floor_is_what_the_noise_does_to_the_level():
    """The scatter of the level over repeats follows from the stated noise floor."""
    many = [analyse(recorded(noise=4e-3, seed=seed), SWEEP) for seed in range(8)]
    levels = np.array([one.level_db for one in many])[:, BASS]
    stated = np.mean([one.noise_db for one in many], axis=0)[BASS]
    wanted = 20 / np.log(10) * 10 ** ((stated - levels.mean(axis=0)) / 20) / np.sqrt(2)
    scatter = levels.std(axis=0, ddof=1)
    assert np.mean(scatter**2) == pytest.approx(np.mean(wanted**2), rel=0.35)
    assert coherence(many)[BASS].mean() == pytest.approx(
        np.mean([one.coherence[BASS].mean() for one in many]), abs=0.003
    )


def test_clipping_is_found_and_how_much_of_it():
    recording = recorded(clip=0.7)
    share = float(np.mean(np.abs(recording.samples) >= 0.9999 * recording.samples.max()))
    problems = {one.kind: one for one in inspect(recording).problems}
    assert problems["clipping"].severity == "unusable"
    assert f"{share:.2%}"[:3] in problems["clipping"].text
    assert "clipping" not in {one.kind for one in inspect(recorded()).problems}


def test_phase_agrees_with_the_room_but_for_a_delay():
    found = analyse(recorded(), SWEEP)
    rest = np.unwrap(np.angle(known_room(FREQUENCY))) - found.phase_rad
    line = np.polyfit(FREQUENCY[BASS], rest[BASS], 1)
    bent = (rest[BASS] - np.polyval(line, FREQUENCY[BASS]) + np.pi) % (2 * np.pi) - np.pi
    assert np.abs(bent - bent.mean()).max() < 0.02


def test_impulse_agrees_with_scipy_deconvolution_by_division():
    """scipy's cross-spectral estimate (csd over welch) of the same recording, one segment."""
    recording = recorded()
    source = played(SWEEP, rate=48000)
    size = recording.samples.shape[0]
    frequency, cross = scipy_signal.csd(
        source, recording.samples[:, 0].astype(float), 48000, "boxcar", size, detrend=False
    )
    _, power = scipy_signal.welch(source, 48000, "boxcar", size, detrend=False)
    inside = (frequency > 14) & (frequency < 160)
    quotient = np.abs(cross[inside] / power[inside])
    other = np.interp(FREQUENCY[BASS], frequency[inside], quotient)
    mine = 10 ** (analyse(recording, SWEEP).level_db[BASS] / 20)
    assert 20 * np.log10(mine / other) == pytest.approx(0, abs=0.1)


@pytest.mark.parametrize(("number", "share"), [(2, 0.03), (3, 0.02)])
def test_harmonics_are_those_of_a_known_curved_line(number, share):
    """x + a x^2 / A gives a/2 of second harmonic, x + a x^3 / A^2 a/4 of third."""
    source = played(SWEEP, rate=48000)
    top = 10 ** (SWEEP.level_dbfs / 20)
    bent = source + share * source**number / top ** (number - 1)
    recording = Recording(
        samples=bent[:, None].astype(np.float32), sample_rate_hz=48000.0, bits=24, name="bent"
    )
    found = analyse(recording, SWEEP).distortion_db
    wanted = 20 * np.log10(share / 2 ** (number - 1) / (1 + (0.75 * share if number == 3 else 0)))
    inside = (FREQUENCY > 18) & (FREQUENCY < 120)
    assert found[number - 2][inside] == pytest.approx(wanted, abs=0.3)
    others = [row for row in range(4) if row != number - 2]
    assert found[others][:, inside].max() < wanted - 25


def test_harmonic_arrives_as_early_as_published():
    """T ln N / R: f1 10, f2 500, T 8 s gives 1.4175 s for N = 2 and 2.2466 s for N = 3."""
    sweep = Sweep(start_hz=10.0, stop_hz=500.0, duration_s=8.0)
    per_log = sweep.duration_s / sweep.growth
    assert per_log * np.log(2) == pytest.approx(1.4175, abs=5e-5)
    assert per_log * np.log(3) == pytest.approx(2.2466, abs=1e-4)


@pytest.mark.parametrize("rate", [44100, 192000])
def test_other_sample_rates_give_the_same_level(rate):
    assert np.abs(_error(analyse(recorded(rate=rate), SWEEP))).max() < 0.02


def test_a_mistaken_sample_rate_is_found_said_and_corrected():
    wrong = replace(recorded(), sample_rate_hz=44100.0)
    found = analyse(wrong, SWEEP)
    assert "sample rate" in {one.kind for one in found.problems}
    assert np.abs(_error(found)).max() < 0.1


def test_a_recording_that_begins_late_says_what_is_lost():
    whole = recorded()
    late = replace(whole, samples=whole.samples[int((1.37 + 3.5 + 3.0) * 48000) :])
    found = analyse(late, SWEEP)
    assert not found.usable
    text = " ".join(one.text for one in found.problems if one.kind == "start missing")
    lost = 10 * np.exp(3.0 * SWEEP.growth / SWEEP.duration_s)
    assert f"below {lost:.0f} Hz" in text


def test_a_recording_that_ends_early_says_what_is_lost():
    whole = recorded()
    short = replace(whole, samples=whole.samples[: int((1.37 + 3.5 + 6.0) * 48000)])
    found = analyse(short, SWEEP)
    assert "end missing" in {one.kind for one in found.problems}
    assert not found.usable


def test_missing_markers_are_said():
    whole = recorded()
    cut = replace(whole, samples=whole.samples[int((1.37 + 3.0) * 48000) :])
    kinds = {one.kind for one in analyse(cut, SWEEP).problems}
    assert "start marker missing" in kinds
    assert "start missing" not in kinds


def test_too_much_noise_is_said_and_music_is_no_sweep():
    loud = analyse(recorded(noise=0.05), SWEEP)
    assert "noise" in {one.kind for one in loud.problems}
    noise = np.random.default_rng(2).standard_normal((48000 * 20, 1)).astype(np.float32)
    other = Recording(samples=0.1 * noise, sample_rate_hz=48000.0, bits=16, name="other.wav")
    with pytest.raises(InputError, match="not found"):
        analyse(other, SWEEP)


def test_automatic_level_control_is_noticed():
    recording = recorded()
    ramp = np.linspace(1.0, 0.7, recording.samples.shape[0], dtype=np.float32)[:, None]
    found = analyse(replace(recording, samples=recording.samples * ramp), SWEEP)
    assert "changing gain" in {one.kind for one in found.problems}


def test_the_channel_that_holds_the_sweep_is_taken_and_named():
    mono = recorded()
    silent = np.zeros_like(mono.samples)
    for order in ([silent, mono.samples], [mono.samples, silent]):
        stereo = replace(mono, samples=np.hstack(order))
        found = analyse(inspect(stereo), SWEEP)
        assert np.abs(_error(found)).max() < 0.02
        assert "channels" in {one.kind for one in found.problems}
    with pytest.raises(InputError, match="no such channel"):
        analyse(mono, SWEEP, channel=1)


def test_calibration_is_subtracted_and_makes_the_level_absolute():
    calibration = Calibration(
        frequency_hz=np.array([10.0, 100.0, 1000.0]),
        correction_db=np.array([-6.0, 0.0, 0.0]),
        level_at_full_scale_db=126.0,
    )
    plain, corrected = (analyse(recorded(), SWEEP, calibration=c) for c in (None, calibration))
    assert not plain.absolute
    assert corrected.absolute
    at_20 = np.interp(20.0, FREQUENCY, corrected.level_db - plain.level_db)
    assert at_20 == pytest.approx(126.0 + 6.0 * (1 - np.log10(2)), abs=0.01)


def test_seats_are_averaged_as_powers():
    one = analyse(recorded(), SWEEP)
    other = replace(one, level_db=one.level_db - 10, seats=("rear",))
    both = average([one, other])
    assert both.level_db - one.level_db == pytest.approx(10 * np.log10(0.55), abs=1e-9)
    assert both.spread_db == pytest.approx(10 / np.sqrt(2), abs=1e-9)
    assert both.seats == ("driver", "rear")
    with pytest.raises(InputError, match="mixed"):
        average([one, replace(other, absolute=True)])
    with pytest.raises(InputError, match="nothing"):
        average([])


def test_sweep_file_made_here_is_the_one_that_is_looked_for():
    samples = signals.log_sweep(SWEEP).samples
    plain = Recording(
        samples=samples[:, None].astype(np.float32), sample_rate_hz=48000.0, bits=24, name="x"
    )
    found = analyse(plain, SWEEP)
    assert found.level_db[BASS] == pytest.approx(0, abs=0.03)
