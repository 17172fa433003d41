"""Play the sweep and record it at the same time, where there is a sound card."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from basswright.errors import InputError, MissingPartError
from basswright.proof.recording import inspect
from basswright.records.measurement import Recording, Sweep
from basswright.tuning.signals import log_sweep


def play_and_record(
    sweep: Sweep | None = None, *, device: str | int | None = None, channels: int = 1
) -> Recording:
    """Play a sweep through the sound card and return what its input heard meanwhile.

    Parameters
    ----------
    sweep : Sweep, optional
    device : str or int, optional
        Name or number of the sound card; the system's own otherwise.
    channels : int
        Inputs to record, 1 or 2.

    Raises
    ------
    MissingPartError
        The extra "sound-card", or the system's audio library, is not installed.
    InputError
        No such device, or it cannot do this.
    """
    if channels not in (1, 2):
        raise InputError("records one or two channels", field="channels", value=channels)
    card = sound_card()
    signal = log_sweep(sweep)
    try:
        heard = card.playrec(
            signal.samples.astype(np.float32),
            samplerate=signal.sample_rate_hz,
            channels=channels,
            device=device,
            dtype="float32",
            blocking=True,
        )
    except (card.PortAudioError, ValueError) as error:
        raise InputError(
            f"the sound card cannot do this: {error}", field="device", value=device
        ) from error
    recording = Recording(
        samples=np.asarray(heard, dtype=np.float32),
        sample_rate_hz=float(signal.sample_rate_hz),
        bits=24,
        name="sound card",
    )
    return inspect(recording)


def keep(recording: Recording, path: Path) -> Path:
    """Write what was heard as 24-bit WAV or FLAC, by the ending of the path.

    Raises
    ------
    InputError
        Another ending.
    """
    import soundfile

    if path.suffix.lower() not in (".wav", ".flac"):
        raise InputError(
            "not a kind of file that recordings are written to",
            item=path.name,
            value=path.suffix,
            allowed=".wav or .flac",
        )
    soundfile.write(path, recording.samples, int(recording.sample_rate_hz), subtype="PCM_24")
    return path


def sound_card() -> Any:
    """Return the sound-card library; MissingPartError where it cannot be loaded."""
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        raise MissingPartError("the sound-card library", "sound-card") from error
    return sounddevice
