"""Outer shapes of boxes, and what follows from them by plain arithmetic.

A box is described as it stands on its data sheet: the front is the side of the cone
where it fires forwards, the top is up, and left and right are those of a person who looks
at its front.
"""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from basswright.records.base import Record

Side = Annotated[float, Field(gt=0.02, le=3.0)]
_Part = Annotated[float, Field(gt=0.001, le=3.0)]
Edge = Literal[
    "back-top",
    "back-bottom",
    "back-left",
    "back-right",
    "top-left",
    "top-right",
    "bottom-left",
    "bottom-right",
    "front-top",
    "front-bottom",
    "front-left",
    "front-right",
]

#: What has to be left of a side beside a notch [m].
LEAST_LEFT_M = 0.02

_ALONG = {
    "front": "depth",
    "back": "depth",
    "top": "height",
    "bottom": "height",
    "left": "width",
    "right": "width",
}


class Cuboid(Record):
    """A plain box, as it stands: the cone side is width times height."""

    form: Literal["cuboid"] = "cuboid"
    width_m: Side
    height_m: Side
    depth_m: Side


class Wedge(Record):
    """A box whose depth shrinks towards the top: one upright face, one leaning."""

    form: Literal["wedge"] = "wedge"
    width_m: Side
    height_m: Side
    depth_bottom_m: Side
    depth_top_m: Side


class Truncated(Record):
    """A plain box with one edge bevelled off: two of the three bevel sizes are given."""

    form: Literal["truncated"] = "truncated"
    width_m: Side
    height_m: Side
    depth_m: Side
    bevel_edge: Edge = Field("back-top", description="the edge that is bevelled off")
    bevel_width_m: _Part | None = Field(None, description="how much of the width it takes")
    bevel_height_m: _Part | None = Field(None, description="how much of the height it takes")
    bevel_depth_m: _Part | None = Field(None, description="how much of the depth it takes")

    @model_validator(mode="after")
    def _two_sizes(self) -> Self:
        check_cut("bevel", self.bevel_edge, self, least_left_m=0.0)
        return self


class LShape(Record):
    """A plain box with a square notch along one edge: an L seen from the end of that edge."""

    form: Literal["l-shape"] = "l-shape"
    width_m: Side
    height_m: Side
    depth_m: Side
    notch_edge: Edge = Field("back-top", description="the edge that is left out")
    notch_width_m: _Part | None = Field(None, description="how much of the width it takes")
    notch_height_m: _Part | None = Field(None, description="how much of the height it takes")
    notch_depth_m: _Part | None = Field(None, description="how much of the depth it takes")

    @model_validator(mode="after")
    def _two_sizes(self) -> Self:
        check_cut("notch", self.notch_edge, self, least_left_m=LEAST_LEFT_M)
        return self


class Cylinder(Record):
    """A round box, standing as in a spare-wheel well or lying as a tube."""

    form: Literal["cylinder"] = "cylinder"
    diameter_m: Annotated[float, Field(gt=0.05, le=2.0)]
    length_m: Side = Field(description="along its axis: the height of one that stands")
    lying: bool = Field(False, description="its axis runs from the front to the back")


Shape = Annotated[
    Cuboid | Wedge | Truncated | LShape | Cylinder,
    Field(discriminator="form"),
]


def cut_axes(edge: str) -> tuple[str, str]:
    """Return the two sizes that a cut along an edge takes from: "depth", "height", "width"."""
    first, second = edge.split("-")
    return _ALONG[first], _ALONG[second]


def check_cut(kind: str, edge: str, shape: Record, *, least_left_m: float) -> None:
    """Refuse a bevel or notch whose sizes do not belong to its edge, or leave nothing.

    Raises
    ------
    ValueError
        In words for a person; pydantic passes it on with its place.
    """
    wanted = cut_axes(edge)
    for size in ("width", "height", "depth"):
        cut = getattr(shape, f"{kind}_{size}_m")
        if size in wanted and cut is None:
            raise ValueError(f"the {kind} along the {edge} edge lacks its {size}")
        if size not in wanted and cut is not None:
            raise ValueError(f"a {kind} along the {edge} edge takes nothing of the {size}")
        whole = getattr(shape, f"{size}_m")
        if cut is not None and cut > whole - least_left_m + 1e-12:
            raise ValueError(
                f"the {kind} takes {cut * 1000:.0f} mm of a {size} of {whole * 1000:.0f} mm"
            )


def outer_sizes_m(shape: Shape) -> tuple[float, float, float]:
    """Return width, height and depth of the cuboid around a shape [m]."""
    if isinstance(shape, Cylinder):
        across, along = shape.diameter_m, shape.length_m
        return (across, across, along) if shape.lying else (across, along, across)
    if isinstance(shape, Wedge):
        depth = max(shape.depth_bottom_m, shape.depth_top_m)
        return shape.width_m, shape.height_m, depth
    return shape.width_m, shape.height_m, shape.depth_m


def outer_volume_m3(shape: Shape) -> float:
    """Return the volume that a shape encloses with its panels [m3]."""
    if isinstance(shape, Cylinder):
        return pi / 4 * shape.diameter_m**2 * shape.length_m
    if isinstance(shape, Wedge):
        mean = (shape.depth_bottom_m + shape.depth_top_m) / 2
        return shape.width_m * shape.height_m * mean
    whole = shape.width_m * shape.height_m * shape.depth_m
    if isinstance(shape, Truncated):
        return whole - _cut_volume_m3("bevel", shape.bevel_edge, shape) / 2
    if isinstance(shape, LShape):
        return whole - _cut_volume_m3("notch", shape.notch_edge, shape)
    return whole


def _cut_volume_m3(kind: str, edge: str, shape: Truncated | LShape) -> float:
    volume = 1.0
    for size in ("width", "height", "depth"):
        cut = size in cut_axes(edge)
        volume *= float(getattr(shape, f"{kind}_{size}_m" if cut else f"{size}_m"))
    return volume


def inner_volume_m3(shape: Shape, wall_m: float) -> float:
    """Return the volume inside panels of a thickness [m3], never less than a hair.

    Outer sizes less two panels; a bevel or a leaning face is taken by its mean depth, a
    notch stays as wide outside as it is.
    """
    width, height, depth = (max(side - 2 * wall_m, 0.01) for side in outer_sizes_m(shape))
    if isinstance(shape, Cylinder):
        across = max(shape.diameter_m - 2 * wall_m, 0.01)
        return pi / 4 * across**2 * max(shape.length_m - 2 * wall_m, 0.01)
    if isinstance(shape, Wedge):
        mean = (shape.depth_bottom_m + shape.depth_top_m) / 2
        return width * height * max(mean - 2 * wall_m, 0.01)
    plain = width * height * depth
    whole = shape.width_m * shape.height_m * shape.depth_m
    share = outer_volume_m3(shape) / whole
    return max(plain * share, 1e-6)
