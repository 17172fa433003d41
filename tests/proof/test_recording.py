"""Recordings and calibration files as people bring them: each trouble is told plainly."""

import struct
from dataclasses import replace

import numpy as np
import pytest
import soundfile

from basswright.errors import BasswrightError, InputError, InputErrors, TooLargeError
from basswright.proof.analyse import analyse
from basswright.proof.calibration import read_calibration
from basswright.proof.clipped import clipped_samples
from basswright.proof.recording import read_recording
from basswright.records.measurement import Sweep
from tests.proof.rooms import recorded

SHORT = Sweep(start_hz=15.0, stop_hz=150.0, duration_s=5.0)


def _write(path, samples, rate=48000, subtype="PCM_16"):
    soundfile.write(path, samples, rate, subtype=subtype)
    return path


@pytest.fixture(scope="module")
def sound():
    return recorded(SHORT).samples


@pytest.mark.parametrize(
    ("name", "subtype"), [("a.wav", "PCM_16"), ("a.flac", "PCM_24"), ("a.aiff", "PCM_16")]
)
def test_wav_flac_and_aiff_are_read(tmp_path, sound, name, subtype):
    recording = read_recording(_write(tmp_path / name, sound, subtype=subtype))
    assert recording.samples == pytest.approx(sound, abs=2**-14)
    assert recording.problems == ()
    assert recording.sample_rate_hz == 48000


def test_silence_is_told(tmp_path, sound):
    path = _write(tmp_path / "quiet.wav", np.zeros_like(sound))
    with pytest.raises(InputError, match="silent"):
        read_recording(path)


def test_text_renamed_to_wav_is_told(tmp_path):
    path = tmp_path / "sweep.wav"
    path.write_text("frequency,level\n20,90\n" * 20)
    with pytest.raises(InputError, match="text file, whatever its name"):
        read_recording(path)


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"ID3\x04" + b"\0" * 100, "MP3"),
        (b"\xff\xfb\x90\x44" + b"\0" * 100, "MP3"),
        (b"\0\0\0\x20ftypmp42" + b"\0" * 100, "MP4"),
        (b"\x1a\x45\xdf\xa3" + b"\0" * 100, "WebM"),
        (b"OggS" + b"\0" * 100, "Ogg"),
        (b"\x89PNG\r\n" + b"\0" * 100, "picture"),
        (b"RIFF\0\0\0\0AVI " + b"\0" * 100, "AVI"),
        (b"\0\x01\x02\x03" * 50, "no sound file"),
    ],
)
def test_compressed_sound_and_video_are_named(tmp_path, head, words):
    path = tmp_path / "sweep.wav"
    path.write_bytes(head)
    with pytest.raises(InputError, match=words) as caught:
        read_recording(path)
    assert "WAV, FLAC or AIFF" in str(caught.value)


def test_a_real_mp3_is_refused_by_its_content(tmp_path, sound):
    soundfile.write(tmp_path / "a.mp3", sound, 48000)
    renamed = (tmp_path / "a.mp3").rename(tmp_path / "a.wav")
    with pytest.raises(InputError, match="MP3"):
        read_recording(renamed)


def test_missing_and_empty_files_are_told(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        read_recording(tmp_path / "gone.wav")
    (tmp_path / "empty.wav").write_bytes(b"")
    with pytest.raises(InputError, match="empty"):
        read_recording(tmp_path / "empty.wav")


def test_eight_bits_are_told_and_still_analysed(tmp_path, sound):
    loud = sound / np.abs(sound).max() * 0.9
    recording = read_recording(_write(tmp_path / "a.wav", loud, subtype="PCM_U8"))
    assert recording.bits == 8
    kinds = {one.kind for one in recording.problems}
    assert "resolution" in kinds
    assert "clipping" not in kinds
    eight, sixteen = (analyse(one, SHORT) for one in (recording, replace(recording, samples=loud)))
    inside = (eight.frequency_hz > 20) & (eight.frequency_hz < 100)
    assert eight.level_db[inside] == pytest.approx(sixteen.level_db[inside], abs=0.3)


def test_192_khz_is_brought_down_and_said(tmp_path):
    high = recorded(SHORT, rate=192000)
    recording = read_recording(_write(tmp_path / "a.wav", high.samples, rate=192000))
    assert "192 kHz" in " ".join(one.text for one in recording.problems)
    assert analyse(recording, SHORT).impulse_rate_hz < 3000


def test_three_hours_are_refused_before_they_are_read(tmp_path):
    """A sparse file of three hours: its samples are never touched."""
    path = tmp_path / "long.wav"
    size = 3 * 3600 * 8000
    header = b"RIFF" + struct.pack("<I", 36 + size) + b"WAVEfmt "
    header += struct.pack("<IHHIIHH", 16, 1, 1, 8000, 8000, 1, 8) + b"data"
    with path.open("wb") as file:
        file.write(header + struct.pack("<I", size))
        file.truncate(44 + size)
    with pytest.raises(TooLargeError, match="180 minutes"):
        read_recording(path)


def test_a_truncated_wav_says_how_much_is_missing(tmp_path, sound):
    path = _write(tmp_path / "a.wav", sound)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    recording = read_recording(path)
    texts = [one.text for one in recording.problems if one.kind == "truncated"]
    assert "50.0%" in texts[0]
    assert recording.samples.shape[0] == pytest.approx(sound.shape[0] / 2, abs=50)


def test_a_truncated_flac_is_told(tmp_path, sound):
    path = _write(tmp_path / "a.flac", sound)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with pytest.raises(InputError, match=r"breaks off|damaged"):
        read_recording(path)


def test_samples_that_are_no_numbers_are_told(tmp_path, sound):
    broken = sound.copy()
    broken[1000] = np.nan
    path = _write(tmp_path / "a.wav", broken, subtype="FLOAT")
    with pytest.raises(InputError, match="not numbers"):
        read_recording(path)


def test_a_very_short_recording_is_told(tmp_path, sound):
    with pytest.raises(InputError, match="half a second"):
        read_recording(_write(tmp_path / "a.wav", sound[:1000]))


@pytest.mark.parametrize("order", [(0, 1), (1, 0)])
def test_one_silent_channel_is_named(tmp_path, sound, order):
    both = np.hstack([sound, np.zeros_like(sound)])[:, order]
    recording = read_recording(_write(tmp_path / "a.wav", both))
    silent = order.index(1) + 1
    assert f"channel {silent} of 2 is silent" in recording.problems[0].text


def test_clipped_share_is_the_share_that_was_cut():
    time = np.arange(48000) / 48000
    wave = np.sin(2 * np.pi * 50 * time).astype(np.float32)
    assert clipped_samples(0.9 * wave).mean() == 0
    cut = np.clip(wave, -0.8, 0.8)
    true = float(np.mean(np.abs(wave) >= 0.8))
    assert clipped_samples(cut).mean() == pytest.approx(true, rel=0.03)


def test_any_bytes_give_an_error_of_ours_and_no_other(tmp_path):
    random = np.random.default_rng(0)
    good = _write(tmp_path / "good.wav", recorded(SHORT).samples[:40000]).read_bytes()
    for trial in range(60):
        broken = bytearray(good[: 2000 + trial * 37])
        for _ in range(6):
            broken[int(random.integers(0, 60))] = int(random.integers(256))
        path = tmp_path / "broken.wav"
        path.write_bytes(bytes(broken))
        try:
            recording = read_recording(path)
        except BasswrightError:
            continue
        assert np.isfinite(recording.samples).all()


def test_calibration_is_read_with_its_headings_and_columns(tmp_path):
    path = tmp_path / "mic.txt"
    path.write_text('"Sens Factor =-1.2dB"\n* freq dB\n10\t-3.5\t0\n100\t0.0\t0\n1000\t1.0\t0\n')
    found = read_calibration(path, level_at_full_scale_db=120.0)
    assert found.frequency_hz.tolist() == [10, 100, 1000]
    assert found.correction_db.tolist() == [-3.5, 0.0, 1.0]
    assert found.level_at_full_scale_db == 120.0
    assert "no reading between 10 and 100 Hz" in found.problems[0].text


def test_calibration_without_gaps_brings_no_problem(tmp_path):
    path = tmp_path / "mic.csv"
    path.write_text("\n".join(f"{f},{0.1}" for f in (10, 15, 20, 31.5, 50, 80, 125, 250)))
    assert read_calibration(path).problems == ()


def test_every_bad_row_of_a_calibration_is_named(tmp_path):
    path = tmp_path / "mic.csv"
    path.write_text("20,0.5\nabc\n30,\n40,200\n50,1\n45,1\n")
    with pytest.raises(InputErrors) as caught:
        read_calibration(path)
    text = str(caught.value)
    assert "row 3" in text
    assert "row 4" in text
    path.write_text("20,0.5\n50,1\n45,1\n")
    with pytest.raises(InputErrors, match="row 3"):
        read_calibration(path)
    path.write_bytes(b"\xff\xfe\0\0")
    with pytest.raises(InputError, match="no plain text"):
        read_calibration(path)
