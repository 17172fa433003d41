"""Sound in a closed space by eight-node bricks on a staircase outline.

A third way to the pressure at the ear, apart from the product's meshes and from the
finite volumes of the other fleet: holes between two rooms are real holes in the mesh,
absorbers are impedances of their surface, and panels are clamped plates.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import splu

RHO = 1.204
C = 343.2

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Curve = Callable[[float], complex]


@dataclass(frozen=True)
class Plate:
    """A plate between the air at two sets of nodes (or one set and the outside)."""

    flow: Array
    admittance: Curve


@dataclass(frozen=True)
class Bricks:
    """Open cubes of one edge and the nodes between them."""

    edge: float
    corner: Array
    open_: Mask

    @property
    def number(self) -> NDArray[np.intp]:
        """Node number of every corner of the lattice, -1 where no open cube touches."""
        touched = np.zeros(np.add(self.open_.shape, 1), dtype=bool)
        for i in (0, 1):
            for j in (0, 1):
                for k in (0, 1):
                    a, b, c = self.open_.shape
                    touched[i : i + a, j : j + b, k : k + c] |= self.open_
        out = np.full(touched.shape, -1)
        out[touched] = np.arange(touched.sum())
        return out

    def nodes(self) -> Array:
        """Places of the nodes, shape (nodes, 3)."""
        index = np.argwhere(self.number >= 0)
        return self.corner + self.edge * index

    def cubes(self) -> NDArray[np.intp]:
        """Nodes of every open cube, shape (cubes, 8)."""
        at = np.argwhere(self.open_)
        step = np.array([[i, j, k] for i in (0, 1) for j in (0, 1) for k in (0, 1)])
        return self.number[tuple(np.moveaxis(at[:, None] + step, -1, 0))]

    def middles(self) -> Array:
        """Middle of every open cube."""
        return self.corner + self.edge * (np.argwhere(self.open_) + 0.5)

    def skin(self) -> tuple[NDArray[np.intp], Array, Array]:
        """Faces of open cubes towards walls: nodes (m, 4), middles and inward normals (m, 3)."""
        padded = np.pad(self.open_, 1)
        number, nodes, middles, normals = self.number, [], [], []
        for axis in range(3):
            for side in (0, 1):
                ahead = np.roll(padded, -1 if side else 1, axis)[1:-1, 1:-1, 1:-1]
                at = np.argwhere(self.open_ & ~ahead)
                others = [other for other in range(3) if other != axis]
                step = np.zeros((4, 3), dtype=int)
                step[:, axis] = side
                step[:, others[0]], step[:, others[1]] = [0, 0, 1, 1], [0, 1, 0, 1]
                nodes.append(number[tuple(np.moveaxis(at[:, None] + step, -1, 0))])
                middles.append(self.corner + self.edge * (at[:, None] + step).mean(axis=1))
                inward = np.zeros(3)
                inward[axis] = -1.0 if side else 1.0
                normals.append(np.tile(inward, (len(at), 1)))
        return np.concatenate(nodes), np.concatenate(middles), np.concatenate(normals)


def room_answer(
    bricks: Bricks,
    frequency_hz: Array,
    source_ear: tuple[Array, Array],
    *,
    walls: Sequence[tuple[Mask, Curve]],
    plates: Sequence[Plate],
    air_loss: float,
) -> NDArray[np.complex128]:
    """Pressure at the ear over volume velocity of a source, shape (sources, f).

    Solved in full at a few frequencies; between these in the space of those answers
    (the matrices are symmetric, so that the projection keeps two moments each).
    """
    stiff, mass = _volume_matrices(bricks)
    faces, _, _ = bricks.skin()
    lined = [
        (_face_matrix(faces[mask], bricks.edge, stiff.shape[0]), curve) for mask, curve in walls
    ]
    load, ear = source_ear[0].T, source_ear[1]

    def system(omega: float) -> csc_array:
        total = stiff * (1 + 1j * air_loss) - (omega / C) ** 2 * mass
        for matrix, curve in lined:
            total = total + 1j * omega * RHO * curve(omega) * matrix
        return csc_array(total)

    outs = np.stack([*load.T, ear, *(plate.flow for plate in plates)], axis=1).astype(complex)
    snaps = []
    for omega in 2 * np.pi * np.geomspace(frequency_hz.min(), frequency_hz.max(), 3):
        lu = splu(system(omega), permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
        snaps.append(lu.solve(outs))
    parts = np.hstack([np.hstack([snap.real, snap.imag]) for snap in snaps])
    left, size, _ = np.linalg.svd(parts, full_matrices=False)
    base = left[:, size > 1e-8 * size[0]]
    small = [base.T @ (stiff @ base), base.T @ (mass @ base)]
    tiny = [(base.T @ (matrix @ base), curve) for matrix, curve in lined]
    seen = base.T @ outs
    answer = []
    for omega in 2 * np.pi * frequency_hz:
        total = small[0] * (1 + 1j * air_loss) - (omega / C) ** 2 * small[1]
        for matrix, curve in tiny:
            total = total + 1j * omega * RHO * curve(omega) * matrix
        for column, plate in enumerate(plates, start=load.shape[1] + 1):
            give = 1j * omega * RHO * plate.admittance(omega)
            total = total + give * np.outer(seen[:, column], seen[:, column])
        field = np.linalg.solve(total, seen[:, : load.shape[1]])
        answer.append(1j * omega * RHO * (seen[:, load.shape[1]] @ field))
    return np.array(answer).T


def miki(thick_m: float, resistivity: float) -> Curve:
    """Admittance of a porous layer on a hard wall (Miki, J. Acoust. Soc. Jpn 11, 1990).

    Below f / sigma of 0.01 his power laws leave the range of the data they were fitted to;
    the layer is then a spring of air at constant temperature behind its own resistance.
    """

    def admittance(omega: float) -> complex:
        ratio = omega / (2 * np.pi * resistivity)
        if ratio < 0.01:
            spring = 101325.0 / (1j * omega * thick_m)
            return 1 / (spring + resistivity * thick_m / 3)
        impedance = RHO * C * (1 + 0.070 * ratio**-0.632 - 0.107j * ratio**-0.632)
        wave = omega / C * (1 + 0.109 * ratio**-0.618 - 0.160j * ratio**-0.618)
        return complex(1j * np.tan(wave * thick_m) / impedance)

    return admittance


def clamped(area_m2: float, *, mass_kg_m2: float, first_hz: float, loss: float) -> Curve:
    """Flow of a clamped plate's first mode for each pascal of weighted pressure.

    Shape sin² sin²: mean 1/4, mean square 9/64 of the area (own integrals).
    """
    modal = mass_kg_m2 * area_m2 * 9 / 64
    square = (2 * np.pi * first_hz) ** 2

    def admittance(omega: float) -> complex:
        return 1j * omega / (modal * (square * (1 + 1j * loss) - omega**2))

    return admittance


def _volume_matrices(bricks: Bricks) -> tuple[csc_array, csc_array]:
    """Stiffness and mass of trilinear cubes, by products of the matrices of a line."""
    rise, hold = np.array([[1.0, -1], [-1, 1]]), np.array([[2.0, 1], [1, 2]]) / 6
    parts = [(rise, hold, hold), (hold, rise, hold), (hold, hold, rise)]
    stiff = bricks.edge * sum(np.kron(a, np.kron(b, c)) for a, b, c in parts)
    mass = bricks.edge**3 * np.kron(hold, np.kron(hold, hold))
    cubes = bricks.cubes()
    count = int(bricks.number.max()) + 1
    return _spread(cubes, stiff, count), _spread(cubes, mass, count)


def _face_matrix(faces: NDArray[np.intp], edge: float, count: int) -> csc_array:
    hold = np.array([[2.0, 1], [1, 2]]) / 6
    return _spread(faces, edge**2 * np.kron(hold, hold), count)


def _spread(cells: NDArray[np.intp], local: Array, count: int) -> csc_array:
    n = cells.shape[1]
    row, column = np.repeat(cells, n, axis=1).ravel(), np.tile(cells, (1, n)).ravel()
    data = np.tile(local.ravel(), len(cells))
    return coo_array((data, (row, column)), shape=(count, count)).tocsc()
