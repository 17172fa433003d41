"""Papers: preview and download of what is handed over."""

from __future__ import annotations

import io
import tempfile
import zipfile
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from basswright.database.engine import settings_folder
from basswright.errors import NotFoundError
from basswright.jobs.own import own_logo
from basswright.web.desk import Desk
from basswright.web.pages import desk_of, page

if TYPE_CHECKING:
    from basswright.stages.system import System

router: Final = APIRouter()
_TITLES: Final = {
    "quote": "Quote",
    "fitting": "Fitting sheet",
    "tuning": "Tuning sheet",
    "customer": "For the customer",
    "acceptance": "Acceptance record",
}
_KINDS: Final = {".pdf": "application/pdf", ".svg": "image/svg+xml"}


@router.get("/jobs/{job_id}/papers")
def of_the_best(request: Request, job_id: str) -> Response:
    """Go to the papers of the first option."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    found = desk.options(job).options if desk.has_catalogue() else ()
    if not found:
        return RedirectResponse(f"/jobs/{job_id}/options", status_code=303)
    return RedirectResponse(f"/jobs/{job_id}/papers/{found[0].id}", status_code=303)


@router.get("/jobs/{job_id}/papers/{option_id}")
def papers(request: Request, job_id: str, option_id: str) -> Response:
    """Show the papers of one option."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.system(stored.job, option_id)
    made = files_of(desk, found)
    sheets = [
        (name, _TITLES.get(Path(name).stem, Path(name).stem.replace("-", " ").capitalize()))
        for name in made
        if name.endswith(".pdf")
    ]
    return page(
        request, "papers.html", stage="papers", stored=stored, option=found.option, sheets=sheets
    )


@router.get("/jobs/{job_id}/papers/{option_id}/all.zip")
def archive(request: Request, job_id: str, option_id: str) -> Response:
    """Give every paper and figure in one file."""
    desk = desk_of(request)
    made = files_of(desk, desk.system(desk.jobs.get(job_id).job, option_id))
    name = f"{job_id}-papers.zip"
    return Response(
        zipped(made),
        media_type="application/zip",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@router.get("/jobs/{job_id}/papers/{option_id}/{name}")
def paper(request: Request, job_id: str, option_id: str, name: str) -> Response:
    """Give one paper."""
    desk = desk_of(request)
    made = files_of(desk, desk.system(desk.jobs.get(job_id).job, option_id))
    if name not in made:
        raise NotFoundError("paper", name, tuple(made))
    kind = _KINDS.get(Path(name).suffix, "application/octet-stream")
    headers = {"Content-Disposition": f'inline; filename="{job_id}-{name}"'}
    return Response(made[name], media_type=kind, headers=headers)


def files_of(desk: Desk, system: System) -> dict[str, bytes]:
    """Return the papers of a system, made once a day for as long as nothing changes."""
    from basswright.papers import Extras, Issue
    from basswright.stages.alternatives import alternatives
    from basswright.stages.papers import of_system

    today, logo = date.today(), own_logo(settings_folder(desk.engine.url))
    others = alternatives(desk.options(system.job).options, system.option)
    issue = Issue(day=today, extras=Extras(logo=logo, alternatives=others))

    def make() -> dict[str, bytes]:
        with tempfile.TemporaryDirectory() as folder:
            paths = of_system(system, Path(folder), issue=issue)
            return {path.name: path.read_bytes() for path in paths}

    key = (
        "papers",
        today,
        logo,
        others,
        system.job.model_dump_json(),
        system.option.model_dump_json(),
    )
    return desk.kept(key, make)


def zipped(files: dict[str, bytes]) -> bytes:
    """Return files as one ZIP archive."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return target.getvalue()
