"""Proof: what was promised, and how to show in the car that it was kept."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from basswright.web.pages import desk_of, page

router: Final = APIRouter()


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


def _sweep() -> bytes:
    from basswright.tuning import signals

    with tempfile.TemporaryDirectory() as folder:
        return signals.write(signals.log_sweep(), Path(folder) / "sweep.wav").read_bytes()


@router.get("/jobs/{job_id}/proof/{option_id}")
def proof(request: Request, job_id: str, option_id: str) -> Response:
    """Show what was promised and how to measure it."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.system(stored.job, option_id)
    return page(request, "proof.html", stage="proof", stored=stored, option=found.option)
