"""Truncated, L-shaped and round boxes as unions of convex parts in their own frame.

The frame is that of :mod:`basswright.space.boxes`: x from the front to the back, y to
the left of a person who looks at the front, z up.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from basswright.records.shapes import (
    Cuboid,
    Cylinder,
    LShape,
    Shape,
    Truncated,
    Wedge,
    cut_axes,
    outer_sizes_m,
)
from basswright.space.arrays import Floats, Ints
from basswright.space.polytope import Convex, convex, cuboid

#: Sides of the prism that stands for a round box. It contains the circle: its width
#: across corners is 0.5 % larger than the diameter.
ROUND_SIDES = 32

_AXIS = {"depth": 0, "width": 1, "height": 2}
_HIGH = {"back", "left", "top"}


@dataclass(frozen=True, kw_only=True, eq=False)
class Part:
    """A convex part whose faces can be moved outwards.

    Attributes
    ----------
    A, b : ndarray, shape (f, 3) and (f,)
        Faces, ``A x <= b``.
    corner_faces : ndarray of int, shape (v, 3)
        Three faces that meet at each corner.
    edges : ndarray of int, shape (e, 4)
        Two corners and two faces.
    """

    A: Floats
    b: Floats
    corner_faces: Ints
    edges: Ints

    def corners(self, air_m: Floats | float = 0.0) -> Floats:
        """Return the corners with every face moved outwards by its air, shape (v, 3) [m]."""
        planes = self.A[self.corner_faces]
        offsets = (self.b + air_m)[self.corner_faces]
        return np.asarray(np.linalg.solve(planes, offsets[..., None])[..., 0], float)


def part_of(body: Convex) -> Part:
    """Return a convex solid as a part; three of its faces are taken at each corner."""
    on = np.abs(body.vertices @ body.A.T - body.b) < 1e-6
    triples = np.array([_apart(body.A, np.flatnonzero(row)) for row in on])
    return Part(A=body.A, b=body.b, corner_faces=triples, edges=body.edges)


def _apart(A: Floats, faces: Ints) -> Ints:
    """Return three of the faces at a corner that are well apart."""
    if len(faces) == 3:
        return faces
    best, chosen = -1.0, faces[:3]
    for i in range(len(faces)):
        three = np.array([faces[i], faces[(i + 1) % len(faces)], faces[(i + 2) % len(faces)]])
        size = abs(float(np.linalg.det(A[three])))
        if size > best:
            best, chosen = size, three
    return chosen


def scaled(part: Part, factor: Floats) -> Part:
    """Return a part with its frame's axes stretched by factors, shape (3,)."""
    normals = part.A / factor
    size = np.linalg.norm(normals, axis=1)
    return Part(
        A=normals / size[:, None],
        b=part.b / size,
        corner_faces=part.corner_faces,
        edges=part.edges,
    )


def parts_of(shape: Shape) -> tuple[Part, ...] | None:
    """Return the convex parts of a shape; None for the plain ones, cuboid and wedge."""
    makers: dict[type, Callable[..., list[Convex]]] = {
        Truncated: _truncated,
        LShape: _l_shape,
        Cylinder: _cylinder,
    }
    maker = makers.get(type(shape))
    return None if maker is None else tuple(part_of(body) for body in maker(shape))


def _own_sizes(shape: Shape) -> Floats:
    width, height, depth = outer_sizes_m(shape)
    return np.array([depth, width, height])


def _cut(shape: Truncated | LShape, kind: str, edge: str) -> list[tuple[int, bool, float]]:
    """Return, for both sides of a cut edge, axis, whether it is the high side, and size."""
    sides = edge.split("-")
    return [
        (_AXIS[size], side in _HIGH, float(getattr(shape, f"{kind}_{size}_m")))
        for side, size in zip(sides, cut_axes(edge), strict=True)
    ]


def _truncated(shape: Truncated) -> list[Convex]:
    whole = _own_sizes(shape)
    normal, at = np.zeros(3), np.zeros(3)
    for axis, is_high, size in _cut(shape, "bevel", shape.bevel_edge):
        normal[axis] = (1.0 if is_high else -1.0) / size
        at[axis] = whole[axis] if is_high else 0.0
    length = float(np.linalg.norm(normal))
    offset = (float(normal @ at) - 1.0) / length
    eye = np.eye(3)
    A = np.vstack([eye, -eye, normal / length])
    return [convex(A, np.concatenate([whole, np.zeros(3), [offset]]))]


def _l_shape(shape: LShape) -> list[Convex]:
    """Two cuboids that overlap in the corner of the L, so that no seam is left."""
    whole = _own_sizes(shape)
    found = []
    for axis, is_high, size in _cut(shape, "notch", shape.notch_edge):
        low, high = np.zeros(3), whole.copy()
        if is_high:
            high[axis] -= size
        else:
            low[axis] = size
        found.append(cuboid(low, high))
    return found


def _cylinder(shape: Cylinder) -> list[Convex]:
    radius, whole = shape.diameter_m / 2, _own_sizes(shape)
    angle = 2 * np.pi * np.arange(ROUND_SIDES) / ROUND_SIDES
    along = 0 if shape.lying else 2
    first, second = (axis for axis in range(3) if axis != along)
    sides = np.zeros((ROUND_SIDES, 3))
    sides[:, first], sides[:, second] = np.cos(angle), np.sin(angle)
    middle = np.full(3, radius)
    ends = np.zeros((2, 3))
    ends[0, along], ends[1, along] = 1.0, -1.0
    return [_prism(sides, radius + sides @ middle, ends, np.array([whole[along], 0.0]))]


def _prism(sides: Floats, offsets: Floats, ends: Floats, end_offsets: Floats) -> Convex:
    """Return a prism from its sides in order round it, and its two ends."""
    count = len(sides)
    A, b = np.vstack([sides, ends]), np.concatenate([offsets, end_offsets])
    pairs = [*pairwise(range(count)), (count - 1, 0)]
    triples = [(one, two, count + end) for end in range(2) for one, two in pairs]
    corners = np.linalg.solve(A[triples], b[np.array(triples)][..., None])[..., 0]
    edges = [(k, count + k, *pairs[k]) for k in range(count)]
    for end in range(2):
        ring = [end * count + k for k in range(count)]
        edges += [(ring[k - 1], ring[k], pairs[k][0], count + end) for k in range(count)]
    return Convex(A=A, b=b, vertices=corners, edges=np.array(edges, dtype=np.int64))


def standing_on_feet(shape: Shape, feet_m: float) -> tuple[Part, ...] | None:
    """Return the parts of a box with the room that its feet take below it.

    None for a cuboid, which is only taller by its feet, and for a wedge without any.
    """
    parts = parts_of(shape)
    if feet_m <= 0 or isinstance(shape, Cuboid):
        return parts
    if parts is None:
        parts = (part_of(_wedge(shape)),)
    raised = tuple(
        Part(
            A=part.A,
            b=part.b + feet_m * part.A[:, 2],
            corner_faces=part.corner_faces,
            edges=part.edges,
        )
        for part in parts
    )
    whole = _own_sizes(shape)
    foot = cuboid(np.zeros(3), np.array([_foot_depth(shape, whole[0]), whole[1], feet_m]))
    return (*raised, part_of(foot))


def _foot_depth(shape: Shape, depth_m: float) -> float:
    return shape.depth_bottom_m if isinstance(shape, Wedge) else depth_m


def _wedge(shape: Shape) -> Convex:
    assert isinstance(shape, Wedge)
    slope = (shape.depth_bottom_m - shape.depth_top_m) / shape.height_m
    eye = np.eye(3)
    lean = np.array([1.0, 0.0, slope]) / np.hypot(1.0, slope)
    A = np.vstack([-eye, eye[1:], lean])
    b = [0.0, 0.0, 0.0, shape.width_m, shape.height_m, lean[0] * shape.depth_bottom_m]
    return convex(A, np.array(b))
