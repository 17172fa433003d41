"""What does this recording say: level, phase, impulse, distortion, noise, and how sure?"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError
from basswright.proof.clipped import Restored, clipped_samples, restore
from basswright.proof.deconvolve import HARMONICS, Response, deconvolve, explained_share
from basswright.proof.locate import Place, decimate, locate
from basswright.records.measurement import (
    Calibration,
    Measurement,
    Problem,
    Recording,
    Severity,
    Sweep,
)

Floats = NDArray[np.float64]

_NOT_TOLD_DB = -120.0
#: Up to which doubt a filled-in level counts as known, and from which on as lost [dB].
_SURE_DB, _LOST_DB = 0.1, 1.0


def analyse(
    recording: Recording,
    sweep: Sweep,
    *,
    calibration: Calibration | None = None,
    seat: str = "driver",
    channel: int | None = None,
) -> Measurement:
    """Return the response that a recording of a sweep shows.

    Parameters
    ----------
    recording : Recording
        From :func:`basswright.proof.recording.read_recording`.
    sweep : Sweep
        The sweep that was played.
    calibration : Calibration, optional
        Of the microphone. With a level at full scale the result is absolute (dB re
        20 uPa), else relative to the recorder's full scale.
    seat : str
        Where the microphone stood.
    channel : int, optional
        Which channel holds the microphone, 0 the first; the liveliest one otherwise.

    Raises
    ------
    InputError
        When the sweep is not in the recording, or the channel is not.
    """
    chosen, notes = _channel(recording, channel)
    lowest = max(8 * sweep.stop_hz, 1600)
    samples, rate = decimate(chosen, recording.sample_rate_hz, lowest)
    if rate < 2.2 * sweep.stop_hz:
        raise InputError(
            "the sample rate is too low for this sweep",
            item=recording.name,
            value=f"{recording.sample_rate_hz:g} Hz",
            allowed=f"at least {2.2 * sweep.stop_hz:g} Hz",
        )
    place = locate(samples, rate, sweep, name=recording.name)
    problems = recording.problems
    lost = clipped_samples(chosen)
    if lost.any():
        whole = recording.sample_rate_hz
        restored = restore(chosen, whole, sweep, place=place, clipped=lost)
        samples, rate = decimate(restored.samples, whole, lowest)
        problems = tuple(one for one in problems if one.kind != "clipping")
        problems += (_clipping(restored),)
    found = deconvolve(samples, rate, sweep, place=place, frequency_hz=frequencies(sweep))
    _check_sweep(
        explained_share(samples, rate, sweep, place=place, found=found), place, recording.name
    )
    problems += notes + place.problems
    return _measurement(
        found, rate, sweep, place=place, calibration=calibration, seat=seat, problems=problems
    )


def _check_sweep(explained: float, place: Place, name: str) -> None:
    """Raise where what was recorded is not the sweep that it is taken for."""
    kinds = {problem.kind for problem in place.problems}
    unmarked = bool(kinds & {"start marker missing", "end marker missing"})
    odd = "sample rate" in kinds
    if (odd and unmarked) or (explained < 0.5 and (odd or unmarked)):
        raise InputError(
            "another sweep was recorded than the one that was looked for",
            item=name,
            value=f"it explains {explained:.0%} of what was recorded",
            allowed="the start, stop and duration that the played file was made with; "
            "the whole of it, with its markers, where the sample rate is in doubt",
        )


def _clipping(restored: Restored) -> Problem:
    share, unsure = restored.clipped_share, max(restored.unsure_db, 0.01)
    found = f"{share:.1%} of the sweep was clipped by the recorder's input"
    again = "turn the recorder down by 10 dB and record again"
    if unsure > _LOST_DB or restored.inside_share > 0.1:
        text = f"{found}; what is lost cannot be told from the rest"
        return Problem(kind="clipping", severity="unusable", text=text, remedy=again)
    text = f"{found}; filled in from the rest of it, the level is sure to {unsure:.2f} dB"
    sure = unsure <= _SURE_DB
    severity: Severity = "note" if sure else "warning"
    return Problem(kind="clipping", severity=severity, text=text, remedy="" if sure else again)


def frequencies(sweep: Sweep) -> Floats:
    """Return the frequencies of a measurement: 24 an octave, from the sweep's fade on."""
    first, last = sweep.start_hz * 2**0.25, sweep.stop_hz * 2**-0.125
    count = int(np.floor(24 * np.log2(last / first))) + 1
    return np.asarray(first * 2.0 ** (np.arange(count) / 24), dtype=np.float64)


def _channel(
    recording: Recording, channel: int | None
) -> tuple[NDArray[np.float32], tuple[Problem, ...]]:
    count = recording.samples.shape[1]
    if channel is not None:
        if not 0 <= channel < count:
            raise InputError(
                "the recording has no such channel",
                item=recording.name,
                field="channel",
                value=channel + 1,
                allowed=f"1 to {count}",
            )
        return recording.samples[:, channel], ()
    if count == 1:
        return recording.samples[:, 0], ()
    power = np.einsum("ij,ij->j", recording.samples, recording.samples)
    loudest = int(np.argmax(power))
    apart = 10 * np.log10(power[loudest] / max(float(np.sort(power)[-2]), 1e-30))
    if apart < 0.5:
        return recording.samples[:, loudest], ()
    note = Problem(
        kind="channels",
        severity="note",
        text=f"channel {loudest + 1} of {count} was used; it is {min(apart, 99):.0f} dB louder",
        remedy="name the channel if the microphone was on another one",
    )
    return recording.samples[:, loudest], (note,)


def _measurement(
    found: Response,
    rate: float,
    sweep: Sweep,
    *,
    place: Place,
    calibration: Calibration | None,
    seat: str,
    problems: tuple[Problem, ...],
) -> Measurement:
    frequency = frequencies(sweep)
    shown = _correction(calibration, frequency)
    full_scale = calibration.level_at_full_scale_db if calibration else None
    offset = (full_scale or 0.0) - shown - sweep.level_dbfs
    level = _db(found.transfer) + offset
    noise = _db(found.noise) + offset
    arrival = float(np.argmax(np.abs(found.impulse))) / rate
    at = found.impulse_start_s + arrival
    phase = np.unwrap(np.angle(found.transfer * np.exp(2j * np.pi * frequency * at)))
    signal_to_noise = level - noise
    problems += _noise_problem(frequency, signal_to_noise)
    if calibration:
        problems += calibration.problems
    return Measurement(
        frequency_hz=frequency,
        level_db=level,
        phase_rad=phase,
        impulse=found.impulse,
        impulse_rate_hz=rate,
        arrival_s=arrival,
        harmonics=HARMONICS,
        distortion_db=_distortion(found, frequency, calibration),
        noise_db=noise,
        coherence=1 - 10 ** (-np.maximum(signal_to_noise, 0) / 10),
        spread_db=np.zeros_like(frequency),
        drift_ppm=(place.stretch - 1) * 1e6,
        absolute=full_scale is not None,
        played_dbfs=sweep.level_dbfs,
        seats=(seat,),
        problems=problems,
    )


def _distortion(found: Response, frequency: Floats, calibration: Calibration | None) -> Floats:
    fundamental = _db(found.transfer) - _correction(calibration, frequency)
    told = np.abs(found.harmonics) > 1.41 * found.harmonic_noise
    rows = [
        _db(row) - _correction(calibration, frequency * number) - fundamental
        for number, row in zip(HARMONICS, found.harmonics, strict=True)
    ]
    return np.where(told, np.maximum(rows, _NOT_TOLD_DB), _NOT_TOLD_DB)


def _correction(calibration: Calibration | None, frequency: Floats) -> Floats:
    if calibration is None:
        return np.zeros_like(frequency)
    return np.interp(np.log(frequency), np.log(calibration.frequency_hz), calibration.correction_db)


def _noise_problem(frequency: Floats, signal_to_noise: Floats) -> tuple[Problem, ...]:
    bass = (frequency >= 20) & (frequency <= 120)
    weak = bass & (signal_to_noise < 15)
    if not weak.any():
        return ()
    share = weak.sum() / bass.sum()
    lowest, highest = frequency[weak].min(), frequency[weak].max()
    least = max(float(signal_to_noise[weak].min()), 0.0)
    return (
        Problem(
            kind="noise",
            severity="unusable" if share > 0.5 else "warning",
            text=f"between {lowest:.0f} and {highest:.0f} Hz the sweep stands only "
            f"{least:.0f} dB above the noise",
            remedy="engine and blower off, doors shut, play louder or a longer sweep",
        ),
    )


def _db(values: NDArray[np.complex128] | Floats) -> Floats:
    return np.asarray(20 * np.log10(np.maximum(np.abs(values), 1e-12)), dtype=np.float64)
