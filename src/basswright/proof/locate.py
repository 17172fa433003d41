"""Where in the recording is the sweep, and how fast did the recorder's clock run?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.records.measurement import Problem, Sweep
from basswright.tuning.signals import chirp, marker_starts_s, sweep_start_s

Floats = NDArray[np.float64]

#: Ratios of true to stated sample rate that mistaken headers and players give.
_RATE_RATIOS = (1.0, 44100 / 48000, 48000 / 44100, 0.5, 2.0, 32000 / 48000, 48000 / 32000)
_MARKER_TAIL_S = 0.35


@dataclass(frozen=True, kw_only=True)
class Place:
    """Where the sweep is.

    Attributes
    ----------
    start_s : float
        Arrival of the sweep's start on the recorder's clock [s].
    stretch : float
        Recorded duration over played duration.
    sharpness : float
        Peak over rms of the deconvolved recording.
    """

    start_s: float
    stretch: float
    sharpness: float
    problems: tuple[Problem, ...]


def decimate(
    samples: NDArray[np.float32], rate_hz: float, lowest_rate_hz: float
) -> tuple[Floats, float]:
    """Return the samples at the lowest whole fraction of the rate above `lowest_rate_hz`.

    Done in one go by cutting the spectrum, with a taper over its last fifth.
    """
    factor = max(1, int(rate_hz // lowest_rate_hz))
    if factor == 1:
        return samples.astype(np.float64), rate_hz
    count = _fast_length(-(-(samples.size + int(rate_hz)) // factor))
    spectrum = np.fft.rfft(samples, count * factor)[: count // 2 + 1]
    edge = np.linspace(0, 5, spectrum.size) - 4
    spectrum *= 0.5 * (1 + np.cos(np.pi * np.clip(edge, 0, 1)))
    reduced = np.fft.irfft(spectrum, count) / factor
    return reduced[: -(-samples.size // factor)], rate_hz / factor


def locate(samples: Floats, rate_hz: float, sweep: Sweep, *, name: str = "") -> Place:
    """Find the sweep, its markers and the drift between player and recorder.

    The recording is deconvolved with the sweep as a whole; the sharpest peak over the
    likely mistakes of sample rate is the start. The time between two equal markers, from
    the slope of the phase between their spectra, gives the drift.

    Raises
    ------
    InputError
        When no sweep of this kind can be found.
    """
    start, stretch, sharpness = _coarse(samples, rate_hz, sweep)
    if sharpness < 12:
        raise InputError(
            "the sweep was not found in the recording",
            item=name,
            value=f"best match {sharpness:.0f} times the rest",
            allowed="a recording of this very sweep, at least 12 times",
        )
    problems = list(_rate_problem(stretch))
    problems += _cut_problems(start, stretch, samples.size / rate_hz, sweep)
    drift, drift_problems = _drift(samples, rate_hz, sweep, start=start, stretch=stretch)
    problems += drift_problems
    return Place(
        start_s=start,
        stretch=stretch * (1 + drift),
        sharpness=sharpness,
        problems=tuple(problems),
    )


def reference(
    sweep: Sweep, count: int, rate_hz: float, *, start_s: float, stretch: float
) -> Floats:
    """Return the sweep of unit amplitude as the recorder's clock sees it, `count` samples."""
    time = (np.arange(count) / rate_hz - start_s) / stretch
    return chirp(sweep.start_hz, sweep.stop_hz, time_s=time, duration_s=sweep.duration_s)


def _coarse(samples: Floats, rate_hz: float, sweep: Sweep) -> tuple[float, float, float]:
    longest = max(_RATE_RATIOS) * sweep.duration_s
    count = _fast_length(samples.size + int(longest * rate_hz))
    spectrum = np.fft.rfft(samples, count)
    frequency = np.fft.rfftfreq(count, 1 / rate_hz)
    best = (0.0, 1.0, 0.0)
    for ratio in _RATE_RATIOS:
        if sweep.stop_hz / ratio > 0.45 * rate_hz:
            continue
        length = int(sweep.duration_s * ratio * rate_hz) + 1
        wave = np.fft.rfft(reference(sweep, length, rate_hz, start_s=0.0, stretch=ratio), count)
        inside = (frequency > sweep.start_hz * 1.3 / ratio) & (
            frequency < sweep.stop_hz * 0.8 / ratio
        )
        quotient = np.where(inside, spectrum * wave.conj() / (np.abs(wave) ** 2 + 1e-9), 0)
        quotient[inside] /= np.abs(quotient[inside]) + 1e-3 * np.abs(quotient[inside]).mean()
        response = np.abs(np.fft.irfft(quotient, count))
        peak = int(np.argmax(response))
        sharpness = float(response[peak] / np.sqrt(np.mean(response**2)))
        start = (peak if peak < samples.size else peak - count) / rate_hz
        if sharpness > best[2] * (1.0 if best[2] == 0 else 1.3):
            best = (start, ratio, sharpness)
    return best


def _rate_problem(stretch: float) -> tuple[Problem, ...]:
    if stretch == 1.0:
        return ()
    return (
        Problem(
            kind="sample rate",
            severity="warning",
            text=f"the recording runs {stretch:.4g} times as long as the sweep that was made: "
            "its sample rate is not the one that the file states, or the player's was not",
            remedy="the times were corrected; set player and recorder to the same rate",
        ),
    )


def _cut_problems(start: float, stretch: float, length_s: float, sweep: Sweep) -> list[Problem]:
    found = []
    if start < -0.02:
        lowest = sweep.start_hz * np.exp(-start / stretch * sweep.growth / sweep.duration_s)
        found.append(
            Problem(
                kind="start missing",
                severity="unusable" if lowest > 1.3 * sweep.start_hz else "warning",
                text=f"the recording began {-start:.1f} s after the sweep: nothing is known "
                f"below {lowest:.0f} Hz",
                remedy="start the recorder first, then the sweep",
            )
        )
    over = start + sweep.duration_s * stretch - length_s
    if over > 0.0:
        highest = sweep.stop_hz * np.exp(-over / stretch * sweep.growth / sweep.duration_s)
        found.append(
            Problem(
                kind="end missing",
                severity="unusable" if highest < 120 else "warning",
                text=f"the recording ends {over:.1f} s before the sweep does: nothing is known "
                f"above {highest:.0f} Hz",
                remedy="let the recorder run until the last marker has sounded",
            )
        )
    return found


def _drift(
    samples: Floats, rate_hz: float, sweep: Sweep, *, start: float, stretch: float
) -> tuple[float, list[Problem]]:
    """Return drift as a share, and what was found about the markers."""
    before, after = (start + (at - sweep_start_s(sweep)) * stretch for at in marker_starts_s(sweep))
    length = round((sweep.marker_s * stretch + _MARKER_TAIL_S) * rate_hz)
    wave = chirp(
        sweep.marker_start_hz,
        sweep.marker_stop_hz,
        time_s=np.arange(length) / rate_hz / stretch,
        duration_s=sweep.marker_s,
    )
    parts = [_part(samples, round(at * rate_hz), length) for at in (before, after)]
    problems = []
    for part, which in zip(parts, ("start", "end"), strict=True):
        if part is None or _likeness(part, wave) < 0.25:
            problems.append(_marker_problem(which))
    first, second = parts
    if problems or first is None or second is None:
        return 0.0, problems
    late, change_db = _shift(first, second, rate_hz, sweep)
    apart = (round(after * rate_hz) - round(before * rate_hz)) / rate_hz
    drift = (apart + late) / (after - before) - 1
    if abs(change_db) > 0.5:
        problems.append(_gain_problem(change_db))
    if abs(drift) > 2e-5:
        problems.append(_drift_problem(drift))
    return drift, problems


def _shift(first: Floats, second: Floats, rate_hz: float, sweep: Sweep) -> tuple[float, float]:
    """Return how much later the second part is [s] and how much louder [dB].

    Slope of the phase of the cross spectrum, weighted with its magnitude, taken twice so
    that a shift of more than half a period is unwrapped by the first pass.
    """
    count = 4 * first.size
    frequency = np.fft.rfftfreq(count, 1 / rate_hz)
    inside = (frequency > sweep.marker_start_hz * 1.05) & (frequency < sweep.marker_stop_hz * 0.95)
    one, two = (np.fft.rfft(part, count) for part in (first, second))
    cross = np.where(inside, two * one.conj(), 0)
    lag = np.fft.irfft(cross, count)
    peak = int(np.argmax(lag))
    late = (peak if peak < count // 2 else peak - count) / rate_hz
    omega = 2 * np.pi * frequency[inside]
    for _ in range(2):
        rest = cross[inside] * np.exp(1j * omega * late)
        weight = np.abs(rest)
        late -= float(np.sum(weight * omega * np.angle(rest)) / np.sum(weight * omega**2))
    change = float(np.sum(np.abs(cross[inside])) / np.sum(np.abs(one[inside]) ** 2))
    return late, 20 * np.log10(change)


def _likeness(part: Floats, wave: Floats) -> float:
    """Return the greatest correlation over shifts of up to the tail, 0 to 1."""
    count = 2 * part.size
    lag = np.fft.irfft(np.fft.rfft(part, count) * np.fft.rfft(wave, count).conj(), count)
    energy = np.sqrt(np.sum(part**2) * np.sum(wave**2))
    near = np.concatenate([lag[: part.size // 3], lag[-part.size // 8 :]])
    return float(np.abs(near).max() / energy) if energy > 0 else 0.0


def _part(samples: Floats, first: int, length: int) -> Floats | None:
    if first < 0 or first + length > samples.size:
        return None
    return samples[first : first + length]


def _marker_problem(which: str) -> Problem:
    return Problem(
        kind=f"{which} marker missing",
        severity="warning",
        text=f"the marker at the {which} was not found; the drift between player and recorder "
        "is taken as zero",
        remedy="record from before the first marker until after the last one",
    )


def _gain_problem(change_db: float) -> Problem:
    return Problem(
        kind="changing gain",
        severity="warning",
        text=f"the second marker is {change_db:+.1f} dB against the first: the recorder's gain "
        "changed (automatic level control), or the system's did (heat, supply)",
        remedy="switch automatic level control off, and record again when cold",
    )


def _drift_problem(drift: float) -> Problem:
    return Problem(
        kind="drift",
        severity="warning" if abs(drift) > 5e-4 else "note",
        text=f"the recorder's clock runs {drift * 1e6:+.0f} ppm against the player's; corrected",
    )


def _fast_length(count: int) -> int:
    """Return the next even length with no prime factor above 5."""
    best: int = 2 ** int(np.ceil(np.log2(max(count, 2))))
    for fives in range(9):
        for threes in range(12):
            odd = 5**fives * 3**threes
            if odd >= best:
                break
            size = odd << max(1, int(np.ceil(np.log2(count / odd))))
            if count <= size < best:
                best = size
    return best
