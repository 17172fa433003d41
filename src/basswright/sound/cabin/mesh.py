"""A mesh of bricks that follows an outline, and where a point lies in it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.sound.cabin.outline import Outline

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Corners of the reference brick in the order that scikit-fem's hexahedron uses.
CORNERS: Final = np.array(
    [[1, 1, 1], [1, 1, 0], [1, 0, 1], [0, 1, 1], [1, 0, 0], [0, 1, 0], [0, 0, 1], [0, 0, 0]]
)


@dataclass(frozen=True, kw_only=True)
class Bricks:
    """Bricks between an outline's floor and roof, in rows along the car.

    Attributes
    ----------
    x_m, floor_m, roof_m : ndarray, shape (nx + 1,)
        Stations of the nodes and the heights there.
    half_width_m : ndarray, shape (nx + 1, nz + 1)
        Half width at every station and level.
    ny : int
        Bricks across the car.
    """

    x_m: FloatArray
    floor_m: FloatArray
    roof_m: FloatArray
    half_width_m: FloatArray
    ny: int

    @property
    def counts(self) -> tuple[int, int, int]:
        """Bricks along, across and up."""
        nx, nz = self.half_width_m.shape
        return nx - 1, self.ny, nz - 1

    def nodes(self) -> FloatArray:
        """Return the corner points, shape (nodes, 3) [m]."""
        nx, ny, nz = self.counts
        across = np.linspace(-1, 1, ny + 1)
        up = np.linspace(0, 1, nz + 1)
        shape = (nx + 1, ny + 1, nz + 1)
        x = np.broadcast_to(self.x_m[:, None, None], shape)
        y = across[None, :, None] * self.half_width_m[:, None, :]
        height = (self.roof_m - self.floor_m)[:, None, None]
        z = np.broadcast_to(self.floor_m[:, None, None] + up * height, shape)
        return np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1)

    def corners(self) -> IntArray:
        """Return the node numbers of every brick, shape (bricks, 8)."""
        nx, ny, nz = self.counts
        index = np.stack(np.meshgrid(*map(np.arange, (nx, ny, nz)), indexing="ij"), axis=-1)
        corner = index.reshape(-1, 1, 3) + CORNERS[None]
        return np.asarray((corner[..., 0] * (ny + 1) + corner[..., 1]) * (nz + 1) + corner[..., 2])

    def locate(self, points_m: FloatArray) -> tuple[IntArray, FloatArray]:
        """Return the brick of every point and the place inside it.

        A point outside is moved to the nearest place along y and z, then x.

        Returns
        -------
        brick : ndarray of int, shape (n,)
        local : ndarray, shape (n, 3)
            Between 0 and 1 along each edge of the brick.
        """
        _, ny, nz = self.counts
        i, u = _cell(points_m[:, 0], self.x_m)
        floor = self.floor_m[i] * (1 - u) + self.floor_m[i + 1] * u
        roof = self.roof_m[i] * (1 - u) + self.roof_m[i + 1] * u
        k, w = _even_cell((points_m[:, 2] - floor) / (roof - floor), nz)
        half = self.half_width_m
        low = half[i, k] * (1 - w) + half[i, k + 1] * w
        high = half[i + 1, k] * (1 - w) + half[i + 1, k + 1] * w
        j, v = _even_cell(0.5 + 0.5 * points_m[:, 1] / (low * (1 - u) + high * u), ny)
        return (i * ny + j) * nz + k, np.stack([u, v, w], axis=1)


def bricks_of(outline: Outline, *, edge_m: float = 0.32) -> Bricks:
    """Return bricks of about this edge length that follow an outline.

    Stations of the outline become brick edges; long stretches are divided. With
    27-node bricks, 0.32 m is a fifth of the wavelength at 200 Hz, and the field is
    right to about 0.1 dB.
    """
    x = _stations(outline.x_m, edge_m)
    floor = np.interp(x, outline.x_m, outline.floor_m)
    roof = np.interp(x, outline.x_m, outline.roof_m)
    nz = max(2, round(float(np.max(roof - floor)) / edge_m))
    ny = max(2, round(2 * float(np.max(outline.half_width_m)) / edge_m))
    at = [np.interp(x, outline.x_m, outline.half_width_m[:, column]) for column in range(3)]
    level = np.linspace(0, 1, nz + 1)
    columns = np.stack(at, axis=1)
    half = np.stack([np.interp(level, [0, 0.5, 1], row) for row in columns])
    return Bricks(x_m=x, floor_m=floor, roof_m=roof, half_width_m=half, ny=ny)


def _stations(x: FloatArray, edge_m: float) -> FloatArray:
    parts = [np.linspace(a, b, max(1, round((b - a) / edge_m)) + 1)[:-1] for a, b in pairwise(x)]
    return np.concatenate([*parts, x[-1:]])


def _cell(value: FloatArray, edges: FloatArray) -> tuple[IntArray, FloatArray]:
    cell = np.clip(np.searchsorted(edges, value, side="right") - 1, 0, len(edges) - 2)
    share = (value - edges[cell]) / (edges[cell + 1] - edges[cell])
    return cell, np.clip(share, 0, 1)


def _even_cell(value: FloatArray, count: int) -> tuple[IntArray, FloatArray]:
    scaled = np.clip(value, 0, 1) * count
    cell = np.clip(scaled.astype(np.intp), 0, count - 1)
    return cell, scaled - cell
