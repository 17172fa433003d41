"""Pictures of a job: where to measure, the space, the box in it."""

from __future__ import annotations

import re

from basswright import space
from basswright.errors import BasswrightError
from basswright.records.job import Job
from basswright.records.placement import Placement


def sketch(job: Job, reading: str = "") -> str:
    """Return a drawing (SVG text) of where a reading is taken."""
    try:
        return inline(space.sketch(job.car.load_space.kind, reading or None))
    except BasswrightError:
        return ""


def space_model(job: Job, placement: Placement | None = None) -> bytes:
    """Return the load space, with a box in it or empty, as GLB."""
    solid = space.solid(job.car.load_space)
    return space.scene(solid, placement)


def problem_of(job: Job) -> str:
    """Say why the readings of a space cannot all be right, or nothing."""
    try:
        space.solid(job.car.load_space)
    except BasswrightError as error:
        return str(error)
    return ""


def inline(svg: str) -> str:
    """Return an SVG drawing as it can stand inside a page."""
    return re.sub(r"^\s*<\?xml.*?\?>|<!DOCTYPE.*?>", "", svg, flags=re.S).strip()


def kept_luggage(job: Job, keep_m3: float) -> bytes:
    """Return the load space with a cover over the luggage that is to be kept, as GLB."""
    return space.scene(space.solid(job.car.load_space))
