"""System: one option in depth, in 3-D and in curves, with where each figure comes from."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final

import numpy as np
from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from basswright.errors import NotFoundError
from basswright.records.system import Prediction
from basswright.web import drawing, words
from basswright.web.desk import Desk
from basswright.web.forms import fields_of
from basswright.web.pages import desk_of, page
from basswright.web.words import CAR_SECTIONS

if TYPE_CHECKING:
    from basswright.stages.system import System

router: Final = APIRouter()

#: Frequencies of the table beside the charts [Hz]: preferred third octaves, ISO 266.
_TABLE_HZ: Final = (20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0)
_MOST_OVERLAID: Final = 3
_DRAWINGS: Final = (
    ("plan", "From above"),
    ("side", "From the side"),
    ("rear", "From the tailgate"),
)


@dataclass(frozen=True, kw_only=True)
class Chart:
    """One chart of the page: its address, title, and what to read from it."""

    name: str
    title: str
    lead: str


_CHARTS: Final = (
    Chart(
        name="response",
        title="Level at the ear",
        lead="Highest clean level, with the 90 % band; dashed: what was wished.",
    ),
    Chart(
        name="limits",
        title="What limits it",
        lead="At each frequency, the first thing that gives out.",
    ),
    Chart(name="excursion", title="Cone travel", lead="Peak, at the highest clean level."),
    Chart(name="port", title="Air in the port", lead="Peak speed; above 17 m/s it is heard."),
    Chart(name="impedance", title="Impedance", lead="What the amplifier sees."),
    Chart(name="delay", title="Group delay", lead="How late each frequency comes."),
    Chart(name="cabin", title="What the cabin adds", lead="Over the same box in the open."),
)


@router.get("/jobs/{job_id}/system")
def best(request: Request, job_id: str) -> Response:
    """Go to the first option."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    if not desk.has_catalogue():
        return RedirectResponse(f"/jobs/{job_id}/options", status_code=303)
    found = desk.options(stored.job)
    if not found.options:
        return RedirectResponse(f"/jobs/{job_id}/options", status_code=303)
    return RedirectResponse(f"/jobs/{job_id}/system/{found.options[0].id}", status_code=303)


@router.get("/jobs/{job_id}/system/{option_id}")
def system(request: Request, job_id: str, option_id: str) -> Response:
    """Show one option in depth."""
    desk = desk_of(request)
    stored = desk.jobs.get(job_id)
    found = desk.system(stored.job, option_id)
    options = desk.options(stored.job).options
    sections = [(title, fields_of(stored.job, table)) for table, title, _ in CAR_SECTIONS]
    return page(
        request,
        "system.html",
        stage="system",
        stored=stored,
        option=found.option,
        prediction=found.prediction,
        drawings=[(name, title) for name, title in _DRAWINGS if name in found.drawings],
        has_feed="feed" in found.drawings,
        charts=[each for each in _CHARTS if _applies(each.name, found.prediction)],
        table=_table(found.prediction),
        inputs=sections,
        others=[each for each in options if each.id != found.option.id][:8],
        depth=words.depth(found.option.goals.sure_low_limit_hz),
        loudness=words.loudness(found.option.goals.sure_level_db),
    )


@router.get("/jobs/{job_id}/system/{option_id}/scene.glb")
def scene(request: Request, job_id: str, option_id: str) -> Response:
    """Give the space with the box in it as a 3-D model."""
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    found = desk.system(job, option_id)
    placement = found.option.placement
    key = ("scene", job.car.load_space.model_dump_json(), placement.model_dump_json())
    content = desk.kept(key, lambda: drawing.space_model(job, placement))
    return Response(content, media_type="model/gltf-binary")


@router.get("/jobs/{job_id}/system/{option_id}/{name}.svg")
def drawn(request: Request, job_id: str, option_id: str, name: str) -> Response:
    """Give one drawing of a system; shown as a picture, so that nothing in it can run."""
    desk = desk_of(request)
    drawings = desk.system(desk.jobs.get(job_id).job, option_id).drawings
    if name not in drawings:
        raise NotFoundError("drawing", name, tuple(drawings))
    policy = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
    return Response(
        drawings[name],
        media_type="image/svg+xml",
        headers={"Content-Security-Policy": policy},
    )


@router.get("/jobs/{job_id}/charts/{name}")
def chart(
    request: Request,
    job_id: str,
    name: str,
    option: Annotated[list[str], Query(min_length=1, max_length=_MOST_OVERLAID)],
) -> Response:
    """Give the specification of one chart, of one system or several."""
    if name not in _DRAWN:
        raise NotFoundError("chart", name, tuple(_DRAWN))
    desk = desk_of(request)
    job = desk.jobs.get(job_id).job
    systems = [desk.system(job, each) for each in dict.fromkeys(option)]
    specification = _DRAWN[name](desk, systems)
    return JSONResponse(_fluid(specification))


def _fluid(specification: dict[str, Any]) -> dict[str, Any]:
    """Let a chart take the width of its place on the page."""
    sizes = {
        "width": "container",
        "height": 260,
        "autosize": {"type": "fit", "contains": "padding"},
    }
    kept = {k: v for k, v in specification.items() if k not in ("config", "title", "background")}
    return {**kept, **sizes}


def _names(systems: list[System]) -> list[str]:
    names: list[str] = []
    for each in systems:
        name = f"{each.option.enclosure.maker} {each.option.enclosure.model}"
        names.append(f"{name} (option {each.option.rank})" if name in names else name)
    return names


def _response(_: Desk, systems: list[System]) -> dict[str, Any]:
    from basswright.papers import charts

    wish = systems[0].job.wish
    made = charts.response(
        [each.prediction for each in systems],
        _names(systems),
        wished_db=wish.level_db,
        low_limit_hz=wish.low_limit_hz,
    )
    return dict(charts.specification(made))


def _limits(_: Desk, systems: list[System]) -> dict[str, Any]:
    from basswright.papers import charts

    return dict(charts.specification(charts.limits(systems[0].prediction)))


def _curve(name: str) -> Callable[[Desk, list[System]], dict[str, Any]]:
    def made(_: Desk, systems: list[System]) -> dict[str, Any]:
        from basswright.papers import charts

        draw = getattr(charts, name)
        drawn = draw([each.prediction for each in systems], _names(systems))
        return dict(charts.specification(drawn))

    return made


_DRAWN: Final[dict[str, Callable[[Desk, list[System]], dict[str, Any]]]] = {
    "response": _response,
    "limits": _limits,
    "excursion": _curve("excursion"),
    "port": _curve("port_speed"),
    "impedance": _curve("impedance"),
    "delay": _curve("group_delay"),
    "cabin": _curve("cabin_gain"),
}


def _applies(name: str, prediction: Prediction) -> bool:
    return name != "port" or bool(np.any(prediction.port_speed_m_per_s > 0))


def _table(prediction: Prediction) -> list[dict[str, str]]:
    rows = []
    low, high = prediction.loudest_low_db, prediction.loudest_high_db
    for wanted in _TABLE_HZ:
        i = int(np.abs(prediction.frequency_hz - wanted).argmin())
        rows.append(
            {
                "frequency": f"{wanted:g}",
                "loudest": f"{prediction.loudest_db[i]:.1f}",
                "band": f"{low[i]:.0f} to {high[i]:.0f}",
                "limit": prediction.limits[int(prediction.limit_index[i])],
                "excursion": f"{prediction.excursion_m[i] * 1000:.1f}",
                "port": f"{prediction.port_speed_m_per_s[i]:.1f}",
                "impedance": f"{abs(prediction.impedance_ohm[i]):.1f}",
                "cabin": f"{prediction.cabin_gain_db[i]:+.1f}",
            }
        )
    return rows
