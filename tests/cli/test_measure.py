"""Recordings from a terminal, made in rooms with a known answer."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from basswright.proof.impedance import model_impedance
from basswright.records.measurement import Sweep
from tests.cli.conftest import Run
from tests.proof.rooms import known_room, played, recorded, through


def _sound(path: Path, samples: np.ndarray, rate: int = 48000, subtype: str = "PCM_24") -> Path:
    soundfile.write(path, samples, rate, subtype=subtype)
    return path


@pytest.fixture(scope="module")
def room(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A recording in the room with a known answer, the recorder's clock 80 ppm fast."""
    return _sound(tmp_path_factory.mktemp("room") / "room.wav", recorded(drift=8e-5).samples)


def test_the_level_is_that_of_the_room(run: Run, room: Path) -> None:
    """15 to 150 Hz within 0.1 dB of the closed form, absolute by the level at full scale."""
    ran = run("measure", "response", room, "--full-scale", "120 dB", "--json")
    assert ran.code == 0
    found = json.loads(ran.out)
    frequency, level = np.array(found["frequency_hz"]), np.array(found["level_db"])
    bass = (frequency > 15) & (frequency < 150)
    wanted = 120 + 20 * np.log10(np.abs(known_room(frequency)))
    assert np.abs(level - wanted)[bass].max() < 0.1
    assert found["drift_ppm"] == pytest.approx(80, abs=1)
    assert found["absolute"]


def test_seats_are_averaged_and_named(run: Run, room: Path, tmp_path: Path) -> None:
    quieter = _sound(tmp_path / "rear.wav", 0.5 * recorded().samples)
    ran = run("measure", "response", room, quieter, "--seat", "driver", "--seat", "rear")
    assert ran.code == 0
    assert "driver, rear" in ran.out
    wrong = run("measure", "response", room, "--seat", "driver", "--seat", "rear")
    assert wrong.code == 2
    assert "not as many seats as recordings" in wrong.err


def test_the_calibration_is_taken_off(run: Run, room: Path, tmp_path: Path) -> None:
    plain = json.loads(run("measure", "response", room, "--json").out)
    file = tmp_path / "microphone.csv"
    file.write_text("Hz;dB\n10;-6,0\n1000;-6,0\n", encoding="utf-8")
    ran = run("measure", "response", room, "--calibration", file, "--json")
    corrected = json.loads(ran.out)
    difference = np.subtract(corrected["level_db"], plain["level_db"])
    assert difference == pytest.approx(6.0, abs=1e-6)


def test_another_sweep_is_found_by_its_own_figures(run: Run, tmp_path: Path) -> None:
    sweep = Sweep(start_hz=15.0, stop_hz=200.0, duration_s=6.0, level_dbfs=-20.0)
    path = _sound(tmp_path / "short.wav", recorded(sweep).samples)
    figures = ("--from", "15 Hz", "--to", "200 Hz", "--lasting", "6 s", "--level", "-20 dB")
    assert run("measure", "response", path, *figures).code == 0


def test_an_impedance_is_fitted_from_a_table_and_from_two_channels(
    run: Run, tmp_path: Path
) -> None:
    """The same closed box both ways; the recording beside a resistor of 10 ohm."""
    values = (3.4, 30.0, 48.0, 5.0, 0.01, 0.7)
    hertz = np.geomspace(10, 300, 120)
    z = model_impedance("closed", hertz, values)
    table = tmp_path / "box.csv"
    rows = zip(hertz, np.abs(z), np.degrees(np.angle(z)), strict=True)
    table.write_text("\n".join(f"{f:.3f},{m:.5f},{p:.4f}" for f, m, p in rows), encoding="utf-8")
    ran = run("measure", "impedance", table, "--json")
    assert ran.code == 0
    found = json.loads(ran.out)
    assert found["kind"] == "closed"
    assert found["values"]["fc_hz"] == pytest.approx(48.0, rel=0.002)

    source = played(Sweep(), rate=48000)

    def across_sense(frequency: np.ndarray) -> np.ndarray:
        return np.asarray(10 / (10 + model_impedance("closed", np.maximum(frequency, 1), values)))

    both = np.stack([source, through(source, 48000, across_sense)], axis=1)
    path = _sound(tmp_path / "two.wav", both)
    found = json.loads(run("measure", "impedance", path, "--sense", "10 ohm", "--json").out)
    assert found["values"]["fc_hz"] == pytest.approx(48.0, rel=0.002)
    assert found["values"]["Re_ohm"] == pytest.approx(3.4, rel=0.02)
    swapped = run("measure", "impedance", path, "--sense", "10 ohm", "--swapped")
    assert swapped.code == 2
    assert "swapped" in swapped.err
    assert run("measure", "impedance", table, "--kind", "round").code == 2


def test_a_machine_without_a_sound_card_says_so(run: Run, tmp_path: Path) -> None:
    ran = run("measure", "live", tmp_path / "heard.wav", "--device", "no such card")
    assert ran.code in (2, 5)
    assert "sound card" in ran.err or "sound-card" in ran.err
