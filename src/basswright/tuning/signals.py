"""Which test signals are played, how loud, and with which cautions?

Every signal is made to order as samples (full scale 1) and can be written as WAV or FLAC.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.measurement import Sweep

Floats = NDArray[np.float64]

HIGHEST_DBFS = -3.0
_HEARING = (
    "Start with the volume right down and raise it until the signal is clearly heard; wear "
    "hearing protection above 85 dB(A) and leave the car where you can."
)
_COIL = "A lasting tone heats the coil as much as full power: no longer than stated."


@dataclass(frozen=True, kw_only=True)
class Signal:
    """Samples of a test signal, with what has to be said about them.

    Attributes
    ----------
    name : str
        File name without its ending.
    samples : ndarray, shape (n,)
        Full scale is 1.
    sample_rate_hz : int
    level_dbfs : float
        RMS re a full-scale sine (AES17), of the sounding part.
    cautions : tuple of str
    """

    name: str
    samples: Floats
    sample_rate_hz: int
    level_dbfs: float
    cautions: tuple[str, ...]


def tone(
    frequency_hz: float,
    *,
    level_dbfs: float = -5.0,
    duration_s: float = 20.0,
    sample_rate_hz: int = 48000,
) -> Signal:
    """Return a set-up tone of a stated level; 0 dBFS is a sine that fills the scale."""
    _check("frequency_hz", frequency_hz, 10, 20000)
    _check("level_dbfs", level_dbfs, -60, 0)
    time = _time(duration_s, sample_rate_hz)
    samples = 10 ** (level_dbfs / 20) * np.sin(2 * np.pi * frequency_hz * time)
    return Signal(
        name=f"tone-{frequency_hz:g}hz-{-level_dbfs:g}db-below-full-scale",
        samples=_faded(samples, sample_rate_hz, 0.05),
        sample_rate_hz=sample_rate_hz,
        level_dbfs=level_dbfs,
        cautions=(_COIL, _HEARING),
    )


def chirp(
    start_hz: float, stop_hz: float, *, time_s: Floats, duration_s: float, amplitude: float = 1.0
) -> Floats:
    """Return a logarithmic sweep on any clock, zero outside 0 to `duration_s`.

    ``sin{(w1 T / R) [exp(t R / T) - 1]}`` with half-cosine fades over the first quarter
    octave and the last eighth of an octave.

    References
    ----------
    A. Farina, "Simultaneous Measurement of Impulse Response and Distortion with a
    Swept-Sine Technique", AES 108th Convention, 2000.
    """
    inside = (time_s >= 0) & (time_s <= duration_s)
    sweep = Sweep(start_hz=start_hz, stop_hz=stop_hz, duration_s=duration_s)
    window = amplitude * chirp_window(time_s, sweep)
    return np.where(inside, window * np.sin(chirp_phase(time_s, sweep)), 0.0)


def chirp_phase(time_s: Floats, sweep: Sweep) -> Floats:
    """Return the phase of a sweep at times from its start, 0 to its duration [rad]."""
    duration, growth = sweep.duration_s, sweep.growth
    time = np.clip(time_s, 0.0, duration)
    turns = sweep.start_hz * duration / growth * np.expm1(time * growth / duration)
    return np.asarray(2 * np.pi * turns, dtype=np.float64)


def chirp_window(time_s: Floats, sweep: Sweep) -> Floats:
    """Return the fades of a sweep at times from its start; zero before and after it."""
    rise = min(sweep.duration_s * np.log(2) / sweep.growth / 4, sweep.duration_s / 4)
    rising = np.clip(time_s / rise, 0.0, 1.0)
    falling = np.clip((sweep.duration_s - time_s) / (rise / 2), 0.0, 1.0)
    return np.asarray(0.25 * (1 - np.cos(np.pi * rising)) * (1 - np.cos(np.pi * falling)))


def sweep_samples(sweep: Sweep) -> Floats:
    """Return the samples of the whole file: silence, marker, sweep, marker, silence."""
    time = np.arange(round(sweep.total_s * sweep.sample_rate_hz)) / sweep.sample_rate_hz
    amplitude = 10 ** (sweep.level_dbfs / 20)
    total = chirp(
        sweep.start_hz,
        sweep.stop_hz,
        time_s=time - sweep_start_s(sweep),
        duration_s=sweep.duration_s,
        amplitude=amplitude,
    )
    for start in marker_starts_s(sweep):
        total += chirp(
            sweep.marker_start_hz,
            sweep.marker_stop_hz,
            time_s=time - start,
            duration_s=sweep.marker_s,
            amplitude=amplitude,
        )
    return total


def sweep_start_s(sweep: Sweep) -> float:
    """Return when the sweep begins in the file [s]."""
    return sweep.lead_s + sweep.marker_s + sweep.gap_s


def marker_starts_s(sweep: Sweep) -> tuple[float, float]:
    """Return when the two markers begin in the file [s]."""
    return sweep.lead_s, sweep_start_s(sweep) + sweep.duration_s + sweep.gap_s


def log_sweep(sweep: Sweep | None = None) -> Signal:
    """Return the measuring sweep with its two markers."""
    wanted = sweep or Sweep()
    _check("start_hz", wanted.start_hz, 2, 200)
    _check("stop_hz", wanted.stop_hz, wanted.start_hz * 2, wanted.sample_rate_hz * 0.45)
    _check("duration_s", wanted.duration_s, 1, 120)
    _check("level_dbfs", wanted.level_dbfs, -60, HIGHEST_DBFS)
    return Signal(
        name=f"sweep-{wanted.start_hz:g}-{wanted.stop_hz:g}hz",
        samples=sweep_samples(wanted),
        sample_rate_hz=wanted.sample_rate_hz,
        level_dbfs=wanted.level_dbfs,
        cautions=(
            "Begin 12 dB below full scale; a louder sweep only where the box keeps its "
            "stroke at every frequency.",
            _HEARING,
        ),
    )


def band_noise(
    low_hz: float = 20.0,
    high_hz: float = 120.0,
    *,
    level_dbfs: float = -20.0,
    duration_s: float = 30.0,
    sample_rate_hz: int = 48000,
    seed: int = 1,
) -> Signal:
    """Return pink noise limited to a band; repeats without a seam."""
    _check("low_hz", low_hz, 2, 10000)
    _check("high_hz", high_hz, low_hz * 1.05, sample_rate_hz * 0.45)
    _check("level_dbfs", level_dbfs, -60, -12)
    count = round(duration_s * sample_rate_hz)
    frequency = np.fft.rfftfreq(count, 1 / sample_rate_hz)
    inside = (frequency >= low_hz) & (frequency <= high_hz)
    phase = np.random.default_rng(seed).uniform(0, 2 * np.pi, frequency.size)
    spectrum = np.where(inside, np.exp(1j * phase) / np.sqrt(np.maximum(frequency, low_hz)), 0)
    samples = np.fft.irfft(spectrum, count)
    samples *= 10 ** (level_dbfs / 20) / np.sqrt(2) / np.sqrt(np.mean(samples**2))
    if np.abs(samples).max() > 1:
        raise InputError(
            "the noise would clip", field="level_dbfs", value=level_dbfs, allowed="a lower level"
        )
    return Signal(
        name=f"noise-{low_hz:g}-{high_hz:g}hz",
        samples=samples,
        sample_rate_hz=sample_rate_hz,
        level_dbfs=level_dbfs,
        cautions=(_HEARING,),
    )


def polarity_pulse(
    *, level_dbfs: float = -12.0, count: int = 8, sample_rate_hz: int = 48000
) -> Signal:
    """Return one-sided pulses: a cone joined the right way round first moves outwards.

    Each is one raised cosine of 40 ms, positive, without an undershoot; a second apart.
    """
    _check("level_dbfs", level_dbfs, -60, HIGHEST_DBFS)
    _check("count", count, 1, 60)
    time = np.arange(sample_rate_hz) / sample_rate_hz
    pulse = np.where(time < 0.04, 0.5 * (1 - np.cos(2 * np.pi * time / 0.04)), 0.0)
    return Signal(
        name="polarity-pulses",
        samples=10 ** (level_dbfs / 20) * np.tile(pulse, count),
        sample_rate_hz=sample_rate_hz,
        level_dbfs=level_dbfs,
        cautions=(
            "Watch the cone, or record close to it: it has to jump outwards first. With two "
            "drivers look at each.",
            _HEARING,
        ),
    )


def rattle_sweep(
    start_hz: float = 20.0,
    stop_hz: float = 100.0,
    *,
    level_dbfs: float = -12.0,
    duration_s: float = 60.0,
    sample_rate_hz: int = 48000,
) -> Signal:
    """Return a slow logarithmic sweep up and down again, to find what rattles."""
    _check("start_hz", start_hz, 10, 200)
    _check("stop_hz", stop_hz, start_hz * 1.2, 500)
    _check("level_dbfs", level_dbfs, -60, HIGHEST_DBFS)
    up = chirp(
        start_hz,
        stop_hz,
        time_s=_time(duration_s / 2, sample_rate_hz),
        duration_s=duration_s / 2,
        amplitude=10 ** (level_dbfs / 20),
    )
    return Signal(
        name=f"rattle-{start_hz:g}-{stop_hz:g}hz",
        samples=np.concatenate([up, up[::-1]]),
        sample_rate_hz=sample_rate_hz,
        level_dbfs=level_dbfs,
        cautions=(
            "Stop at the first smell or scraping noise. One person plays, another looks for "
            "the rattle with doors and tailgate shut.",
            _HEARING,
        ),
    )


def write(signal: Signal, path: Path) -> Path:
    """Write a signal as 24-bit WAV or FLAC, by the ending of the path.

    Raises
    ------
    InputError
        Another ending, or a signal beyond full scale.
    """
    import soundfile

    if path.suffix.lower() not in (".wav", ".flac"):
        raise InputError(
            "not a kind of file that signals are written to",
            item=path.name,
            value=path.suffix,
            allowed=".wav or .flac",
        )
    if np.abs(signal.samples).max() > 1:
        raise InputError("the signal goes beyond full scale", item=signal.name)
    soundfile.write(path, signal.samples, signal.sample_rate_hz, subtype="PCM_24")
    return path


def _time(duration_s: float, sample_rate_hz: int) -> Floats:
    _check("duration_s", duration_s, 0.1, 600)
    _check("sample_rate_hz", sample_rate_hz, 8000, 192000)
    return np.arange(round(duration_s * sample_rate_hz)) / sample_rate_hz


def _faded(samples: Floats, sample_rate_hz: int, fade_s: float) -> Floats:
    count = min(round(fade_s * sample_rate_hz), samples.size // 2)
    ramp = 0.5 * (1 - np.cos(np.pi * np.arange(count) / max(count, 1)))
    faded = samples.copy()
    faded[:count] *= ramp
    faded[samples.size - count :] *= ramp[::-1]
    return faded


def _check(field: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise InputError(
            "outside the safe range", field=field, value=value, allowed=f"{low:g} to {high:g}"
        )
