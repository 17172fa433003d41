"""What does the sweep say of the way from player to microphone?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.proof.locate import Place
from basswright.records.measurement import Sweep
from basswright.tuning.signals import chirp

Floats = NDArray[np.float64]

HARMONICS = (2, 3, 4, 5)
_BEFORE_S = 0.25
_AFTER_S = 0.8
_REGULAR = 1e-4


@dataclass(frozen=True, kw_only=True)
class Response:
    """Deconvolved response on the frequencies asked for; linear, full scale to full scale.

    Attributes
    ----------
    transfer : ndarray of complex, shape (f,)
        Time zero at the start of the sweep as located.
    noise : ndarray, shape (f,)
        Magnitude that noise alone gives in a gate of the same length.
    harmonics : ndarray of complex, shape (h, f)
        Amplitude of each harmonic for the fundamental at f, re the source; the value at
        the frequency ``N f``.
    harmonic_noise : ndarray, shape (h, f)
    impulse : ndarray, shape (n,)
    impulse_start_s : float
        Time of the first sample of `impulse` against the located start.
    """

    transfer: NDArray[np.complex128]
    noise: Floats
    harmonics: NDArray[np.complex128]
    harmonic_noise: Floats
    impulse: Floats
    impulse_start_s: float


def deconvolve(
    samples: Floats, rate_hz: float, sweep: Sweep, *, place: Place, frequency_hz: Floats
) -> Response:
    """Divide the recording by the sweep and gate what comes out.

    The reference sweep is computed on the recorder's clock, so nothing is resampled.
    ``H = Y X* / (|X|^2 + e)``; harmonic N arrives ``T ln N / R`` early (Farina 2000). The
    sweep is divided out with a reference that goes on beyond its stop, at the same rate,
    so that harmonics above the stop are found as well.

    Parameters
    ----------
    samples : ndarray, shape (n,)
    rate_hz : float
        At least 2.2 times the sweep's stop.
    frequency_hz : ndarray, shape (f,)
        As the player's clock sees them [Hz].
    """
    duration = sweep.duration_s * place.stretch
    early = duration * np.log(HARMONICS[-1] + 1) / sweep.growth + 0.5
    first = int(np.floor((place.start_s - early) * rate_hz))
    last = int(np.ceil((place.start_s + duration + min(_AFTER_S + 0.1, sweep.gap_s)) * rate_hz))
    part = np.zeros(last - first)
    low, high = max(first, 0), min(last, samples.size)
    part[low - first : high - first] = samples[low:high]
    # only the sweep itself: whatever stood before its start is not answered by it
    ahead = round((place.start_s - min(0.3, sweep.gap_s / 2)) * rate_hz) - first
    part[: max(ahead, 0)] = 0.0
    offset = place.start_s - first / rate_hz
    linear = _quotient(part, rate_hz, sweep, offset=offset, stretch=place.stretch, extend=1.0)
    top = min(0.42 * rate_hz * place.stretch / sweep.stop_hz, float(HARMONICS[-1]))
    wide = _quotient(part, rate_hz, sweep, offset=offset, stretch=place.stretch, extend=top)
    spacing = duration * np.log(2) / sweep.growth
    after = min(_AFTER_S, 0.5 * spacing - _BEFORE_S / 2)
    gate = _Gate(before_s=min(_BEFORE_S, after / 2), after_s=after)
    heard = frequency_hz / place.stretch
    impulse, start = gate.cut(linear, rate_hz, 0.0)
    noise_at = -(gate.before_s + gate.after_s)
    noise = np.abs(_dft(*gate.cut(linear, rate_hz, noise_at), rate_hz, heard))
    over, over_noise = _harmonics(wide, rate_hz, sweep, place=place, heard=heard, top=top)
    return Response(
        transfer=_dft(impulse, start, rate_hz, heard),
        noise=_smoothed(noise),
        harmonics=over,
        harmonic_noise=over_noise,
        impulse=impulse,
        impulse_start_s=start,
    )


def explained_share(
    samples: Floats, rate_hz: float, sweep: Sweep, *, place: Place, found: Response
) -> float:
    """Return which part of the recording's energy the gated response explains, 0 to 1.

    Counted while the sweep sounds and within its band. Little of it is explained where
    noise is as loud as the sweep, or where another sweep was played than is thought.
    """
    first = max(0, round(place.start_s * rate_hz))
    count = min(round(sweep.duration_s * place.stretch * rate_hz), samples.size - first)
    size = 2 * (count + found.impulse.size)
    time = (np.arange(count) / rate_hz + first / rate_hz - place.start_s) / place.stretch
    wave = chirp(sweep.start_hz, sweep.stop_hz, time_s=time, duration_s=sweep.duration_s)
    shift = np.exp(-2j * np.pi * np.fft.rfftfreq(size, 1 / rate_hz) * found.impulse_start_s)
    spectrum = np.fft.rfft(wave, size) * np.fft.rfft(found.impulse, size) * shift
    given = np.fft.irfft(spectrum, size)[:count]
    heard = samples[first : first + count]
    frequency = np.fft.rfftfreq(count, 1 / rate_hz) * place.stretch
    inside = (frequency > 1.3 * sweep.start_hz) & (frequency < 0.8 * sweep.stop_hz)
    left, whole = (np.abs(np.fft.rfft(each)[inside]) ** 2 for each in (heard - given, heard))
    return max(0.0, 1 - float(left.sum()) / max(float(whole.sum()), 1e-30))


@dataclass(frozen=True, kw_only=True)
class _Gate:
    before_s: float
    after_s: float

    def cut(self, response: Floats, rate_hz: float, centre_s: float) -> tuple[Floats, float]:
        """Return the windowed part around a time of a circular response, and its start."""
        first = round((centre_s - self.before_s) * rate_hz)
        count = round((self.before_s + self.after_s) * rate_hz)
        time = np.arange(count) / rate_hz - self.before_s
        rising = np.clip((time + self.before_s) / (0.6 * self.before_s), 0, 1)
        falling = np.clip((self.after_s - time) / (0.4 * self.after_s), 0, 1)
        window = 0.25 * (1 - np.cos(np.pi * rising)) * (1 - np.cos(np.pi * falling))
        taken = response[np.arange(first, first + count) % response.size]
        return taken * window, first / rate_hz


def _quotient(
    part: Floats, rate_hz: float, sweep: Sweep, *, offset: float, stretch: float, extend: float
) -> Floats:
    """Return the circular impulse response; `extend` goes on beyond the sweep's stop."""
    stop = sweep.stop_hz * extend
    duration = sweep.duration_s * np.log(stop / sweep.start_hz) / sweep.growth
    count = part.size + int((duration * stretch + 1.0) * rate_hz)
    count += count % 2
    length = min(int((duration * stretch + offset) * rate_hz) + 2, count)
    time = (np.arange(length) / rate_hz - offset) / stretch
    wave = chirp(sweep.start_hz, stop, time_s=time, duration_s=duration)
    spectrum = np.fft.rfft(wave, count)
    frequency = np.fft.rfftfreq(count, 1 / rate_hz) * stretch
    # power density of the sweep away from its ends: fs^2 T / (4 R f)
    plain = rate_hz**2 * sweep.duration_s * stretch / (4 * sweep.growth)
    plain = plain / np.clip(frequency, sweep.start_hz, stop)
    quotient = np.fft.rfft(part, count) * spectrum.conj()
    quotient /= np.abs(spectrum) ** 2 + _REGULAR * plain
    return np.fft.irfft(quotient, count)


def _harmonics(
    response: Floats, rate_hz: float, sweep: Sweep, *, place: Place, heard: Floats, top: float
) -> tuple[NDArray[np.complex128], Floats]:
    per_log = sweep.duration_s * place.stretch / sweep.growth
    values = np.zeros((len(HARMONICS), heard.size), dtype=np.complex128)
    noise = np.zeros((len(HARMONICS), heard.size))
    for row, number in enumerate(HARMONICS):
        room = per_log * np.log((number + 1) / number)
        gate = _Gate(before_s=0.3 * room, after_s=0.6 * room)
        at = -per_log * np.log(number)
        known = heard * number * place.stretch < 0.95 * sweep.stop_hz * top
        values[row] = np.where(
            known, _dft(*gate.cut(response, rate_hz, at), rate_hz, heard * number), 0
        )
        quiet = gate.cut(response, rate_hz, -(gate.before_s + gate.after_s))
        noise[row] = _smoothed(np.abs(_dft(*quiet, rate_hz, heard * number)))
        noise[row] = np.where(known, noise[row], np.inf)
    return values, noise


def _dft(
    impulse: Floats, start_s: float, rate_hz: float, frequency_hz: Floats
) -> NDArray[np.complex128]:
    time = start_s + np.arange(impulse.size) / rate_hz
    turned = np.exp(-2j * np.pi * frequency_hz[:, None] * time)
    return np.asarray(turned @ impulse, dtype=np.complex128)


def _smoothed(magnitude: Floats) -> Floats:
    """Return the rms over nine neighbours: the level of noise varies by chance."""
    kernel = np.ones(9) / 9
    padded = np.pad(magnitude**2, 4, mode="edge")
    return np.asarray(np.sqrt(np.convolve(padded, kernel, mode="valid")), dtype=np.float64)
