"""Drawings of placed boxes as the papers print them: nothing across a figure, nothing cut."""

from __future__ import annotations

import pytest

from basswright import jobs, space
from basswright.catalogue import demo
from tests.papers.drawn import clashes, outside
from tests.papers.test_sayings import sayings


@pytest.mark.parametrize("sample", jobs.sample_names())
def test_no_figure_of_any_view_is_crossed_or_cut(sample):
    solid = space.solid(jobs.parse_job(jobs.sample_text(sample)).car.load_space)
    boxes = demo.make().snapshot.enclosures
    goes_in = space.fit(solid, space.box_table(boxes), clearance_m=0.005).fit.passes
    offered = [box for box, passes in zip(boxes, goes_in, strict=True) if passes]
    assert offered
    for box in offered[:: len(offered) // 7 + 1]:
        placed = space.place(solid, box, clearance_m=0.005)
        for inches in (False, True):
            views = space.drawings(solid, placed, inches=inches, say=sayings("de").say)
            for svg in (views.plan, views.side, views.rear):
                assert clashes(svg) == [], box.model
                assert outside(svg) == [], box.model
