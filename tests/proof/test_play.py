"""Playing and recording at once, with a sound card made of arrays."""

import builtins
import sys
from types import SimpleNamespace

import numpy as np
import pytest

from basswright.errors import InputError, MissingPartError
from basswright.proof.analyse import analyse
from basswright.proof.play import play_and_record
from basswright.records.measurement import Sweep

SWEEP = Sweep(start_hz=15.0, stop_hz=150.0, duration_s=5.0, sample_rate_hz=16000)


class _PortAudioError(Exception):
    pass


def _card(playrec):
    return SimpleNamespace(playrec=playrec, PortAudioError=_PortAudioError)


def test_what_the_card_hears_is_analysed(monkeypatch):
    def playrec(samples, samplerate, channels, **_):
        late = np.concatenate([np.zeros(800, dtype=np.float32), samples])[: samples.size]
        return 0.5 * np.repeat(late[:, None], channels, axis=1)

    monkeypatch.setitem(sys.modules, "sounddevice", _card(playrec))
    found = analyse(play_and_record(SWEEP), SWEEP)
    inside = (found.frequency_hz > 25) & (found.frequency_hz < 120)
    assert found.level_db[inside] == pytest.approx(20 * np.log10(0.5), abs=0.05)


def test_without_the_library_the_extra_is_named(monkeypatch):
    real = builtins.__import__

    def no_card(name, *rest):
        if name == "sounddevice":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.setattr(builtins, "__import__", no_card)
    with pytest.raises(MissingPartError, match="sound-card"):
        play_and_record(SWEEP)


def test_a_card_that_refuses_is_told(monkeypatch):
    def playrec(*_, **__):
        raise _PortAudioError("no such device")

    monkeypatch.setitem(sys.modules, "sounddevice", _card(playrec))
    with pytest.raises(InputError, match="no such device"):
        play_and_record(SWEEP, device="nothing")
    with pytest.raises(InputError, match="channels"):
        play_and_record(SWEEP, channels=5)
