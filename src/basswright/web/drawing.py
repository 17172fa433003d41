"""Pictures of a job: where to measure, the space, the box in it."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from basswright.errors import BasswrightError
from basswright.records.job import Job
from basswright.records.placement import Placement
from basswright.web.margins import as_data, margin_lines

if TYPE_CHECKING:
    from basswright import space
    from basswright.space.polytope import Convex

Floats = NDArray[np.float64]

_GRID: Final = 36
_THINNEST_M: Final = 0.004


def sketch(job: Job, reading: str = "") -> str:
    """Return a drawing (SVG text) of where a reading is taken."""
    from basswright import space

    try:
        return inline(space.sketch(job.car.load_space.kind, reading or None))
    except BasswrightError:
        return ""


def space_model(job: Job, placement: Placement | None = None) -> bytes:
    """Return the load space, with a box in it or empty, as GLB."""
    from basswright import space

    solid = space.solid(job.car.load_space)
    return space.scene(solid, placement)


def margins_of(job: Job, placement: Placement) -> list[dict[str, Any]]:
    """Return the air around a placed box as lines of the 3-D view."""
    from basswright import space

    return as_data(margin_lines(space.solid(job.car.load_space), placement))


def problem_of(job: Job) -> str:
    """Say why the readings of a space cannot all be right, or nothing."""
    from basswright import space

    try:
        space.solid(job.car.load_space)
    except BasswrightError as error:
        return str(error)
    return ""


def inline(svg: str) -> str:
    """Return an SVG drawing as it can stand inside a page."""
    return re.sub(r"^\s*<\?xml.*?\?>|<!DOCTYPE.*?>", "", svg, flags=re.S).strip()


def kept_luggage(job: Job, keep_m3: float) -> bytes:
    """Return the load space with its luggage to keep, level from the floor up, as GLB."""
    from basswright import space

    solid = space.solid(job.car.load_space)
    body = filled(solid, keep_m3)
    if body is None:
        return space.scene(solid)
    luggage = space.KeepOut(
        name="luggage to keep", reason="luggage", body=body, tolerance_m=solid.tolerance_m
    )
    return space.scene(replace(solid, keep_outs=(*solid.keep_outs, luggage)))


def filled(solid: space.Solid, keep_m3: float) -> Convex | None:
    """Return the part of a space below the level that holds so much; None for nothing.

    The level is found over an even grid of points, what stands in the space left out;
    good to a few millimetres, which is what a picture needs.
    """
    vertices = solid.envelope.vertices
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    steps = [np.linspace(a, b, _GRID, endpoint=False) for a, b in zip(low, high, strict=True)]
    cell = (high - low) / _GRID
    points = np.stack(np.meshgrid(*steps, indexing="ij"), axis=-1).reshape(-1, 3) + cell / 2
    free = _inside(points, solid.envelope)
    for keep_out in solid.keep_outs:
        free &= ~_inside(points, keep_out.body)
    heights = np.sort(points[free, 2])
    wanted = round(keep_m3 / float(np.prod(cell)))
    if wanted < 1 or not heights.size:
        return None
    level = float(heights[min(wanted, heights.size) - 1] + cell[2] / 2)
    return _below(vertices, min(level, float(high[2])))


def _inside(points: Floats, body: Convex) -> NDArray[np.bool_]:
    return np.asarray(np.all(points @ body.A.T <= body.b, axis=1))


def _below(vertices: Floats, level: float) -> Convex | None:
    under, over = vertices[vertices[:, 2] <= level], vertices[vertices[:, 2] > level]
    cuts = [a + (level - a[2]) / (b[2] - a[2]) * (b - a) for a in under for b in over]
    corners = np.vstack([under, *cuts]) if cuts else under
    if np.ptp(corners[:, 2]) < _THINNEST_M:
        return None
    from basswright.space.templates import hull_of

    return hull_of(corners)
