"""Test signals: levels, spectra and refusals."""

import numpy as np
import pytest
import soundfile
from scipy import signal as scipy_signal

from basswright.errors import InputError
from basswright.records.measurement import Sweep
from basswright.tuning import signals


def test_tone_is_as_loud_and_as_high_as_stated():
    """AES17: a full-scale sine is 0 dBFS, so its RMS is 1/sqrt 2."""
    made = signals.tone(50.0, level_dbfs=-5.0, duration_s=10.0)
    middle = made.samples[48000:-48000]
    assert 20 * np.log10(np.sqrt(2 * np.mean(middle**2))) == pytest.approx(-5.0, abs=1e-3)
    spectrum = np.abs(np.fft.rfft(middle))
    assert np.argmax(spectrum) * 48000 / middle.size == pytest.approx(50.0)


def test_sweep_equals_scipy_chirp_between_its_fades():
    """scipy.signal.chirp, method logarithmic, is the same published sweep."""
    time = np.arange(0, 8, 1 / 4000)
    mine = signals.chirp(10, 500, time_s=time, duration_s=8.0)
    other = scipy_signal.chirp(time, f0=10, t1=8, f1=500, method="logarithmic", phi=-90)
    middle = (time > 1.0) & (time < 7.5)
    assert mine[middle] == pytest.approx(other[middle], abs=1e-8)


def test_sweep_file_holds_two_equal_markers():
    sweep = Sweep(sample_rate_hz=8000, duration_s=4.0)
    samples = signals.log_sweep(sweep).samples
    assert samples.size == round(sweep.total_s * 8000)
    first, second = (round(start * 8000) for start in signals.marker_starts_s(sweep))
    assert samples[first : first + 4000] == pytest.approx(samples[second : second + 4000])
    assert np.abs(samples[: first - 1]).max() == 0
    assert np.abs(samples).max() == pytest.approx(10 ** (-12 / 20), rel=1e-3)


def test_noise_keeps_to_its_band_and_level():
    made = signals.band_noise(20, 120, level_dbfs=-20.0, duration_s=8.0)
    assert 20 * np.log10(np.sqrt(2 * np.mean(made.samples**2))) == pytest.approx(-20, abs=1e-6)
    frequency, density = scipy_signal.welch(made.samples, 48000, nperseg=48000)
    inside = (frequency >= 25) & (frequency <= 110)
    assert density[(frequency > 140)].max() < 1e-4 * density[inside].mean()
    low, high = (
        density[(frequency >= 25) & (frequency < 35)],
        density[(frequency >= 85) & (frequency < 95)],
    )
    assert 10 * np.log10(low.mean() / high.mean()) == pytest.approx(10 * np.log10(90 / 30), abs=1.0)


def test_polarity_pulse_only_goes_one_way():
    samples = signals.polarity_pulse().samples
    assert samples.min() == 0
    assert samples.max() == pytest.approx(10 ** (-12 / 20), rel=1e-4)


def test_rattle_sweep_turns_round_in_the_middle():
    samples = signals.rattle_sweep(duration_s=20.0).samples
    assert samples == pytest.approx(samples[::-1])


@pytest.mark.parametrize("ending", [".wav", ".flac"])
def test_written_files_read_back(tmp_path, ending):
    made = signals.tone(40.0, duration_s=1.0)
    path = signals.write(made, tmp_path / f"tone{ending}")
    samples, rate = soundfile.read(path)
    assert rate == 48000
    assert samples == pytest.approx(made.samples, abs=2**-22)


def test_unsafe_orders_are_refused(tmp_path):
    with pytest.raises(InputError, match="level_dbfs"):
        signals.log_sweep(Sweep(level_dbfs=0.0))
    with pytest.raises(InputError, match="level_dbfs"):
        signals.tone(50.0, level_dbfs=3.0)
    with pytest.raises(InputError, match=r"\.wav or \.flac"):
        signals.write(signals.tone(50.0, duration_s=1.0), tmp_path / "tone.mp3")
    assert not list(tmp_path.iterdir())


def test_every_signal_brings_its_cautions():
    made = [
        signals.tone(50.0, duration_s=1.0),
        signals.log_sweep(Sweep(sample_rate_hz=8000)),
        signals.band_noise(duration_s=2.0),
        signals.polarity_pulse(),
        signals.rattle_sweep(duration_s=4.0),
    ]
    assert all(any("hearing" in caution for caution in one.cautions) for one in made)
