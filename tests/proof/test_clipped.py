"""Clipped recordings: filled in from the rest, or said to be lost."""

from dataclasses import replace

import numpy as np
import pytest

from basswright.errors import InputError
from basswright.proof.analyse import analyse, frequencies
from basswright.proof.clipped import clipped_samples
from basswright.proof.recording import inspect
from basswright.records.measurement import Recording, Sweep
from tests.proof.rooms import known_room, played, recorded, through

SWEEP = Sweep()
FREQUENCY = frequencies(SWEEP)
BASS = (FREQUENCY >= 15) & (FREQUENCY <= 150)


def _error(found):
    return float(np.abs(found.level_db - 20 * np.log10(np.abs(known_room(FREQUENCY))))[BASS].max())


def _clipping(found):
    return next(one for one in found.problems if one.kind == "clipping")


@pytest.mark.parametrize("clip", [0.89, 0.6])
def test_the_level_of_a_clipped_recording_is_known_to_a_tenth_of_a_decibel(clip):
    """1 dB and 4.4 dB below the peak, 1 and 5 % of all samples, with noise and drift."""
    recording = inspect(recorded(clip=clip, noise=2e-4, drift=5e-5))
    found = analyse(recording, SWEEP)
    assert _error(found) < 0.1
    assert _clipping(found).severity == "note"
    assert "sure to" in _clipping(found).text
    assert found.usable


def test_a_loudspeaker_that_distorts_is_told_from_the_clipping():
    """Second and third harmonic of 3 %; the doubt that is stated covers the error."""
    top = 10 ** (SWEEP.level_dbfs / 20)
    source = played(SWEEP, rate=48000)
    bent = source + 0.06 * source**2 / top + 0.12 * source**3 / top**2
    heard = through(bent, 48000, lambda f: known_room(f) / (1 + 3 * 0.03))
    heard = heard + 1e-4 * np.random.default_rng(4).standard_normal(heard.size)
    top = 0.7 * np.abs(heard).max()
    recording = Recording(
        samples=np.clip(heard, -top, top)[:, None].astype(np.float32),
        sample_rate_hz=48000.0,
        bits=24,
        name="bent.wav",
    )
    found = analyse(recording, SWEEP)
    stated = float(_clipping(found).text.split("sure to ")[1].split(" dB")[0])
    assert _error(found) < 0.1
    assert _error(found) <= stated < 0.3


def test_what_cannot_be_told_is_said_to_be_lost():
    """Clipped to a square wave: the figure may be off by more than is told elsewhere."""
    found = analyse(recorded(clip=0.03, noise=1e-4), SWEEP)
    assert _clipping(found).severity == "unusable"
    assert not found.usable
    assert "turn the recorder down" in _clipping(found).remedy


@pytest.mark.parametrize("clip", [0.95, 0.8])
def test_clipped_samples_are_those_that_were_clipped(clip):
    recording = recorded(clip=clip)
    heard = recording.samples[:, 0]
    wanted = np.abs(heard) >= 0.99999 * np.abs(heard).max()
    assert np.mean(clipped_samples(heard) == wanted) > 0.9998


def test_tops_with_noise_on_them_are_found_and_a_clean_recording_has_none():
    heard = recorded(clip=0.8).samples[:, 0]
    noisy = heard + 2e-4 * np.random.default_rng(3).standard_normal(heard.size).astype(np.float32)
    assert clipped_samples(noisy).mean() == pytest.approx(
        np.mean(heard >= heard.max()) * 2, rel=0.2
    )
    clean = recorded(noise=1e-4).samples[:, 0]
    assert not clipped_samples(clean).any()
    coarse = np.round(clean * 127) / np.float32(127)
    assert not clipped_samples(coarse.astype(np.float32)).any()
    time = np.arange(48000 * 3) / 48000
    assert not clipped_samples((0.5 * np.sin(2 * np.pi * 50 * time)).astype(np.float32)).any()


@pytest.mark.parametrize(
    "wrong", [{"duration_s": 10.0}, {"start_hz": 12.0}, {"stop_hz": 250.0}, {"duration_s": 11.5}]
)
def test_another_sweep_than_the_one_that_was_played_is_refused(wrong):
    with pytest.raises(InputError, match=r"another sweep|not found"):
        analyse(recorded(), replace(SWEEP, **wrong))
