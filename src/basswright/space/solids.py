"""The load space as a solid: a convex envelope less convex keep-outs."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from basswright.space.arrays import Floats
from basswright.space.polytope import Convex, volume_without

if TYPE_CHECKING:
    from basswright.space.cells import Cells
    from basswright.space.obstacles import Packed
    from basswright.space.tilted import Tilted


#: No cut that would help is said to leave less of a side than this [m].
LEAST_SIDE_M = 0.06


@dataclass(frozen=True, kw_only=True, eq=False)
class KeepOut:
    """A convex body that no box may enter.

    Attributes
    ----------
    name : str
        As a person would name it: "left wheel arch".
    reason : str
        "arch", or one of :data:`basswright.records.space.ZoneKind`.
    body : Convex
    tolerance_m : float
        How far its surfaces may be off.
    """

    name: str
    reason: str
    body: Convex
    tolerance_m: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Aperture:
    """The opening: a rectangle across the car, `width_m` by `height_m` above the sill."""

    width_m: float
    height_m: float
    sill_m: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Well:
    """A round spare-wheel well under the floor: its middle (x, y), radius and depth [m]."""

    centre_m: tuple[float, float]
    radius_m: float
    depth_m: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Solid:
    """A load space, ready to be asked.

    Attributes
    ----------
    kind : str
        As in the record that it was built from.
    envelope : Convex
        The space without its keep-outs; `surfaces` names its planes in order.
    surfaces : tuple of str
    plane_tolerance_m : ndarray, shape (m,)
        How far each plane may be off, from the readings that it rests on.
    keep_outs : tuple of KeepOut
    opening : Aperture
    tolerance_m : float
        How far a single reading may be off.
    well : Well or None
        Spare-wheel well under the floor.
    """

    kind: str
    envelope: Convex
    surfaces: tuple[str, ...]
    plane_tolerance_m: Floats
    keep_outs: tuple[KeepOut, ...]
    opening: Aperture
    tolerance_m: float
    well: Well | None = None

    @property
    def A(self) -> Floats:
        """Unit normals of the envelope, pointing out of the space, shape (m, 3)."""
        return self.envelope.A

    @property
    def b(self) -> Floats:
        """Offsets of the envelope's planes [m], shape (m,)."""
        return self.envelope.b

    @property
    def floor_m(self) -> float:
        """Height of the floor that boxes stand on [m]."""
        return float(self.envelope.vertices[:, 2].min())

    @cached_property
    def names(self) -> tuple[str, ...]:
        """Names of all surfaces: those of the envelope, then the keep-outs."""
        return self.surfaces + tuple(keep_out.name for keep_out in self.keep_outs)

    @cached_property
    def tolerances_m(self) -> Floats:
        """How far each of the surfaces may be off [m], in the order of `names`."""
        return np.concatenate([self.plane_tolerance_m, [k.tolerance_m for k in self.keep_outs]])

    @cached_property
    def volume_m3(self) -> float:
        """Volume of the space without its keep-outs [m3]."""
        return volume_without(self.envelope, tuple(k.body for k in self.keep_outs))

    @cached_property
    def cells(self) -> Cells:
        """Every size of upright cuboid that goes in, kept once worked out."""
        from basswright.space.cells import cells_of

        return cells_of(self)

    @cached_property
    def packed(self) -> Packed:
        """The space as flat arrays for compiled searches, kept once worked out."""
        from basswright.space.obstacles import packed

        return packed(self)

    @cached_property
    def packed_for_any(self) -> Packed:
        """The same for bodies of any shape and turn."""
        from basswright.space.obstacles import packed

        return packed(self, least_m=0.0)

    @cached_property
    def balances(self) -> Floats:
        """Sums of planes in which the place of a body drops out, see `unions`."""
        from basswright.space.unions import balances

        return balances(self)

    @cached_property
    def tilted(self) -> tuple[Tilted, ...]:
        """The space as a tilted box sees it, for each tilt that it suggests."""
        from basswright.space.tilted import tilted_spaces

        return tilted_spaces(self)

    @property
    def low(self) -> Floats:
        """Least coordinates of the envelope [m], shape (3,)."""
        return np.asarray(self.envelope.vertices.min(axis=0))

    @property
    def high(self) -> Floats:
        """Greatest coordinates of the envelope [m], shape (3,)."""
        return np.asarray(self.envelope.vertices.max(axis=0))
