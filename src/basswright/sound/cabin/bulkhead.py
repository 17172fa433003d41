"""Where a closed-off boot and the cabin meet, and what passes between them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.records.space import BootSpace

FloatArray = NDArray[np.float64]


def in_boot(space: BootSpace, points_m: FloatArray) -> NDArray[np.bool_]:
    """Say which points lie behind the seat back, in a boot that is closed off."""
    lean = np.tan(np.radians(space.seat_lean_deg))
    height = np.clip(points_m[:, 2], 0, space.height_m)
    return np.asarray(points_m[:, 0] <= -height * lean + 1e-9)


def bulkhead_points(space: BootSpace) -> tuple[FloatArray, FloatArray]:
    """Return where cabin and boot meet: points before and behind seat back and shelf."""
    lean = np.tan(np.radians(space.seat_lean_deg))
    across = 0.3 * space.width_floor_m * np.array([-1.0, 0.0, 1.0])
    up = space.height_m * np.array([0.5, 0.95])
    y, z = (grid.ravel() for grid in np.meshgrid(across, up))
    front = np.stack([-z * lean + 0.18, y, z + 0.05], axis=1)
    back = np.stack([-z * lean - 0.10, y, z], axis=1)
    return front, back
