"""Test signals from a terminal: what is written, how loud, and what is refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile

from tests.cli.conftest import Run


def _dbfs(samples: np.ndarray) -> float:
    """RMS re a full-scale sine, as AES17 counts it."""
    return float(20 * np.log10(np.sqrt(2 * np.mean(samples**2))))


def test_a_tone_has_the_level_and_frequency_that_were_ordered(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "tone.flac"
    ran = run("signal", "tone", path, "--at", "40 Hz", "--level", "-10 dB", "--lasting", "4 s")
    assert ran.code == 0
    assert "caution" in ran.out
    samples, rate = soundfile.read(path)
    assert samples.size == 4 * rate
    assert _dbfs(samples[rate : 3 * rate]) == pytest.approx(-10.0, abs=0.01)
    spectrum = np.abs(np.fft.rfft(samples[rate : 3 * rate]))
    assert np.argmax(spectrum) / 2 == pytest.approx(40.0)


def test_a_sweep_runs_between_the_frequencies_that_were_ordered(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "sweep.wav"
    ran = run("signal", "sweep", path, "--from", "15 Hz", "--to", "0.2 kHz", "--lasting", "8")
    assert ran.code == 0
    samples, rate = soundfile.read(path)
    middle = samples[int(3.5 * rate) : int(11.5 * rate)]
    crossings = np.flatnonzero((middle[:-1] < 0) & (middle[1:] >= 0)) / rate
    hertz = 1 / np.diff(crossings)
    wanted = 15 * (200 / 15) ** ((crossings[:-1] + crossings[1:]) / 2 / 8)
    inside = slice(3, -30)
    assert hertz[inside] == pytest.approx(wanted[inside], rel=0.03)


def test_noise_pulses_and_rattle_sweep_are_written(run: Run, tmp_path: Path) -> None:
    for name, options in (
        ("noise", ("--lasting", "5 s", "--level", "-20 dB")),
        ("pulses", ("--count", "3")),
        ("rattle", ("--lasting", "6 s")),
    ):
        ran = run("signal", name, tmp_path / f"{name}.wav", *options)
        assert ran.code == 0
        assert "caution" in ran.out
    noise, _ = soundfile.read(tmp_path / "noise.wav")
    assert _dbfs(noise) == pytest.approx(-20.0, abs=0.05)
    pulses, rate = soundfile.read(tmp_path / "pulses.wav")
    assert pulses.size == 3 * rate
    assert pulses.min() >= 0


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("tone", "x.wav", "--level", "3 dB"), ("level_dbfs", "3")),
        (("tone", "x.wav", "--at", "40 kg"), ("--at", "40 kg")),
        (("sweep", "x.wav", "--level", "0 dB"), ("level_dbfs", "-3")),
        (("sweep", "x.mp3"), (".mp3", ".wav or .flac")),
        (("noise", "x.wav", "--from", "90 Hz", "--to", "40 Hz"), ("high_hz", "40")),
        (("rattle", "x.wav", "--lasting", "2 h"), ("duration_s", "600")),
    ],
)
def test_unsafe_or_senseless_orders_are_refused(
    run: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    arguments: tuple[str, ...],
    told: tuple[str, ...],
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run("signal", *arguments)
    assert ran.code == 2
    for word in told:
        assert word in ran.err
    assert list(tmp_path.iterdir()) == []
