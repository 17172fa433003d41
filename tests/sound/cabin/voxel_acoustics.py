"""Sound in a closed space by finite volumes on a grid of cut cells.

An independent way to the pressure at the ear: no mesh, no modes, no shared code with
the product. Cells of one size; a wall cuts cells into open shares of volume and faces;
foam slows the flow between cells; panels, leaks and openings are branches of low rank.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import splu

RHO = 1.2041
C = 343.2
P0 = 101325.0

Array = NDArray[np.float64]
Inside = Callable[[Array, Array, Array], NDArray[np.bool_]]


@dataclass
class Branch:
    """Something that takes flow in proportion to a weighted pressure.

    `weight` (cells,) gathers the pressure, `admittance` gives the flow for it [m3/(Pa s)]
    as a function of the angular frequency.
    """

    weight: Array
    admittance: Callable[[float], complex]


@dataclass
class Grid:
    """Open cells of a space, the faces between them and the walls that they touch."""

    step: float
    centre: Array
    volume: Array
    pairs: NDArray[np.intp]
    area: Array
    foam: Array
    covered: Array
    thick: Array
    wall: Array
    behind: NDArray[np.bool_]
    branches: list[Branch] = field(default_factory=list)
    resistivity: float = 8000.0
    lining_m: float = 0.01
    lining_resistivity: float = 30000.0

    def pressure(
        self, frequency_hz: Array, source: Array, ear: Array, *, exact: int = 2
    ) -> NDArray[np.complex128]:
        """Return pressure at the ear over volume velocity, both as weights of cells.

        The full equations are solved at `exact` frequencies for the source and for
        every branch; in between they are solved in the space of those answers.
        """
        weights = np.stack([source, ear, *(b.weight for b in self.branches)], axis=1)
        ends = np.geomspace(frequency_hz.min(), frequency_hz.max(), exact)
        known = np.hstack([self._answers(2 * np.pi * f, weights) for f in ends])
        left, size, _ = np.linalg.svd(np.hstack([known.real, known.imag]), full_matrices=False)
        shapes = left[:, size > 1e-7 * size[0]]
        seen = shapes.T @ weights
        return np.array([self._reduced(2 * np.pi * f, shapes, seen) for f in frequency_hz])

    def _reduced(self, omega: float, shapes: Array, seen: Array) -> complex:
        small = shapes.T @ (self._matrix(omega) @ shapes)
        give = 1j * omega * RHO * np.array([b.admittance(omega) for b in self.branches])
        small = small + (seen[:, 2:] * give) @ seen[:, 2:].T
        return complex(1j * omega * RHO * (seen[:, 1] @ np.linalg.solve(small, seen[:, 0])))

    def _answers(self, omega: float, weights: Array) -> NDArray[np.complex128]:
        lu = splu(self._matrix(omega), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
        return np.asarray(lu.solve(weights.astype(complex)))

    def _matrix(self, omega: float) -> csc_array:
        n = len(self.volume)
        i, j = self.pairs.T
        drag = 1.3 + self.resistivity / (1j * omega * RHO)
        through = 1 / (1 - self.thick + self.thick * drag)
        flow = self.area / self.step * (1 - self.covered + self.covered * through)
        spring = self.volume * (1 + 0.3 * self.foam)
        skin = np.linalg.norm(self.wall, axis=1)
        d, sigma = self.lining_m, self.lining_resistivity
        lining = 1j * omega * d / P0 / (1 + 1j * omega * sigma * d**2 / (3 * P0))
        diagonal = -((omega / C) ** 2) * spring + 1j * omega * RHO * lining * skin
        rows = np.concatenate([i, j, i, j, np.arange(n)])
        columns = np.concatenate([j, i, i, j, np.arange(n)])
        data = np.concatenate([-flow, -flow, flow, flow, diagonal])
        return coo_array((data, (rows, columns)), shape=(n, n)).tocsc()

    def near(self, point: Array, radius: float, only: NDArray[np.bool_] | None = None) -> Array:
        """Return weights of the cells round a point, summing to 1."""
        apart = np.linalg.norm(self.centre - point, axis=1)
        weight = np.exp(-0.5 * (apart / radius) ** 2) * self.volume
        if only is not None:
            weight = weight * only
        return weight / weight.sum()


def grid_of(
    inside: Inside, foam: Inside, low: Array, high: Array, step: float, *, fine: int = 4
) -> Grid:
    """Cut the space where `inside` holds into cells of one step.

    Raises
    ------
    ValueError
        Nothing inside.
    """
    counts = np.ceil((high - low) / step).astype(int)
    sub = step / fine
    axes = [low[a] + sub * (np.arange(counts[a] * fine) + 0.5) for a in range(3)]
    x, y, z = np.meshgrid(*axes, indexing="ij")
    open_, soft = inside(x, y, z), foam(x, y, z)
    nx, ny, nz = counts
    blocks = open_.reshape(nx, fine, ny, fine, nz, fine)
    volume = blocks.mean(axis=(1, 3, 5))
    softness = (open_ & soft).reshape(blocks.shape).mean(axis=(1, 3, 5)) / np.maximum(volume, 1e-9)
    active = volume > 0.06
    number = np.full(active.shape, -1)
    number[active] = np.arange(active.sum())
    wall = np.zeros((*active.shape, 3))
    pairs, areas, covers, thicks = [], [], [], []
    for axis in range(3):
        face = _faces(open_, axis, fine)
        wall[..., axis] = np.take(face, range(counts[axis]), axis) - np.take(
            face, range(1, counts[axis] + 1), axis
        )
        inner = np.take(face, range(1, counts[axis]), axis)
        first = np.take(number, range(counts[axis] - 1), axis)
        second = np.take(number, range(1, counts[axis]), axis)
        keep = (first >= 0) & (second >= 0) & (inner > 0)
        pairs.append(np.stack([first[keep], second[keep]], axis=1))
        areas.append(inner[keep] * step**2)
        cover, thick = _foam_between(open_, soft, axis, fine)
        covers.append(cover[keep])
        thicks.append(thick[keep])
    centres = [low[a] + step * (np.arange(counts[a]) + 0.5) for a in range(3)]
    grid = np.stack(np.meshgrid(*centres, indexing="ij"), axis=-1)
    return Grid(
        step=step,
        centre=grid[active],
        volume=volume[active] * step**3,
        pairs=np.concatenate(pairs),
        area=np.concatenate(areas),
        foam=softness[active],
        covered=np.concatenate(covers),
        thick=np.concatenate(thicks),
        wall=wall[active] * step**2,
        behind=np.zeros(int(active.sum()), dtype=bool),
    )


def _foam_between(
    open_: NDArray[np.bool_], soft: NDArray[np.bool_], axis: int, fine: int
) -> tuple[Array, Array]:
    """Between the middles of neighbours: share of the columns with foam, share of foam in them."""
    solid = np.moveaxis(open_ & soft, axis, 0)[fine // 2 : -fine // 2]
    n, a, b = solid.shape
    along = solid.reshape(n // fine, fine, a // fine, fine, b // fine, fine).mean(axis=1)
    columns = along.transpose(0, 1, 3, 2, 4).reshape(n // fine, a // fine, b // fine, -1)
    cover = (columns > 0).mean(axis=-1)
    thick = columns.mean(axis=-1) / np.maximum(cover, 1e-9)
    return np.moveaxis(cover, 0, axis), np.moveaxis(thick, 0, axis)


def joined(front: Grid, back: Grid) -> Grid:
    """Put two spaces that do not touch into one grid, the second marked `behind`."""
    return Grid(
        step=front.step,
        centre=np.concatenate([front.centre, back.centre]),
        volume=np.concatenate([front.volume, back.volume]),
        pairs=np.concatenate([front.pairs, back.pairs + len(front.volume)]),
        area=np.concatenate([front.area, back.area]),
        foam=np.concatenate([front.foam, back.foam]),
        covered=np.concatenate([front.covered, back.covered]),
        thick=np.concatenate([front.thick, back.thick]),
        wall=np.concatenate([front.wall, back.wall]),
        behind=np.concatenate([np.zeros(len(front.volume), bool), np.ones(len(back.volume), bool)]),
    )


def _faces(open_: NDArray[np.bool_], axis: int, fine: int) -> Array:
    """Open share of every face across an axis, the outermost ones closed."""
    moved = np.moveaxis(open_, axis, 0)
    n, a, b = moved.shape
    before = moved[fine - 1 :: fine][:-1]
    after = moved[fine::fine]
    both = before & after
    share = both.reshape(len(both), a // fine, fine, b // fine, fine).mean(axis=(2, 4))
    out = np.zeros((n // fine + 1, *share.shape[1:]))
    out[1:-1] = share
    return np.moveaxis(out, 0, axis)


def plate_branches(
    weight: Array, area_m2: float, *, mass_kg_m2: float, resonance_hz: float, loss: float
) -> Branch:
    """Return the branch of one plate mode with shape-weighted wall areas `weight`.

    A simply supported mode has a quarter of the plate's mass for unit amplitude.
    """
    modal_mass = mass_kg_m2 * area_m2 / 4
    natural = 2 * np.pi * resonance_hz

    def admittance(omega: float) -> complex:
        return 1j * omega / (modal_mass * (natural**2 * (1 + 1j * loss) - omega**2))

    return Branch(weight=weight, admittance=admittance)
