"""Boxes as columns: shape, cone side, the air that the cone and the port want.

A box's own frame, standing as its data sheet shows it: x runs from the upright front
face (x = 0) towards its back, y across its width, z up from its bottom. The leaning
face of a wedge is its back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from basswright.records.enclosure import Cuboid, Enclosure, Port
from basswright.space.arrays import Bools, Floats, Ints

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
        Outer volume [m3].
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

    def __len__(self) -> int:
        return len(self.width_m)

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
    bottom = _column(s.depth_m if isinstance(s, Cuboid) else s.depth_bottom_m for s in shapes)
    top = _column(s.depth_m if isinstance(s, Cuboid) else s.depth_top_m for s in shapes)
    width, height = _column(s.width_m for s in shapes), _column(s.height_m for s in shapes)
    known = [e.driver.Xmax_m for e in enclosures]
    excursion = _column(
        x if x is not None else EXCURSION_SHARE * e.driver.size_m
        for x, e in zip(known, enclosures, strict=True)
    )
    return BoxTable(
        ids=tuple(e.id for e in enclosures),
        wedge=bottom != top,
        width_m=width,
        height_m=height,
        depth_m=bottom,
        depth_top_m=top,
        firing=np.array([FIRING.index(e.firing) for e in enclosures], dtype=np.int64),
        cone_air_m=excursion + BEYOND_EXCURSION_M,
        cone_air_estimated=np.array([x is None for x in known], dtype=bool),
        port_air_m=_column(_port_air(e.ports) for e in enclosures),
        kind=tuple(e.kind for e in enclosures),
        mass_kg=_column(e.mass_kg or 0.0 for e in enclosures),
        volume_m3=width * height * (bottom + top) / 2,
    )


def _column(values: Iterable[float]) -> Floats:
    return np.fromiter(values, dtype=np.float64)


def _port_air(port: Port | None) -> float:
    """About one port diameter; a slot counts with its narrow side (common practice)."""
    if port is None:
        return 0.0
    sides = [s for s in (port.diameter_m, port.height_m, port.width_m) if s is not None]
    return min(sides, default=0.0)
