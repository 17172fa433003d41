"""Options: whole systems in order, what was left out, what a small change would bring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import APIRouter, Form, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import QueryParams

from basswright.errors import InputErrors, NotFoundError
from basswright.jobs.editing import changed
from basswright.records.job import Job
from basswright.records.options import Options
from basswright.web import compare, tries
from basswright.web.forms import field_at
from basswright.web.pages import desk_of, page, part
from basswright.web.saving import completed, save_edit
from basswright.web.wish_pages import weight_sliders, wish_sliders

router: Final = APIRouter()
_MOST_COMPARED: Final = 3


@dataclass(frozen=True, kw_only=True)
class Tried:
    """One reading or wish that is only tried, not saved."""

    path: str
    label: str
    was: str
    now: str
    value: str


@router.get("/jobs/{job_id}/options")
def options(request: Request, job_id: str) -> Response:
    """Show the options, with what is being tried if the address says so."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    if not desk.has_catalogue():
        return page(request, "options_empty.html", stage="options", stored=stored)
    job, tried = _tried(stored.job, request.query_params)
    found = desk.options(job) if desk.has_options(job) else None
    sliders, weights = wish_sliders(job), weight_sliders(job)
    slid = {each.field.path for each in (*sliders, *weights)} | {"wish.box_kinds"}
    return page(
        request,
        "options.html",
        stage="options",
        stored=stored,
        job=job,
        query=request.url.query,
        tried=tried,
        also_tried=[each for each in tried if each.path not in slid],
        found=found,
        curves=desk.curves(job, found) if found else {},
        concession_links=_links(job, found) if found else [],
        sliders=sliders,
        weights=weights,
        kinds=field_at(job, "wish.box_kinds"),
    )


@router.get("/jobs/{job_id}/options/list")
async def option_list(request: Request, job_id: str) -> Response:
    """Show the head of the list, for the sliders that stand in the address.

    Whoever moved on while this waited for its turn gets nothing, and costs nothing.
    """
    async with desk_of(request).turns:
        if await request.is_disconnected():
            return Response(status_code=204)
        return await run_in_threadpool(_list, request, job_id)


def _list(request: Request, job_id: str) -> Response:
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    job, tried = _tried(stored.job, request.query_params)
    found = desk.options(job) if desk.has_options(job) else desk.glance(job)
    return part(
        request,
        "parts/option_list.html",
        told={"list-moved": {"target": "#rest"}},
        stored=stored,
        job=job,
        found=found,
        tried=tried,
        curves=desk.curves(job, found),
    )


@router.get("/jobs/{job_id}/options/rest")
def option_rest(request: Request, job_id: str) -> Response:
    """Show what follows the head of the list: more options, small changes, what is left out."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    job, tried = _tried(stored.job, request.query_params)
    found = desk.options(job)
    return part(
        request,
        "parts/option_rest.html",
        stored=stored,
        job=job,
        found=found,
        tried=tried,
        concession_links=_links(job, found),
        curves=desk.curves(job, found),
    )


@router.get("/jobs/{job_id}/options/readings")
def readings(request: Request, job_id: str) -> Response:
    """Show which readings are worth taking again."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    return part(request, "parts/readings.html", readings=desk.readings(job))


@router.post("/jobs/{job_id}/options/keep")
async def keep(request: Request, job_id: str) -> Response:
    """Save what was tried."""
    form = await request.form()
    values = {key: str(value) for key, value in form.items() if tries.may_be_tried(key)}

    def edit(job: Job) -> Job:
        return changed(job, {path: completed(job, path, text) for path, text in values.items()})

    note = ", ".join(sorted(values))
    await run_in_threadpool(save_edit, desk_of(request), job_id, edit, note=note)
    return RedirectResponse(f"/jobs/{job_id}/options", status_code=303)


@router.get("/jobs/{job_id}/compare")
def compared(
    request: Request, job_id: str, option: Annotated[list[str] | None, Query(max_length=200)] = None
) -> Response:
    """Show two or three systems side by side."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.options(stored.job)
    chosen = list(dict.fromkeys(option or [each.id for each in found.options[:2]]))
    chosen = chosen[:_MOST_COMPARED]
    systems = [desk.system(stored.job, each) for each in chosen]
    if not systems:
        raise NotFoundError("option", "to compare")
    return page(
        request,
        "compare.html",
        stage="options",
        stored=stored,
        systems=systems,
        rows=compare.rows(stored.job, [each.option for each in systems]),
        sentences=compare.sentences(systems),
        chart="&".join(f"option={each.option.id}" for each in systems),
    )


@router.post("/catalogue/demo")
def fill(
    request: Request, back: Annotated[str, Form(pattern=r"^/jobs/[a-z0-9-]+/options$")]
) -> Response:
    """Fill an empty catalogue with the invented demo range."""
    from basswright.catalogue import demo

    desk = desk_of(request)
    if not desk.has_catalogue():
        desk.catalogue.replace(demo.make().snapshot)
    return RedirectResponse(back, status_code=303)


def _tried(job: Job, given: QueryParams) -> tuple[Job, list[Tried]]:
    values = {
        path: ",".join(given.getlist(path))[:400] for path in given if tries.may_be_tried(path)
    }
    values = {path: text for path, text in values.items() if text != field_at(job, path).text}
    if not values:
        return job, []
    try:
        new = changed(job, {path: completed(job, path, text) for path, text in values.items()})
    except InputErrors:
        return job, []
    tried = []
    for path in values:
        old_field, new_field = field_at(job, path), field_at(new, path)
        if old_field.text != new_field.text:
            tried.append(
                Tried(
                    path=path,
                    label=new_field.label,
                    was=old_field.text,
                    now=new_field.text,
                    value=values[path],
                )
            )
    return new, tried


def _links(job: Job, found: Options) -> list[str]:
    return [tries.query_of(job, each) for each in found.concessions]
