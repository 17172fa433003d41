"""What is in this recording, and is it fit to be analysed?"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from basswright.errors import InputError, TooLargeError
from basswright.proof.clipped import clipped_samples
from basswright.proof.file_kinds import check_kind, missing_share
from basswright.records.measurement import Problem, Recording

LONGEST_S = 1200.0
_SILENT = 10 ** (-75 / 20)
_BITS = {"PCM_S8": 8, "PCM_U8": 8, "PCM_16": 16, "PCM_24": 24, "PCM_32": 32, "FLOAT": 24}


def read_recording(path: Path, *, longest_s: float = LONGEST_S) -> Recording:
    """Read a recording and look for what would spoil a measurement.

    Parameters
    ----------
    path : Path
        WAV, FLAC or AIFF, whatever its name; any sample rate from 8 kHz to 384 kHz.
    longest_s : float
        A longer file is refused before its samples are read [s].

    Raises
    ------
    InputError
        No sound file, compressed with loss, silent, damaged, or no number where a sample
        should be.
    TooLargeError
        Longer than `longest_s`.
    """
    import soundfile

    kind = check_kind(path)
    try:
        info = soundfile.info(path)
    except soundfile.LibsndfileError as error:
        raise InputError(f"the file is damaged: {error.error_string}", item=path.name) from error
    if info.subtype in ("MPEG_LAYER_III", "ALAC_16", "GSM610", "IMA_ADPCM", "MS_ADPCM"):
        raise InputError(
            "the sound in this file is compressed", item=path.name, value=info.subtype_info
        )
    _check_size(path.name, info.frames / info.samplerate, info.samplerate, longest_s)
    try:
        samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    except soundfile.LibsndfileError as error:
        raise InputError(
            f"the file breaks off or is damaged: {error.error_string}", item=path.name
        ) from error
    missing = missing_share(path) if kind == "wav" else 1 - len(samples) / max(info.frames, 1)
    recording = Recording(
        samples=samples,
        sample_rate_hz=float(rate),
        bits=_BITS.get(info.subtype, 24),
        name=path.name,
        problems=_truncation(missing),
    )
    return inspect(recording)


def inspect(recording: Recording) -> Recording:
    """Return the recording with what is wrong about its samples.

    Raises
    ------
    InputError
        No samples, silence, or values that are not numbers.
    """
    samples = recording.samples
    if samples.shape[0] < recording.sample_rate_hz / 2:
        raise InputError(
            "the recording is shorter than half a second",
            item=recording.name,
            value=f"{samples.shape[0]} samples",
        )
    peaks = np.maximum(samples.max(axis=0), -samples.min(axis=0))
    if not np.isfinite(peaks).all():
        raise InputError("holds samples that are not numbers", item=recording.name)
    if peaks.max() < _SILENT:
        raise InputError(
            "the recording is silent",
            item=recording.name,
            value=f"peak {20 * np.log10(max(float(peaks.max()), 1e-9)):.0f} dB below full scale",
            allowed="a recording in which the sweep can be heard; check microphone and permission",
        )
    problems = [*recording.problems, *_resolution(recording, float(peaks.max()))]
    problems += _channels(peaks)
    for channel in range(samples.shape[1]):
        share = float(clipped_samples(samples[:, channel]).mean())
        if share > 0:
            problems.append(_clipping(share, channel, samples.shape[1]))
            break
    return replace(recording, problems=tuple(problems))


def _check_size(name: str, duration_s: float, rate_hz: float, longest_s: float) -> None:
    if not 8000 <= rate_hz <= 384000:
        raise InputError(
            "a sample rate that no recorder uses for this",
            item=name,
            value=f"{rate_hz:g} Hz",
            allowed="8 kHz to 384 kHz",
        )
    if duration_s > longest_s:
        raise TooLargeError(
            f"{name}: the recording is {duration_s / 60:.0f} minutes long; at most "
            f"{longest_s / 60:.0f} minutes are read. Cut out the part with the sweep."
        )


def _truncation(missing: float) -> tuple[Problem, ...]:
    if missing <= 0.0005:
        return ()
    return (
        Problem(
            kind="truncated",
            severity="warning",
            text=f"the last {missing:.1%} that the file announces is missing",
            remedy="copy the file again; what there is was read",
        ),
    )


def _resolution(recording: Recording, peak: float) -> list[Problem]:
    problems = []
    if recording.bits <= 8:
        problems.append(
            Problem(
                kind="resolution",
                severity="warning",
                text="the recording has 8 bits: its own noise lies only about 50 dB down",
                remedy="record with 16 bits or more",
            )
        )
    if recording.sample_rate_hz > 96000:
        problems.append(
            Problem(
                kind="sample rate",
                severity="note",
                text=f"{recording.sample_rate_hz / 1000:g} kHz is more than bass needs; it was "
                "brought down",
            )
        )
    if peak < 10 ** (-45 / 20):
        problems.append(
            Problem(
                kind="quiet",
                severity="warning",
                text=f"the loudest sample is {-20 * np.log10(peak):.0f} dB below full scale",
                remedy="turn the recorder up or go closer",
            )
        )
    return problems


def _channels(peaks: NDArray[np.float32]) -> list[Problem]:
    if peaks.size < 2:
        return []
    dead = np.flatnonzero(peaks < max(_SILENT, 1e-3 * float(peaks.max())))
    return [
        Problem(
            kind="channels",
            severity="note",
            text=f"channel {index + 1} of {peaks.size} is silent; the other is used",
            remedy="if the microphone was meant to be on that channel, swap the plugs",
        )
        for index in dead
    ]


def _clipping(share: float, channel: int, channels: int) -> Problem:
    where = f" on channel {channel + 1}" if channels > 1 else ""
    return Problem(
        kind="clipping",
        severity="unusable" if share > 0.02 else "warning",
        text=f"{share:.2%} of the samples are clipped{where}: the level shown is too low there",
        remedy="turn the recorder down by 10 dB and record again",
    )
