"""Boxes as columns: shape, cone side, the air that the cone and the port want.

A box's own frame, standing as its data sheet shows it: x runs from the upright front
face (x = 0) towards its back, y across its width, z up from its bottom. The leaning
face of a wedge is its back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from basswright.records.enclosure import Enclosure
from basswright.records.shapes import Cylinder, Shape, Wedge, outer_sizes_m, outer_volume_m3
from basswright.space import faces
from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.parts import Part, standing_on_feet

FIRING = ("front", "up", "down")
_CONE_FACE: Ints = np.array([0, 5, 4])


@dataclass(frozen=True, kw_only=True, eq=False)
class BoxTable:
    """What space needs to know of n boxes.

    Attributes
    ----------
    ids : tuple of str
    wedge : ndarray of bool, shape (n,)
    width_m, height_m, depth_m, depth_top_m : ndarray, shape (n,)
        Outer sizes [m]; both depths are equal for a cuboid.
    firing : ndarray of int, shape (n,)
        Index into :data:`FIRING`.
    cone_air_m : ndarray, shape (n,)
        Air wanted in front of the cone side [m].
    cone_air_estimated : ndarray of bool, shape (n,)
        True where the excursion had to be taken from the cone's size.
    port_air_m : ndarray, shape (n,)
        Air wanted in front of the port [m], 0 without one; the port is taken to open
        on the cone side.
    kind : tuple of str
        Closed, vented, ...
    mass_kg : ndarray, shape (n,)
        0 where the data sheet is silent.
    volume_m3 : ndarray, shape (n,)
        Outer volume, feet and the air between them included [m3].
    parts : tuple
        For each box that is neither a cuboid nor a wedge, its convex parts; None for the
        others. Empty where there is no such box.
    round_ : tuple of str
        "standing" or "lying" for a round box, else empty; as long as `parts`.
    own_air_m : ndarray, shape (n, 6)
        Air that each face wants, see :mod:`basswright.space.faces`; empty for that of
        cone and port on the cone side alone.
    never_down : ndarray of bool, shape (n, 6)
        Faces that a box must not stand on; empty for none but that of the cone.
    """

    ids: tuple[str, ...]
    wedge: Bools
    width_m: Floats
    height_m: Floats
    depth_m: Floats
    depth_top_m: Floats
    firing: Ints
    cone_air_m: Floats
    cone_air_estimated: Bools
    port_air_m: Floats
    kind: tuple[str, ...]
    mass_kg: Floats
    volume_m3: Floats
    parts: tuple[tuple[Part, ...] | None, ...] = ()
    round_: tuple[str, ...] = ()
    own_air_m: Floats = field(default_factory=lambda: np.zeros((0, 6)))
    never_down: Bools = field(default_factory=lambda: np.zeros((0, 6), dtype=bool))

    def __len__(self) -> int:
        return len(self.width_m)

    @property
    def form(self) -> Ints:
        """0 for a cuboid, 1 for a wedge, 2 for a union of convex parts, shape (n,)."""
        shaped = np.array([part is not None for part in self.parts], dtype=bool)
        plain: Ints = self.wedge.astype(np.int64)
        return np.where(shaped, 2, plain) if len(shaped) else plain

    @property
    def size_m(self) -> Floats:
        """Own sizes along depth, width and height [m], shape (n, 3)."""
        return np.stack([self.depth_m, self.width_m, self.height_m], axis=1)

    @cached_property
    def face_air_m(self) -> Floats:
        """Air wanted on each face beyond the common clearance [m], shape (n, 6)."""
        if len(self.own_air_m):
            return self.own_air_m
        air = np.zeros((len(self), 6))
        air[np.arange(len(self)), _CONE_FACE[self.firing]] = self.front_air_m
        return air

    @property
    def family(self) -> Ints:
        """Number of the family of each box, shape (n,): same form, firing and faces."""
        keys = [self.form, self.firing]
        if len(self.own_air_m):
            wants = self.own_air_m > 0
            wants[np.arange(len(self)), _CONE_FACE[self.firing]] = False
            keys += [bits @ (1 << np.arange(6)) for bits in (wants, self.never_down)]
        found: Ints = np.unique(np.stack(keys), axis=1, return_inverse=True)[1]
        return found.reshape(-1)

    def plain_faces(self, row: int) -> bool:
        """Say whether nothing but cone and clearance tells the faces of a box apart."""
        if not len(self.own_air_m):
            return True
        cone = int(_CONE_FACE[self.firing[row]])
        others = np.delete(self.own_air_m[row], cone)
        return not (others.any() or self.never_down[row].any())

    @property
    def front_air_m(self) -> Floats:
        """Air wanted on the cone side for cone and port together [m], shape (n,)."""
        return np.maximum(self.cone_air_m, self.port_air_m)


def box_table(enclosures: Sequence[Enclosure]) -> BoxTable:
    """Put enclosures into columns.

    Parameters
    ----------
    enclosures : sequence of Enclosure

    Returns
    -------
    BoxTable
        In the same order. Excursions that a data sheet does not give are estimated from
        the cone's nominal diameter and marked so.
    """
    shapes = [e.shape for e in enclosures]
    feet = _column(e.feet_m or 0.0 for e in enclosures)
    width, height, depth = (_column(s) for s in zip(*map(outer_sizes_m, shapes), strict=True))
    bottom = _column(
        s.depth_bottom_m if isinstance(s, Wedge) else d for s, d in zip(shapes, depth, strict=True)
    )
    top = _column(
        s.depth_top_m if isinstance(s, Wedge) else d for s, d in zip(shapes, depth, strict=True)
    )
    parts = tuple(standing_on_feet(e.shape, e.feet_m or 0.0) for e in enclosures)
    return BoxTable(
        ids=tuple(e.id for e in enclosures),
        wedge=bottom != top,
        width_m=width,
        height_m=height + feet,
        depth_m=bottom,
        depth_top_m=top,
        firing=np.array([FIRING.index(e.firing) for e in enclosures], dtype=np.int64),
        cone_air_m=_column(faces.cone_air_m(e) for e in enclosures),
        cone_air_estimated=np.array(
            [
                e.driver.Xmax_m is None and (e.faces is None or e.faces.cone_air_m is None)
                for e in enclosures
            ],
            dtype=bool,
        ),
        port_air_m=_column(faces.port_air_m(e) for e in enclosures),
        kind=tuple(e.kind for e in enclosures),
        mass_kg=_column(e.mass_kg or 0.0 for e in enclosures),
        volume_m3=_column(outer_volume_m3(shape) for shape in shapes) + feet * width * bottom,
        parts=parts if any(part is not None for part in parts) else (),
        round_=tuple(_round(shape) for shape in shapes) if any(parts) else (),
        **_faces(enclosures),
    )


def _round(shape: Shape) -> str:
    if not isinstance(shape, Cylinder):
        return ""
    return "lying" if shape.lying else "standing"


def _column(values: Iterable[float]) -> Floats:
    return np.fromiter(values, dtype=np.float64)


def _faces(enclosures: Sequence[Enclosure]) -> dict[str, Any]:
    """Return what the sheets tell of the faces; nothing where none tells of any."""
    if all(e.faces is None and e.radiators is None for e in enclosures):
        return {}
    return {
        "own_air_m": faces.own_air_m(enclosures),
        "never_down": faces.never_down(enclosures),
    }
