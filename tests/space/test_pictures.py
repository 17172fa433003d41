"""Drawings, sketches and the scene."""

from __future__ import annotations

import io
import re
from xml.etree import ElementTree

import numpy as np
import pytest
import trimesh
from pydantic import BaseModel

from basswright import jobs
from basswright.errors import NotFoundError
from basswright.records.enclosure import Wedge
from basswright.space import drawings, place, scene, sketch, solid
from basswright.space.drawings import length_text
from basswright.space.readings import sample
from basswright.space.sketches import KINDS

from .examples import enclosure, full_boot

_BOX = Wedge(width_m=0.8, height_m=0.4, depth_bottom_m=0.4, depth_top_m=0.25)


def _numeric_fields(record: BaseModel) -> list[str]:
    found = []
    for name in type(record).model_fields:
        value = getattr(record, name)
        if isinstance(value, float):
            found.append(name)
        elif isinstance(value, BaseModel):
            found += [f"{name}.{inner}" for inner in _numeric_fields(value)]
        elif name == "zones":
            found += [f"{name}.{inner}" for inner in _numeric_fields(value[0])]
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_every_reading_of_every_kind_has_its_sketch(kind: str) -> None:
    """Each numeric field is emphasised in a picture of its own, with its description."""
    plain = sketch(kind)
    for field in _numeric_fields(sample(kind)):
        text = sketch(kind, field)
        ElementTree.fromstring(text)
        assert text != plain, field
    with pytest.raises(NotFoundError):
        sketch(kind, "colour_m")


def test_unknown_kinds_have_no_sketch() -> None:
    """The error names the kinds that there are."""
    with pytest.raises(NotFoundError, match="hatchback"):
        sketch("boat")


def test_drawings_are_to_scale_and_carry_the_sizes() -> None:
    """Paper width of the box in the plan times the scale is its real depth."""
    space = solid(full_boot())
    placed = place(space, enclosure(_BOX), clearance_m=0.005)
    found = drawings(space, placed)
    for text in (found.plan, found.side, found.rear):
        ElementTree.fromstring(text)
    assert ">800<" in found.plan
    assert ">400<" in found.plan
    assert ">400<" in found.side
    outline = re.search(r'points="([^"]+)" fill="#e4e4e4"', found.plan)
    assert outline is not None
    spots = np.array([[float(v) for v in pair.split(",")] for pair in outline[1].split()])
    assert np.ptp(spots, axis=0) * found.scale == pytest.approx([400, 800], abs=0.2)


def test_inches_are_written_in_sixteenths() -> None:
    """25 1/4 in is 641.35 mm, the inch being 25.4 mm."""
    assert length_text(0.64135, inches=True) == "25 1/4"
    assert length_text(0.0254 / 16, inches=True) == "1/16"
    assert length_text(0.3048, inches=True) == "12"
    assert length_text(0.0121, inches=False) == "12"


def test_the_scene_stands_upright_in_a_y_up_world() -> None:
    """glTF 2.0, 3.4: y up; the height of the space lies along y, the front along +z."""
    space = solid(full_boot())
    placed = place(space, enclosure(_BOX), clearance_m=0.005)
    loaded = trimesh.load(io.BytesIO(scene(space, placed)), file_type="glb")
    assert {"space", "left wheel arch", "box 1", "cone"} <= set(loaded.geometry)
    low, high = loaded.graph.get("space")[0][:3, :3] @ np.zeros(3), loaded.bounds[1]
    assert loaded.bounds[0][1] == pytest.approx(low[1], abs=1e-6)
    assert high[1] >= 0.55
    assert high[2] == pytest.approx(0.0, abs=1e-6)


def test_words_of_a_drawing_can_be_said_in_another_language() -> None:
    """Titles, captions and names of keep-outs go through what says them; figures do not."""
    space = solid(full_boot())
    placed = place(space, enclosure(_BOX), clearance_m=0.005)
    told: list[str] = []

    def say(text: str) -> str:
        told.append(text)
        return "words"

    found = drawings(space, placed, say=say)
    assert "Plan, from above · 1:" in "".join(told)
    assert any(text.startswith("← front of the car. Box ") for text in told)
    assert "left wheel arch" in told
    texts = set(re.findall(r"<text[^>]*>([^<]*)<", found.plan))
    assert all(text == "words" or re.fullmatch(r"[\d −/]+", text) for text in texts)


def test_the_three_views_of_a_usual_car_go_on_one_sheet() -> None:
    """A4 within margins leaves 174 by 245 mm: plan beside side, or all below each other."""
    for name in ("hatchback", "estate", "saloon", "suv"):
        space = solid(jobs.parse_job(jobs.sample_text(name)).car.load_space)
        placed = place(space, enclosure(_BOX), clearance_m=0.005)
        found = drawings(space, placed)
        (plan, side, rear) = (_size_mm(svg) for svg in (found.plan, found.side, found.rear))
        beside = plan[0] + side[0] + 6 <= 174 and plan[1] + rear[1] <= 235
        stacked = plan[1] + side[1] + rear[1] <= 235
        assert max(plan[0], side[0], rear[0]) <= 174
        assert beside or stacked, name


def _size_mm(svg: str) -> tuple[float, float]:
    root = ElementTree.fromstring(svg)
    width, height = (float(root.get(side, "").removesuffix("mm")) for side in ("width", "height"))
    return width, height
