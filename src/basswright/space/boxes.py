"""Boxes as columns: shape, cone side, the air that the cone and the port want.

A box's own frame, standing as its data sheet shows it: x runs from the upright front
face (x = 0) towards its back, y across its width, z up from its bottom. The leaning
face of a wedge is its back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from basswright.records.enclosure import Enclosure, Port
from basswright.records.shapes import Cylinder, Shape, Wedge, outer_sizes_m, outer_volume_m3
from basswright.space.arrays import Bools, Floats, Ints
from basswright.space.parts import Part, standing_on_feet

FIRING = ("front", "up", "down")

#: Air wanted in front of a cone beyond its excursion: suspension and grille (common
#: practice, no source).
BEYOND_EXCURSION_M = 0.015

#: One-way excursion taken where a data sheet is silent, as a share of the cone's nominal
#: diameter: 8 to 15 inch drivers reach 4 to 6 % of it (common practice, no source).
EXCURSION_SHARE = 0.055


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
    known = [e.driver.Xmax_m for e in enclosures]
    excursion = _column(
        x if x is not None else EXCURSION_SHARE * e.driver.size_m
        for x, e in zip(known, enclosures, strict=True)
    )
    return BoxTable(
        ids=tuple(e.id for e in enclosures),
        wedge=bottom != top,
        width_m=width,
        height_m=height + feet,
        depth_m=bottom,
        depth_top_m=top,
        firing=np.array([FIRING.index(e.firing) for e in enclosures], dtype=np.int64),
        cone_air_m=excursion + BEYOND_EXCURSION_M,
        cone_air_estimated=np.array([x is None for x in known], dtype=bool),
        port_air_m=_column(_port_air(e.ports) for e in enclosures),
        kind=tuple(e.kind for e in enclosures),
        mass_kg=_column(e.mass_kg or 0.0 for e in enclosures),
        volume_m3=_column(outer_volume_m3(shape) for shape in shapes) + feet * width * bottom,
        parts=parts if any(part is not None for part in parts) else (),
        round_=tuple(_round(shape) for shape in shapes) if any(parts) else (),
    )


def _round(shape: Shape) -> str:
    if not isinstance(shape, Cylinder):
        return ""
    return "lying" if shape.lying else "standing"


def _column(values: Iterable[float]) -> Floats:
    return np.fromiter(values, dtype=np.float64)


def _port_air(port: Port | None) -> float:
    """About one port diameter; a slot counts with its narrow side (common practice)."""
    if port is None:
        return 0.0
    sides = [s for s in (port.diameter_m, port.height_m, port.width_m) if s is not None]
    return min(sides, default=0.0)
