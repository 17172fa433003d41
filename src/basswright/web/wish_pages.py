"""Wish: how loud and how low, in words tied to figures; what to keep; what it may cost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import APIRouter, Query, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import Response

from basswright.errors import InputError, InputErrors
from basswright.jobs.keys import Key
from basswright.jobs.table import find_key
from basswright.records.job import Job
from basswright.web import drawing, words
from basswright.web.forms import FormField, field_at, fields_of, is_field, unit_of
from basswright.web.pages import desk_of, page, part
from basswright.web.saving import ChangedMeanwhileError, save_reading, sentence

router: Final = APIRouter()

#: Sliders of the wish: dotted key, ends and step in the unit that is shown.
_SPANS: Final = {
    "wish.level": (90.0, 135.0, 0.5),
    "wish.low_limit": (16.0, 60.0, 0.5),
}
_WISHES: Final = ("wish.level", "wish.low_limit", "wish.luggage_keep", "wish.budget")
_WEIGHTS: Final = ("loudness", "depth", "luggage", "price", "headroom", "ease")


@dataclass(frozen=True, kw_only=True)
class Slider:
    """A slider that stands beside a field."""

    field: FormField
    low: float
    high: float
    step: float
    value: float
    unit: str
    said: str = ""


@router.get("/jobs/{job_id}/wish")
def wish(request: Request, job_id: str) -> Response:
    """Show what the customer wants."""
    stored = desk_of(request).jobs.get(job_id)
    job = stored.job
    return page(
        request,
        "wish.html",
        stage="wish",
        stored=stored,
        sliders=wish_sliders(job),
        weights=weight_sliders(job),
        kinds=field_at(job, "wish.box_kinds"),
        built_in=field_at(job, "wish.built_in_amplifier"),
        visible=field_at(job, "wish.visible"),
        others=[field_at(job, f"wish.{key}") for key in ("clearance", "crossover", "certainty")],
        people=[field_at(job, path) for path in ("title", "customer")],
        workshop=fields_of(job, "workshop"),
    )


@router.post("/jobs/{job_id}/wish")
async def wished(request: Request, job_id: str) -> Response:
    """Save one wish, from its slider or its field, or tell why it cannot be taken."""
    form = await request.form()
    path, text = str(form.get("path", "")), str(form.get("text", ""))[:200]
    if not path.startswith("wish.") or not is_field(path):
        raise InputError("there is no such wish", field=path[:80])
    if path == "wish.box_kinds":
        return await run_in_threadpool(_save_kinds, request, job_id, form.getlist("kind"))
    slid = str(form.get("slid", ""))
    has_slid = "slid_was" not in form or slid != str(form.get("slid_was"))
    was = str(form["was"]) if "was" in form else None
    return await run_in_threadpool(
        _save_wish, request, job_id, (path, slid if slid and has_slid else text, was)
    )


def _save_wish(request: Request, job_id: str, change: tuple[str, str, str | None]) -> Response:
    path, text, was = change
    desk, error, written, is_saved = desk_of(request), "", "", False
    try:
        stored = save_reading(desk, job_id, path, text, was=was).after
        is_saved = True
    except (InputErrors, InputError, ChangedMeanwhileError) as problem:
        stored, error, written = desk.jobs.get(job_id), sentence(problem, path), text
    return part(
        request,
        "parts/wish_slider.html",
        told={"wish-changed": path} if is_saved else None,
        slider=slider(stored.job, path, _span(stored.job, path)),
        stored=stored,
        error=error,
        written=written,
        saved=is_saved,
    )


def _save_kinds(request: Request, job_id: str, kinds: Sequence[object]) -> Response:
    desk, error = desk_of(request), ""
    if kinds:
        text = ",".join(str(kind) for kind in kinds)
        stored = save_reading(desk, job_id, "wish.box_kinds", text, was=None).after
    else:
        stored, error = desk.jobs.get(job_id), "At least one kind has to be allowed"
    field = field_at(stored.job, "wish.box_kinds")
    return part(request, "parts/kinds.html", field=field, stored=stored, error=error)


@router.get("/jobs/{job_id}/keep.glb")
def keep_model(
    request: Request, job_id: str, keep: Annotated[float | None, Query(ge=0, le=5)] = None
) -> Response:
    """Give the load space with the luggage to keep as a 3-D model; `keep` in m3."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    kept = job.wish.luggage_keep_m3 if keep is None else keep
    return Response(drawing.kept_luggage(job, kept), media_type="model/gltf-binary")


def wish_sliders(job: Job) -> list[Slider]:
    """Return the sliders for level, low limit, luggage and budget."""
    return [slider(job, path, _span(job, path)) for path in _WISHES]


def weight_sliders(job: Job) -> list[Slider]:
    """Return the sliders for what counts how much."""
    paths = [f"wish.weights.{name}" for name in _WEIGHTS]
    return [slider(job, path, _span(job, path)) for path in paths]


def slider(job: Job, path: str, span: tuple[float, float, float]) -> Slider:
    """Return one slider, its ends widened so that the present value is inside."""
    field = field_at(job, path)
    key = _key(path)
    value = _value(job, key, path)
    unit = unit_of(job, key, value) or (job.workshop.currency if path == "wish.budget" else "")
    figure = float((field.text.split() or ["0"])[0]) if "/" not in field.text else value
    low, high, step = span
    low = min(low, figure)
    return Slider(
        field=field,
        # steps are counted from the lower end: let the present value be one of them
        low=round(figure - math.floor((figure - low) / step + 1e-9) * step, 6),
        high=max(high, figure),
        step=step,
        value=figure,
        unit=unit,
        said=_said(path, value),
    )


def _said(path: str, value: float) -> str:
    if path == "wish.level":
        return words.loudness(value)
    return words.depth(value) if path == "wish.low_limit" else ""


def _span(job: Job, path: str) -> tuple[float, float, float]:
    if path == "wish.luggage_keep":
        return (0.0, 40.0, 0.5) if job.workshop.lengths == "inch" else (0.0, 1000.0, 5.0)
    if path == "wish.budget":
        return 200.0, max(4000.0, 2 * job.wish.budget), 20.0
    return _SPANS.get(path, (0.0, 10.0, 0.5))


def _key(path: str) -> Key:
    found = find_key(Job, path)
    assert found is not None
    return found[1]


def _value(job: Job, key: Key, path: str) -> float:
    node: object = job
    for name in path.split(".")[:-1]:
        node = getattr(node, name)
    return float(getattr(node, key.field))
