"""The air around a placed box as lines in the 3-D view, the deciding dimension marked."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from basswright.records.placement import Gap, Placement

if TYPE_CHECKING:
    from basswright.space import Solid

Floats = NDArray[np.float64]

#: Side of a gap -> its direction in the frame of the load space, and the axis it runs along.
_WAYS: Final = {
    "front": ((1.0, 0.0, 0.0), "depth"),
    "rear": ((-1.0, 0.0, 0.0), "depth"),
    "left": ((0.0, 1.0, 0.0), "width"),
    "right": ((0.0, -1.0, 0.0), "width"),
    "above": ((0.0, 0.0, 1.0), "height"),
    "below": ((0.0, 0.0, -1.0), "height"),
}
#: Corners that reach as far as the farthest one, within this [m].
_LEVEL_M: Final = 1e-4
#: A line shorter than this cannot be seen [m].
_SHORTEST_M: Final = 5e-4


@dataclass(frozen=True, kw_only=True)
class MarginLine:
    """One line of the view.

    Attributes
    ----------
    start, end : tuple of float
        In the axes of glTF 2.0 [m]: x to the left, y up, z forwards.
    text : str
        The air in millimetres.
    said : str
        Side and surface, for who does not see the picture.
    decides : bool
        It belongs to the dimension that decides.
    """

    start: tuple[float, float, float]
    end: tuple[float, float, float]
    text: str
    said: str
    decides: bool


def margin_lines(solid: Solid, placement: Placement) -> list[MarginLine]:
    """Return a line for each side on which a box has air, or stands too far out."""
    parts = [np.array(part) for part in placement.parts]
    lines = []
    for gap in placement.gaps:
        way, axis = np.array(_WAYS[gap.side][0]), _WAYS[gap.side][1]
        if abs(gap.gap_m) < _SHORTEST_M:
            continue
        start = _touching(solid, parts, gap, way)
        lines.append(
            MarginLine(
                start=_gltf(start),
                end=_gltf(start + gap.gap_m * way),
                text=f"{gap.gap_m * 1000:.0f} mm",
                said=f"{gap.side}: {gap.gap_m * 1000:.0f} mm to the {gap.surface}",
                decides=placement.binding.startswith(axis),
            )
        )
    return lines


def as_data(lines: list[MarginLine]) -> list[dict[str, Any]]:
    """Return lines as the browser takes them."""
    return [asdict(line) for line in lines]


def _touching(solid: Solid, parts: list[Floats], gap: Gap, way: Floats) -> Floats:
    """Return the point of a box that touches first when it slides that way."""
    keep_out = next((each for each in solid.keep_outs if each.name == gap.surface), None)
    if keep_out is None:
        middle_of_first: Floats = _first_corners(solid, parts, way).mean(axis=0)
        return middle_of_first
    part = max(parts, key=lambda corners: float((corners @ way).max()))
    face = part[part @ way > (part @ way).max() - _LEVEL_M]
    # the point of the face nearest to the middle of what stands there
    middle = keep_out.body.vertices.mean(axis=0)
    point: Floats = np.clip(middle, face.min(axis=0), face.max(axis=0))
    point += way * ((face[0] - point) @ way)
    return point


def _first_corners(solid: Solid, parts: list[Floats], way: Floats) -> Floats:
    speed = solid.A @ way
    toward = speed > 1e-9
    corners = np.vstack(parts)
    slack = solid.b[toward] - corners @ solid.A[toward].T
    reach = (slack / speed[toward]).min(axis=1)
    first: Floats = corners[reach < reach.min() + _LEVEL_M]
    return first


def _gltf(point: Floats) -> tuple[float, float, float]:
    """Return a point with the car's left along x, up along y, forwards along z."""
    x, y, z = (round(float(value), 5) for value in point)
    return y, z, x
