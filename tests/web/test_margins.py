"""The lines of the 3-D view end on what they name, in the axes of glTF."""

from __future__ import annotations

import re

import httpx
import numpy as np
import pytest

from basswright import jobs, space
from basswright.catalogue import demo
from basswright.records.placement import Placement
from basswright.web.margins import margin_lines

ENCLOSURES = demo.make(enclosures=60, amplifiers=5).snapshot.enclosures


def _placed(sample: str) -> tuple[space.Solid, list[Placement]]:
    job = jobs.parse_job(jobs.sample_text(sample))
    solid = space.solid(job.car.load_space)
    found = [space.place(solid, each, clearance_m=0.0) for each in ENCLOSURES]
    return solid, [each for each in found if all(verdict.passes for verdict in each.verdicts)][:12]


@pytest.mark.parametrize("sample", ["hatchback"])
def test_every_line_runs_from_the_box_to_the_surface_that_it_names(sample: str) -> None:
    solid, placed = _placed(sample)
    bodies = {each.name: each.body for each in solid.keep_outs}
    assert placed
    for placement in placed:
        corners = np.vstack([np.array(part) for part in placement.parts])
        gaps = {gap.side: gap for gap in placement.gaps}
        for line in margin_lines(solid, placement):
            side = line.said.partition(":")[0]
            start, end = (np.array([p[2], p[0], p[1]]) for p in (line.start, line.end))
            assert np.linalg.norm(end - start) == pytest.approx(gaps[side].gap_m, abs=2e-5)
            assert np.all(start >= corners.min(axis=0) - 1e-4)
            assert np.all(start <= corners.max(axis=0) + 1e-4)
            body = bodies.get(gaps[side].surface)
            slack = solid.b - solid.A @ end if body is None else body.b - body.A @ end
            assert slack.min() == pytest.approx(0.0, abs=3e-5)


def test_what_decides_is_lit_and_nothing_else() -> None:
    solid, placed = _placed("hatchback")
    axes = {"left": "width", "right": "width", "front": "depth", "rear": "depth"}
    for placement in placed:
        for line in margin_lines(solid, placement):
            axis = axes.get(line.said.partition(":")[0], "height")
            assert line.decides == (re.split(r"\W", placement.binding)[0] == axis)


def test_the_view_gets_the_lines_of_the_system_it_shows(shared: httpx.Client) -> None:
    found = shared.get("/api/jobs/demo-hatchback/options").json()["options"][0]
    lines = shared.get(f"/jobs/demo-hatchback/system/{found['id']}/margins.json").json()
    expected = {
        f"{gap['side']}: {gap['gap_m'] * 1000:.0f} mm to the {gap['surface']}"
        for gap in found["placement"]["gaps"]
        if abs(gap["gap_m"]) >= 5e-4
    }
    assert {line["said"] for line in lines} == expected
    page = shared.get(f"/jobs/demo-hatchback/system/{found['id']}").text
    assert f'data-lines="/jobs/demo-hatchback/system/{found["id"]}/margins.json"' in page
