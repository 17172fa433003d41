"""Car: tape readings with a drawing of each, the growing space, photographs, a scan."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Final

from fastapi import APIRouter, Form, Query, Request, UploadFile
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse, Response

from basswright.errors import InputError, InputErrors, TooLargeError
from basswright.jobs.editing import changed, confirmed, not_yet_read
from basswright.jobs.store import PHOTO_LIMIT
from basswright.records.job import Job
from basswright.web import drawing, words
from basswright.web.forms import FormField, field_at, fields_of, is_field
from basswright.web.pages import desk_of, page, part
from basswright.web.saving import (
    ChangedMeanwhileError,
    Saved,
    completed,
    save_edit,
    save_reading,
    sentence,
)

router: Final = APIRouter()
_LARGEST_SCAN: Final = 60_000_000
_SCANS: Final = (".ply", ".obj", ".stl", ".glb")

#: Tables of a job whose estimates may move when one of its readings is changed.
_TABLES: Final = tuple(table for table, _, _ in words.CAR_SECTIONS)


@router.get("/jobs/{job_id}/car")
def car(request: Request, job_id: str) -> Response:
    """Show the readings of the car."""
    stored = desk_of(request).jobs.get(job_id)
    job = stored.job
    sections = [_section(job, *section) for section in words.CAR_SECTIONS if _has(job, section[0])]
    return page(
        request,
        "car.html",
        stage="car",
        stored=stored,
        sections=sections,
        name=field_at(job, "car.name"),
        body=field_at(job, "car.body"),
        lengths=field_at(job, "workshop.lengths"),
        waiting=len(not_yet_read(job)),
        photos=desk_of(request).jobs.photos(job_id),
        problem=drawing.problem_of(job),
    )


@router.post("/jobs/{job_id}/reading")
def reading(
    request: Request,
    job_id: str,
    path: Annotated[str, Form(max_length=120)],
    value: Annotated[list[str] | None, Form()] = None,
    was: Annotated[str | None, Form(max_length=400)] = None,
) -> Response:
    """Save one reading, or tell beside it why it cannot be taken."""
    desk = desk_of(request)
    written = value or []
    text = ",".join(each[:400] for each in written)
    try:
        saved = save_reading(desk, job_id, path, text, was=was)
    except (InputErrors, InputError, ChangedMeanwhileError) as error:
        job = desk.jobs.get(job_id).job
        if not is_field(path):
            raise
        field = field_at(job, path, error=sentence(error, path), written=text)
        is_clash = isinstance(error, ChangedMeanwhileError)
        return part(request, "parts/field_reply.html", field=field, clash=is_clash, job_id=job_id)
    return _saved(request, path, saved)


@router.get("/jobs/{job_id}/reading")
def reading_as_it_is(
    request: Request, job_id: str, path: Annotated[str, Query(max_length=120)]
) -> Response:
    """Show one reading as it is saved."""
    job = desk_of(request).jobs.get(job_id).job
    if not is_field(path):
        raise InputError("there is no such reading", field=path)
    return part(
        request, "parts/field_reply.html", field=field_at(job, path), clash=False, job_id=job_id
    )


@router.get("/jobs/{job_id}/check")
def check(
    request: Request,
    job_id: str,
    path: Annotated[str, Query(max_length=120)],
    value: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Tell at once what is wrong with a reading that is being typed; nothing is saved."""
    job, told, error = desk_of(request).jobs.get(job_id).job, {}, ""
    if not is_field(path):
        raise InputError("there is no such reading", field=path)
    try:
        changed(job, {path: completed(job, path, value)})
        if path.startswith("car.load_space."):
            told = {"space-tried": {"path": path, "value": value}}
    except (InputErrors, InputError) as problem:
        error = sentence(problem, path)
    return part(request, "parts/check.html", told=told, error=error, id=field_at(job, path).id)


@router.post("/jobs/{job_id}/confirm")
def confirm(request: Request, job_id: str, path: Annotated[str, Form(max_length=120)]) -> Response:
    """Take a figure of the template as read in this car."""
    saved = save_edit(
        desk_of(request), job_id, lambda job: confirmed(job, path), note=f"read: {path}"
    )
    return _saved(request, path, saved)


@router.get("/jobs/{job_id}/sketch")
def sketch(
    request: Request, job_id: str, at: Annotated[str, Query(max_length=120)] = ""
) -> Response:
    """Show where a reading is taken."""
    job = desk_of(request).jobs.get(job_id).job
    field = field_at(job, at) if is_field(at) and _has(job, at.rpartition(".")[0]) else None
    svg = drawing.sketch(job, at.removeprefix("car.load_space."))
    return part(request, "parts/sketch.html", svg=svg, field=field)


@router.get("/jobs/{job_id}/space.glb")
def space_model(
    request: Request,
    job_id: str,
    path: Annotated[str, Query(max_length=120)] = "",
    value: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Give the empty load space as a 3-D model, with one reading tried if it is told."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    if path.startswith("car.load_space.") and is_field(path):
        job = changed(job, {path: completed(job, path, value)})
    content = desk.kept(
        ("space", job.car.load_space.model_dump_json()), lambda: drawing.space_model(job)
    )
    return Response(content, media_type="model/gltf-binary")


@router.post("/jobs/{job_id}/scan")
async def take_scan(
    request: Request,
    job_id: str,
    file: UploadFile,
    unit: Annotated[str, Form(pattern="^(mm|cm|m|in)$")] = "m",
    up: Annotated[str, Form(pattern="^-?[xyz]$")] = "z",
    front: Annotated[str, Form(pattern="^-?[xyz]$")] = "x",
) -> Response:
    """Take the load space from a scan; the opening stays as the tape read it."""
    content = await file.read(_LARGEST_SCAN + 1)
    if len(content) > _LARGEST_SCAN:
        raise TooLargeError(f"the scan: more than {_LARGEST_SCAN / 1e6:.0f} MB")
    suffix = Path(file.filename or "").suffix.lower()
    if suffix not in _SCANS:
        raise InputError("no scan", field="file", value=suffix, allowed=", ".join(_SCANS))
    await run_in_threadpool(_keep_scan, request, job_id, (content, suffix, unit, up, front))
    return RedirectResponse(f"/jobs/{job_id}/car", status_code=303)


def _keep_scan(request: Request, job_id: str, sent: tuple[bytes, str, str, str, str]) -> None:
    from basswright.space.scans import scan

    content, suffix, unit, up, front = sent
    desk = desk_of(request)
    opening = desk.jobs.get(job_id).job.car.load_space.opening
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"scan{suffix}"
        path.write_bytes(content)
        found = scan(path, opening, unit=unit, up=up, front=front)

    def edit(job: Job) -> Job:
        kept = {k: v for k, v in job.car.origins.items() if not k.startswith("load_space.")}
        car = job.car.model_copy(update={"load_space": found.space, "origins": kept})
        return job.model_copy(update={"car": car})

    save_edit(desk, job_id, edit, note="; ".join(("scan", *found.notes, *found.questions)))


@router.post("/jobs/{job_id}/photos")
async def take_photo(request: Request, job_id: str, file: UploadFile) -> Response:
    """Keep a photograph with the job."""
    content = await file.read(PHOTO_LIMIT + 1)
    desk_of(request).jobs.attach_photo(job_id, file.filename or "photo", content)
    return RedirectResponse(f"/jobs/{job_id}/car#photos", status_code=303)


@router.get("/jobs/{job_id}/photos/{photo_id}")
def photo(request: Request, job_id: str, photo_id: int) -> Response:
    """Give one photograph."""
    store = desk_of(request).jobs
    kind = next((each.media_type for each in store.photos(job_id) if each.id == photo_id), "")
    content = store.photo(job_id, photo_id)
    return Response(content, media_type=kind or "application/octet-stream")


def _saved(request: Request, path: str, saved: Saved) -> Response:
    before, job = saved.before, saved.after.job
    if path in ("car.load_space.kind", "workshop.lengths", "car.body"):
        response = Response(status_code=204)
        response.headers["HX-Refresh"] = "true"
        return response
    field = field_at(job, path)
    told: dict[str, Any] = {}
    if path.startswith("car.load_space."):
        told["space-changed"] = True
    return part(
        request,
        "parts/field_reply.html",
        told=told,
        field=field,
        clash=False,
        job_id=job.id,
        also=_moved(before, job, path),
        stored=saved.after,
        is_car=path.startswith("car."),
        waiting=len(not_yet_read(job)),
        problem=drawing.problem_of(job),
    )


def _section(job: Job, table: str, title: str, lead: str) -> dict[str, Any]:
    fields = _tape_only(fields_of(job, table))
    rare = any(field.is_rare for field in fields)
    return {"table": table, "title": title, "lead": lead, "fields": fields, "rare": rare}


def _tape_only(fields: tuple[FormField, ...]) -> list[FormField]:
    """Leave out kinds of space that no tape can measure."""
    kept = []
    for field in fields:
        choices = tuple(pair for pair in field.choices if pair[0] not in ("free", "scan"))
        is_kind = field.path == "car.load_space.kind" and field.chosen[0] not in ("free", "scan")
        kept.append(replace(field, choices=choices) if is_kind else field)
    return kept


def _moved(before: Job, after: Job, path: str) -> list[FormField]:
    tables = [table for table in _TABLES if _has(after, table) and path.startswith("car.")]
    old = {field.path: field for table in tables for field in fields_of(before, table)}
    new = [field for table in tables for field in fields_of(after, table)]
    return [field for field in new if field.path != path and field != old.get(field.path)]


def _has(job: Job, table: str) -> bool:
    node: Any = job
    for name in table.split("."):
        node = getattr(node, name, None)
    return node is not None
