"""The outside of a demo box: panels around the air, the cones and the port."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from basswright.catalogue.demo.designs import Port, Radiators
from basswright.catalogue.demo.hidden import Columns, Cones, Floats
from basswright.records.enclosure import BoxKind

#: Board density [kg/m3] and share of the inside that braces take. Common practice, no source.
_BOARD_KG_PER_M3 = 690.0
_BRACES_SHARE = 0.02
#: What stands around a cone on its panel, outside to outside [m].
_RIM_M = 0.045


@dataclass(frozen=True, kw_only=True)
class Carcass(Columns):
    """Columns of outer shapes, with the cones on the front.

    `mid_depth_m` is the depth at half height; a wedge gets deeper below and
    shallower above it, by half of `lean_m`.
    """

    width_m: Floats
    height_m: Floats
    mid_depth_m: Floats
    lean_m: Floats
    panel_m: Floats
    possible: NDArray[np.bool_]

    @property
    def inside_m3(self) -> Floats:
        """Volume between the panels [m3]; exact for the leaning panel too."""
        across = self.width_m - 2 * self.panel_m
        up = self.height_m - 2 * self.panel_m
        return np.asarray(across * up * (self.mid_depth_m - self.panels_deep_m), float)

    @property
    def panels_deep_m(self) -> Floats:
        """Thickness of the upright and the leaning panel along the depth [m]."""
        slant = np.hypot(1.0, self.lean_m / self.height_m)
        return np.asarray(self.panel_m * (1 + slant), float)

    @property
    def panel_mass_kg(self) -> Floats:
        """Mass of the board [kg]."""
        outside = self.width_m * self.height_m * self.mid_depth_m
        return np.asarray(_BOARD_KG_PER_M3 * 1.05 * (outside - self.inside_m3), float)


def taken_m3(kind: BoxKind, cones: Cones, port: Port) -> Floats:
    """Return what cones, port and (bandpass) the dividing panel take from the inside."""
    each = np.where(cones.shallow, 0.08, 0.12) * cones.size_m**3
    divider = 0.018 * (cones.size_m + 0.05) ** 2 if kind == "bandpass" else 0.0
    return np.asarray(cones.count * (each + divider) + port.taken_m3, float)


def build(
    rng: Generator, cones: Cones, gross_m3: Floats, on_front: Radiators, *, wedge_share: float
) -> Carcass:
    """Put panels around a gross volume so that cones and radiators have their place.

    `possible` is False where the proportions came out as nobody would build them.
    """
    n = gross_m3.size
    panel = np.where(cones.size_m > 0.27, 0.018, 0.015) + 0.003 * (rng.random(n) < 0.35)
    beside = np.where(on_front.count == cones.count, on_front.count, 0)
    sideways = on_front.count > cones.count
    across = cones.size_m + _RIM_M
    least_width = (cones.count + beside) * across
    motor = np.where(cones.shallow, 0.27, 0.42) * cones.size_m + 1.5 * cones.Xmax_m
    least_depth = np.where(sideways, across, motor + 0.020) + 2 * panel
    height = np.round(across * (1 + 0.30 * rng.random(n) ** 1.5), 3)
    lean = height * np.tan(np.radians(rng.uniform(8, 26, n))) * (rng.random(n) < wedge_share)
    lean = 2 * np.round(lean / 2, 3)
    depth = least_depth * rng.uniform(1.05, 2.0, n)
    draft = Carcass(
        width_m=least_width,
        height_m=height,
        mid_depth_m=depth,
        lean_m=lean,
        panel_m=panel,
        possible=np.ones(n, np.bool_),
    )
    face = (height - 2 * panel) * (1 - _BRACES_SHARE)
    width = gross_m3 / (face * (depth - draft.panels_deep_m)) + 2 * panel
    shallower = gross_m3 / (face * (least_width - 2 * panel)) + draft.panels_deep_m
    depth = np.round(np.where(width < least_width, shallower, depth), 3)
    width = np.round(np.maximum(width, least_width), 3)
    top = depth - lean / 2
    possible = (depth >= least_depth) & (top >= 0.09) & (width <= 1.30) & (depth < 0.70)
    possible &= width / height < 4.0
    return Carcass(
        width_m=width,
        height_m=height,
        mid_depth_m=depth,
        lean_m=lean,
        panel_m=panel,
        possible=np.asarray(possible, np.bool_),
    )


def air_m3(of: Carcass, taken: Floats) -> Floats:
    """Return the net volume: the inside less braces, cones, port and divider [m3]."""
    return np.asarray(of.inside_m3 * (1 - _BRACES_SHARE) - taken, float)
