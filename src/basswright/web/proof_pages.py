"""Proof: what was promised, and whether a recording in the finished car shows it kept."""

from __future__ import annotations

import hashlib
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Final

from fastapi import APIRouter, File, Form, Query, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse, RedirectResponse, Response

from basswright.errors import InputError, NotFoundError
from basswright.quantities import read
from basswright.web.desk import Desk
from basswright.web.pages import desk_of, page

if TYPE_CHECKING:
    from basswright.records.measurement import Calibration, Proof
    from basswright.stages.system import System

router: Final = APIRouter()

LARGEST_RECORDING: Final = 60_000_000
_LARGEST_CALIBRATION: Final = 200_000


@router.get("/jobs/{job_id}/proof")
def of_the_best(request: Request, job_id: str) -> Response:
    """Go to the proof of the first option."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    found = desk.options(job).options if desk.has_catalogue() else ()
    if not found:
        return RedirectResponse(f"/jobs/{job_id}/options", status_code=303)
    return RedirectResponse(f"/jobs/{job_id}/proof/{found[0].id}", status_code=303)


@router.get("/signals/sweep.wav")
def sweep(request: Request) -> Response:
    """Give the sweep that is played in the car."""
    content = desk_of(request).kept(("sweep",), _sweep)
    return Response(content, media_type="audio/wav")


@router.get("/jobs/{job_id}/proof/{option_id}")
def proof(request: Request, job_id: str, option_id: str) -> Response:
    """Show what was promised and how to measure it."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.system(stored.job, option_id)
    return page(
        request, "proof.html", stage="proof", stored=stored, option=found.option, proof=None
    )


@router.post("/jobs/{job_id}/proof/{option_id}")
async def measured(
    request: Request,
    job_id: str,
    option_id: str,
    recording: Annotated[UploadFile, File()],
    calibration: Annotated[UploadFile | None, File()] = None,
    full_scale: Annotated[str, Form(max_length=40)] = "",
) -> Response:
    """Hold a recording of the sweep against the promise."""
    sound = await recording.read(LARGEST_RECORDING + 1)
    microphone = await calibration.read(_LARGEST_CALIBRATION + 1) if calibration else b""
    if len(sound) > LARGEST_RECORDING or len(microphone) > _LARGEST_CALIBRATION:
        raise InputError(
            "too large",
            field="recording",
            allowed=f"recordings up to {LARGEST_RECORDING / 1e6:.0f} MB, calibrations up to 200 kB",
        )
    return await run_in_threadpool(
        _judged, request, job_id, option_id, (sound, microphone, full_scale)
    )


@router.get("/jobs/{job_id}/proof/{option_id}/chart")
def chart(
    request: Request,
    job_id: str,
    option_id: str,
    of: Annotated[str, Query(pattern="^[0-9a-f]{64}$")],
) -> Response:
    """Give the chart of a recording that was just held against the promise."""

    def gone() -> Proof:
        raise NotFoundError("recording", f"{job_id}, {option_id}, {of[:8]}")

    found = desk_of(request).kept(("proof", job_id, option_id, of), gone)
    return JSONResponse(_specification(found))


def _judged(
    request: Request, job_id: str, option_id: str, sent: tuple[bytes, bytes, str]
) -> Response:
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    system = desk.system(stored.job, option_id)
    digest = hashlib.sha256(b"\0".join([sent[0], sent[1], sent[2].encode()])).hexdigest()
    key = ("proof", job_id, option_id, digest)
    found = desk.kept(key, lambda: _compared(desk, system, sent))
    return page(
        request,
        "proof.html",
        stage="proof",
        stored=stored,
        option=system.option,
        proof=found,
        bands=list(zip(found.bands_hz.tolist(), found.band_margin_db.tolist(), strict=True)),
        digest=digest,
    )


def _compared(_: Desk, system: System, sent: tuple[bytes, bytes, str]) -> Proof:
    from basswright import proof as proving
    from basswright.proof.installed import installed
    from basswright.records.measurement import Sweep

    sound, microphone, full_scale = sent
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "recording"
        file.write_bytes(sound)
        recording = proving.read_recording(file)
        calibration = _calibration(Path(folder) / "calibration.txt", microphone, full_scale)
    shown = proving.analyse(recording, Sweep(), calibration=calibration)
    plant = installed(system.job, system.option)
    return proving.compare(shown, system.prediction, plant=plant)


def _calibration(file: Path, content: bytes, full_scale: str) -> Calibration | None:
    import numpy as np

    from basswright.proof import read_calibration
    from basswright.records.measurement import Calibration

    text = full_scale.strip()
    level = None
    if text:
        level = read(text if not text[-1].isdigit() else f"{text} dB", "level")
    if content:
        file.write_bytes(content)
        return read_calibration(file, level_at_full_scale_db=level)
    if level is None:
        return None
    flat = np.array([1.0, 20000.0])
    return Calibration(frequency_hz=flat, correction_db=np.zeros(2), level_at_full_scale_db=level)


def _specification(found: Proof) -> dict[str, Any]:
    rows = [
        {
            "frequency": round(float(f), 2),
            "measured": round(float(m), 2),
            "promised": round(float(p), 2),
            "low": round(float(low), 2),
            "high": round(float(high), 2),
        }
        for f, m, p, low, high in zip(
            found.frequency_hz,
            found.measured_db,
            found.predicted_db,
            found.low_db,
            found.high_db,
            strict=True,
        )
    ]
    x = {
        "field": "frequency",
        "type": "quantitative",
        "scale": {"type": "log", "nice": False},
        "axis": {"title": "Frequency in Hz", "values": [16, 20, 31.5, 40, 50, 63, 80, 100, 125]},
    }
    y = {"type": "quantitative", "scale": {"zero": False}, "title": "Level at the ear in dB"}
    line = {"type": "line", "strokeWidth": 2.2}
    return {
        "$schema": "https://vega.github.io/schema/vega-lite/v5.json",
        "data": {"values": rows},
        "width": "container",
        "height": 300,
        "layer": [
            {
                "mark": {"type": "area", "opacity": 0.2, "color": "#0072B2"},
                "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
            },
            {
                "mark": {**line, "color": "#0072B2", "strokeDash": [6, 3]},
                "encoding": {"x": x, "y": {**y, "field": "promised"}},
            },
            {
                "mark": {**line, "color": "#D55E00", "tooltip": True},
                "encoding": {"x": x, "y": {**y, "field": "measured"}},
            },
        ],
    }


def _sweep() -> bytes:
    from basswright.tuning import signals

    with tempfile.TemporaryDirectory() as folder:
        return signals.write(signals.log_sweep(), Path(folder) / "sweep.wav").read_bytes()
