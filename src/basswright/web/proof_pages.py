"""Proof: what was promised, and whether a recording in the finished car shows it kept."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final

from fastapi import APIRouter, Depends, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse, RedirectResponse, Response

from basswright.errors import NotFoundError
from basswright.web.pages import desk_of, page
from basswright.web.proof_chart import specification
from basswright.web.proof_reading import LOUD_DBFS, Sent, earlier_of, judged, keep, sent

if TYPE_CHECKING:
    from basswright.records.measurement import Measurement, Proof

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
    content = desk_of(request).kept(("sweep",), lambda: _sweep(None))
    return Response(content, media_type="audio/wav")


@router.get("/signals/loud-sweep.wav")
def loud_sweep(request: Request) -> Response:
    """Give the same sweep, louder."""
    content = desk_of(request).kept(("loud sweep",), lambda: _sweep(LOUD_DBFS))
    return Response(content, media_type="audio/wav")


@router.get("/jobs/{job_id}/proof/{option_id}")
def proof(request: Request, job_id: str, option_id: str) -> Response:
    """Show what was promised and how to measure it."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.system(stored.job, option_id)
    return page(
        request,
        "proof.html",
        stage="proof",
        stored=stored,
        option=found.option,
        proof=None,
        earlier=earlier_of(desk, job_id),
    )


@router.post("/jobs/{job_id}/proof/{option_id}")
async def measured(
    request: Request, job_id: str, option_id: str, given: Annotated[Sent, Depends(sent)]
) -> Response:
    """Hold a recording of the sweep against the promise, or against an earlier one."""
    return await run_in_threadpool(_answered, request, job_id, option_id, given)


@router.get("/jobs/{job_id}/proof/{option_id}/chart")
def chart(
    request: Request,
    job_id: str,
    option_id: str,
    of: Annotated[str, Query(pattern="^[0-9a-f]{64}$")],
) -> Response:
    """Give the chart of a recording that was just held against the promise."""

    def gone() -> tuple[Proof, Measurement]:
        raise NotFoundError("recording", f"{job_id}, {option_id}, {of[:8]}")

    found, _ = desk_of(request).kept(("proof", job_id, option_id, of), gone)
    return JSONResponse(specification(found))


def _answered(request: Request, job_id: str, option_id: str, given: Sent) -> Response:
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    system = desk.system(stored.job, option_id)
    key = ("proof", job_id, option_id, given.digest)
    found, heard = desk.kept(key, lambda: judged(desk, system, given))
    told = keep(desk, system, given, heard) if given.keep else ()
    return page(
        request,
        "proof.html",
        stage="proof",
        stored=stored,
        option=system.option,
        proof=found,
        against_earlier=bool(given.earlier),
        kept_files=told,
        earlier=earlier_of(desk, job_id),
        bands=list(zip(found.bands_hz.tolist(), found.band_margin_db.tolist(), strict=True)),
        digest=given.digest,
    )


def _sweep(level_dbfs: float | None) -> bytes:
    from basswright.records.measurement import Sweep
    from basswright.tuning import signals

    made = signals.log_sweep(None if level_dbfs is None else Sweep(level_dbfs=level_dbfs))
    with tempfile.TemporaryDirectory() as folder:
        return signals.write(made, Path(folder) / "sweep.wav").read_bytes()
