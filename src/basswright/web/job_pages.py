"""The jobs of the workshop: find, begin, copy, put away, undo, export."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import Annotated, Final

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.responses import RedirectResponse, Response

from basswright import jobs
from basswright.database.engine import settings_folder
from basswright.errors import ConflictError, InputError
from basswright.jobs.editing import from_template, not_yet_read, template_names
from basswright.jobs.own import FILE, own_workshop
from basswright.jobs.reading import LARGEST_BYTES, decoded
from basswright.jobs.store import StoredJob
from basswright.records.job import Job, Workshop
from basswright.web.desk import Desk
from basswright.web.pages import desk_of, page, part

router: Final = APIRouter()
_MOST_COPIES: Final = 1000


@router.get("/")
def front(request: Request) -> Response:
    """Show the jobs; to a newcomer, a worked job from the demo range."""
    desk = desk_of(request)
    stored = desk.jobs.list()
    return page(
        request,
        "jobs.html",
        stored_jobs=stored,
        archived=False,
        text="",
        templates=template_names(),
        worked=_is_new(desk, stored),
        waiting={each.job.id: len(not_yet_read(each.job)) for each in stored},
    )


@router.get("/worked")
def worked(request: Request) -> Response:
    """Show what came of the sample job; nothing where that cannot be told."""
    desk = desk_of(request)
    desk.seed()
    demo = next((each for each in desk.jobs.list() if each.job.id.startswith("demo-")), None)
    if demo is None or not desk.has_catalogue():
        return Response(status_code=204)
    stored = desk.jobs.list()
    return part(
        request,
        "parts/worked.html",
        demo=demo,
        found=desk.options(demo.job),
        stored_jobs=stored,
        archived=False,
        text="",
        waiting={each.job.id: len(not_yet_read(each.job)) for each in stored},
    )


@router.get("/jobs")
def found(
    request: Request, text: Annotated[str, Query(max_length=200)] = "", archived: bool = False
) -> Response:
    """Search the jobs by any words of number, title, customer or car."""
    stored = desk_of(request).jobs.search(text, archived=archived)
    waiting = {each.job.id: len(not_yet_read(each.job)) for each in stored}
    return part(
        request,
        "parts/job_list.html",
        stored_jobs=stored,
        archived=archived,
        text=text,
        waiting=waiting,
    )


@router.post("/jobs")
def begin(
    request: Request,
    title: Annotated[str, Form(max_length=120)],
    template: Annotated[str, Form(max_length=60)],
    customer: Annotated[str, Form(max_length=120)] = "",
) -> Response:
    """Begin a job from the template of a car."""
    title = " ".join(title.split())
    if not title:
        raise InputError("a job needs a title", field="title", allowed="1 to 120 characters")
    desk = desk_of(request)
    job = from_template(template, job_id=free_id(desk, title), title=title, customer=customer)
    job = job.model_copy(update={"workshop": _own_workshop(desk, job)})
    desk.jobs.save(job, note="begun")
    return _see_other(f"/jobs/{job.id}/car")


def _own_workshop(desk: Desk, job: Job) -> Workshop:
    """Return what the workshop keeps for its new jobs, or what the template has."""
    folder = settings_folder(desk.engine.url)
    return own_workshop(folder) if (folder / FILE).exists() else job.workshop


@router.post("/jobs/import")
async def take_in(request: Request, file: UploadFile) -> Response:
    """Take in a job file, under its own id or the next free one."""
    content = await file.read(LARGEST_BYTES + 1)
    job = jobs.parse_job(decoded(content, "the file"), item="the file")
    desk = desk_of(request)
    try:
        desk.jobs.save(job, note="taken in from a file")
    except ConflictError:
        job = job.model_copy(update={"id": free_id(desk, job.id)})
        desk.jobs.save(job, note="taken in from a file")
    return _see_other(f"/jobs/{job.id}/car")


@router.get("/jobs/{job_id}")
def opened(job_id: str) -> Response:
    """Open a job at its first stage."""
    return _see_other(f"/jobs/{job_id}/car")


@router.get("/jobs/{job_id}/job.toml")
def exported(request: Request, job_id: str) -> Response:
    """Give the job file, the same as the terminal's."""
    stored = desk_of(request).jobs.get(job_id)
    return Response(
        jobs.write_job(stored.job),
        media_type="application/toml; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{stored.job.id}.toml"'},
    )


@router.post("/jobs/{job_id}/copy")
def copied(request: Request, job_id: str) -> Response:
    """Copy a job, to try something else with it."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    new_id = free_id(desk, job_id)
    title = f"{job.title[:110]} (copy)"
    desk.jobs.duplicate(job_id, new_id, title=title)
    return _see_other(f"/jobs/{new_id}/car")


@router.post("/jobs/{job_id}/archive")
def archived(request: Request, job_id: str, away: Annotated[bool, Form()] = True) -> Response:
    """Put a job away, or take it out again."""
    desk_of(request).jobs.archive(job_id, archived=away)
    return _see_other("/")


@router.post("/jobs/{job_id}/undo")
def undone(
    request: Request,
    job_id: str,
    revision: Annotated[int, Form()],
    stage: Annotated[str, Form(pattern="^(car|wish|options)$")] = "car",
) -> Response:
    """Take the last change back."""
    desk_of(request).jobs.undo(job_id, expected_revision=revision)
    return _see_other(f"/jobs/{job_id}/{stage}")


def free_id(desk: Desk, text: str) -> str:
    """Return an id made of a text that no job has yet."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    base = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:50].strip("-") or "job"
    base = re.sub(r"-\d{1,3}$", "", base) or base
    taken = {each.job.id for each in desk.jobs.search("")}
    names = (base, *(f"{base}-{number}" for number in range(2, _MOST_COPIES)))
    return next(name for name in names if name not in taken)


def _is_new(desk: Desk, stored: Sequence[StoredJob]) -> bool:
    if not stored:
        return not desk.jobs.list(archived=True)
    return len(stored) == 1 and stored[0].job.id.startswith("demo-")


def _see_other(address: str) -> RedirectResponse:
    return RedirectResponse(address, status_code=303)
