"""Where a closed-off boot and the cabin meet, and what passes between them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from basswright.records.space import BootSpace

FloatArray = NDArray[np.float64]

#: Middle of a parcel shelf behind the seat back [m].
_SHELF_M = np.array([0.2])
# Half the distance between points of an opening [m].
_HOLE_M = 0.1


def in_boot(space: BootSpace, points_m: FloatArray) -> NDArray[np.bool_]:
    """Say which points lie behind the seat back, in a boot that is closed off."""
    height = np.clip(points_m[:, 2], 0, space.height_m)
    return np.asarray(points_m[:, 0] <= -height * _lean(space) + 1e-9)


def hole_points(
    space: BootSpace, across_m: FloatArray, up_m: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return where holes open into the cabin and into the boot, (4 draws, 3) each [m].

    Four points about the middle of the holes, all draws of the first before those of the
    next: an opening has an extent, and its own mass of air is counted by itself.

    Parameters
    ----------
    space : BootSpace
    across_m, up_m : ndarray, shape (draws,)
        Off the centre line, and off three quarters of the bulkhead's height.
    """
    aside = _HOLE_M * np.array([-1, -1, 1, 1])
    above = _HOLE_M * np.array([-1, 1, -1, 1])
    across_m = (aside[:, None] + across_m).ravel()
    up_m = (above[:, None] + up_m).ravel()
    y = np.clip(across_m, -0.45 * space.width_floor_m, 0.45 * space.width_floor_m)
    z = np.clip(0.75 * space.height_m + up_m, 0.1, space.height_m)
    return _either_side(space, y, z)


def wall_points(space: BootSpace, name: str) -> tuple[FloatArray, FloatArray]:
    """Return points before and behind the shelf or the seat back, (points, 3) each [m]."""
    across = 0.3 * space.width_floor_m * np.array([-1.0, 0.0, 1.0])
    if name == "shelf":
        y, back = (
            grid.ravel() for grid in np.meshgrid(across, -_lean(space) * space.height_m - _SHELF_M)
        )
        level = np.full(len(y), space.height_m)
        return np.stack([back, y, level + 0.05], axis=1), np.stack([back, y, level - 0.05], axis=1)
    y, z = (grid.ravel() for grid in np.meshgrid(across, space.height_m * np.array([0.3, 0.7])))
    return _either_side(space, y, z)


def _either_side(space: BootSpace, y: FloatArray, z: FloatArray) -> tuple[FloatArray, FloatArray]:
    front = np.stack([-z * _lean(space) + 0.18, y, z + 0.05], axis=1)
    back = np.stack([-z * _lean(space) - 0.10, y, z], axis=1)
    return front, back


def _lean(space: BootSpace) -> float:
    return float(np.tan(np.radians(space.seat_lean_deg)))
