"""A recording is held against the promise, and what is none is refused."""

from __future__ import annotations

import io

import httpx
import numpy as np
import pytest
import soundfile
from sqlalchemy import Engine

from basswright.database.measured_cars import MeasuredCars
from basswright.jobs.store import JobStore
from basswright.web.desk import Desk

JOB = "/jobs/demo-hatchback"


@pytest.fixture(scope="module")
def option(shared: httpx.Client) -> str:
    """The first option of the sample job."""
    return str(shared.get(f"/api{JOB}/options").json()["options"][0]["id"])


def in_the_car(filled: Engine, option: str, sweep: bytes, *, lost_db: float) -> bytes:
    """Return the sweep as it would be recorded at the ear, so many decibels too quiet.

    The sweep is filtered with the promised curve itself, by a discrete Fourier transform.
    """
    samples, rate = soundfile.read(io.BytesIO(sweep))
    job = JobStore(filled).get("demo-hatchback").job
    curve = Desk(filled).system(job, option).prediction
    size = 2 ** int(np.ceil(np.log2(2 * len(samples))))
    frequency = np.fft.rfftfreq(size, 1 / rate)
    gain_db = np.interp(frequency, curve.frequency_hz, curve.level_db) - 126.0 - lost_db
    spectrum = np.fft.rfft(samples, size) * 10 ** (gain_db / 20)
    heard = np.fft.irfft(spectrum, size)[: len(samples)]
    noise = np.random.default_rng(1).normal(scale=1e-5, size=heard.size)
    target = io.BytesIO()
    soundfile.write(target, heard + noise, rate, format="WAV", subtype="PCM_24")
    return target.getvalue()


def sent(client: httpx.Client, option: str, sound: bytes, **data: str) -> httpx.Response:
    """Send a recording as the page does."""
    return client.post(f"{JOB}/proof/{option}", files={"recording": ("a.wav", sound)}, data=data)


@pytest.mark.parametrize(("lost_db", "kept"), [(0.0, True), (15.0, False)])
def test_a_calibrated_recording_tells_whether_the_promise_was_kept(
    shared: httpx.Client, filled: Engine, option: str, lost_db: float, kept: bool
) -> None:
    sweep = shared.get("/signals/sweep.wav").content
    sound = in_the_car(filled, option, sweep, lost_db=lost_db)
    answer = sent(shared, option, sound, full_scale="126")
    assert answer.status_code == 200
    assert ("The promise was kept" in answer.text) is kept
    assert ("What it may be" in answer.text) is not kept
    address = answer.text.split('data-chart="', 1)[1].split('"', 1)[0]
    assert shared.get(address).json()["data"]["values"]


@pytest.mark.parametrize(
    ("sound", "why"),
    [(b"", ""), (b"RIFF", ""), (b"ID3" + b"0" * 4000, ""), (b"<html>", "")],
)
def test_what_is_no_recording_is_refused(
    shared: httpx.Client, option: str, sound: bytes, why: str
) -> None:
    answer = sent(shared, option, sound)
    assert answer.status_code == 422
    assert "That is not possible" in answer.text
    assert why in answer.text


def test_a_chart_of_a_recording_that_is_gone_is_not_found(
    shared: httpx.Client, option: str
) -> None:
    assert shared.get(f"{JOB}/proof/{option}/chart", params={"of": "0" * 64}).status_code == 404


def test_a_recording_is_kept_and_next_year_is_held_against_it(
    engine: Engine, client: httpx.Client
) -> None:
    """Kept with the job; the list of measurements grows; 15 dB less are seen next year."""
    listed = client.get(f"/api{JOB}/options").json()["options"]
    option = str(listed[0]["id"])
    sweep = client.get("/signals/sweep.wav").content
    now, later = (in_the_car(engine, option, sweep, lost_db=lost) for lost in (0.0, 15.0))
    answer = sent(client, option, now, full_scale="126", keep="true")
    assert "are kept with the job" in answer.text
    assert "rests on this measurement" in answer.text
    store = JobStore(engine)
    assert {file.kind for file in store.files("demo-hatchback")} == {"recording", "cabin"}
    (cabin,) = store.files("demo-hatchback", kind="cabin")
    assert len(MeasuredCars(engine).all()) == 1
    answer = sent(client, option, later, full_scale="126", earlier=str(cabin.id))
    assert "The level has fallen" in answer.text
    assert "measured earlier" in answer.text
    assert sent(client, option, later, earlier="nothing").status_code == 404
    mixed = sent(client, option, later, earlier=str(cabin.id))
    assert mixed.status_code == 422
    assert "mixed" in mixed.text


def test_further_readings_are_taken_and_told_by_name(
    shared: httpx.Client, filled: Engine, option: str
) -> None:
    sweep = shared.get("/signals/sweep.wav").content
    sound = in_the_car(filled, option, sweep, lost_db=9.0)
    wrong = sent(shared, option, sound, resistance="3 kg")
    assert wrong.status_code == 422
    assert "resistance" in wrong.text
    files = {"recording": ("a.wav", sound), "front": ("b.wav", sound)}
    alone = shared.post(f"{JOB}/proof/{option}", files=files)
    assert alone.status_code == 422
    low = sent(shared, option, sound, full_scale="126", resistance="3.4", tone="5")
    assert "Gain low" in low.text
