"""Finite elements of one closed space, reduced to its modes and a residual.

The Helmholtz equation on 27-node bricks (scikit-fem). Everything that is uncertain or
complex (damping, panels, leak, foam, errors of length, width and height) enters only
after the reduction, so that another draw, another ear or another box is cheap.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from basswright.sound.cabin.air import SPEED
from basswright.sound.cabin.mesh import Bricks, bricks_of
from basswright.sound.cabin.outline import Outline, Solid

if TYPE_CHECKING:
    from scipy.sparse import csc_array, csr_array
    from scipy.sparse.linalg import SuperLU
    from skfem import CellBasis

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: Surfaces of a space, as its walls are told apart.
SURFACES: Final = ("floor", "roof", "sides", "rear", "front", "screen")
#: Matrices of the air, by axis; then of the seats.
_VOLUMES: Final = ("kx", "ky", "kz", "m", "k_seat", "m_seat")
_MODES: Final = 44
_SHIFT: Final = (2 * np.pi * 60 / SPEED) ** 2
# Share of the air's mobility and of its springiness: what shuts the dashboard off.
_DASH_MOBILITY: Final = 0.02
_DASH_SPRING: Final = 0.02
_SEAT_MOBILITY: Final = 0.1


@dataclass(frozen=True, kw_only=True)
class ReducedCavity:
    """A space as a few shapes and small symmetric matrices between them.

    With a the shapes' amplitudes, the air obeys (K - k² M) a + jωρ Σ Y_s B_s a = jωρ Q φ
    with K = kx + ky + kz + g k_seat, M = m + b m_seat, and Y_s the wall admittances.

    Attributes
    ----------
    bricks : Bricks
    brick_dofs : ndarray of int, shape (27, bricks)
    shape_at_dof : ndarray, shape (dofs, r)
    volumes : dict of str to ndarray, shape (r, r)
        "kx", "ky", "kz", "m" of the air, "k_seat", "m_seat" of the seats.
    walls : dict of str to ndarray, shape (r, r)
        Integral of the shapes' products over each of :data:`SURFACES` [per m].
    """

    bricks: Bricks
    brick_dofs: IntArray
    shape_at_dof: FloatArray
    volumes: dict[str, FloatArray]
    walls: dict[str, FloatArray]

    def shapes(self, points_m: FloatArray) -> FloatArray:
        """Return the shapes at n points, shape (n, r)."""
        return np.asarray(
            _point_matrix(self.bricks, self.brick_dofs, len(self.shape_at_dof), points_m)
            @ self.shape_at_dof
        )

    def integral(self, matrix: FloatArray) -> float:
        """Return the volume or area that a matrix stands for: the integral of one.

        The zeroth mode is the same everywhere and holds it.
        """
        one = np.zeros(len(matrix))
        one[0] = 1 / float(self.shape_at_dof[:, 0].mean())
        return float(one @ matrix @ one)


@dataclass(frozen=True, kw_only=True)
class Cavity:
    """A space with its full matrices, ready to be reduced for any ear."""

    bricks: Bricks
    brick_dofs: IntArray
    matrices: dict[str, csr_array]
    factor: SuperLU
    modes: FloatArray
    mode_hz: FloatArray
    products: dict[str, FloatArray]

    def reduced(self, points_m: FloatArray) -> ReducedCavity:
        """Reduce to the modes and a residual shape for a source at each of the points.

        The residual is what the modes above the kept ones leave of the static
        response (MacNeal 1971), so that a short sum is right between the modes too.
        """
        load = _point_matrix(self.bricks, self.brick_dofs, len(self.modes), points_m)
        mass = self.matrices["m"] + self.matrices["m_seat"]
        shapes, products = self.modes, self.products
        for row in load.toarray():
            extra = self.factor.solve(row)
            for _ in range(2):
                extra = extra - shapes @ (shapes.T @ (mass @ extra))
            extra = extra / np.sqrt(extra @ (mass @ extra))
            products = {
                key: _bordered(products[key], shapes, extra, self.matrices[key]) for key in products
            }
            shapes = np.column_stack([shapes, extra])
        return ReducedCavity(
            bricks=self.bricks,
            brick_dofs=self.brick_dofs,
            shape_at_dof=shapes,
            volumes={key: products[key] for key in _VOLUMES},
            walls={key: products[key] for key in SURFACES},
        )


def cavity_of(outline: Outline, *, edge_m: float = 0.32, modes: int = _MODES) -> Cavity:
    """Mesh an outline and find its modes with rigid walls.

    Parameters
    ----------
    outline : Outline
    edge_m : float
        Length of the bricks [m].
    modes : int
        How many modes are kept.

    References
    ----------
    Gustafsson and McBain, scikit-fem: a Python package for finite element assembly,
    J. Open Source Software 5(52), 2369, 2020. MacNeal, A hybrid method of component
    mode synthesis, Computers & Structures 1, 581, 1971.
    """
    from scipy.sparse.linalg import LinearOperator, eigsh, splu
    from skfem import Basis, ElementHex2, MeshHex1

    bricks = bricks_of(outline, edge_m=edge_m)
    mesh = MeshHex1(bricks.nodes().T.copy(), bricks.corners().T.copy(), sort_t=False)
    basis = Basis(mesh, ElementHex2(), intorder=4)
    matrices = _volume_matrices(basis, outline.solids)
    matrices.update(_wall_matrices(basis, bricks, outline))
    stiff = matrices["kx"] + matrices["ky"] + matrices["kz"] + _SEAT_MOBILITY * matrices["k_seat"]
    mass = matrices["m"] + matrices["m_seat"]
    shifted: csc_array = (stiff + _SHIFT * mass).tocsc()
    factor = splu(shifted, permc_spec="MMD_AT_PLUS_A", options={"SymmetricMode": True})
    inverse = LinearOperator(shifted.shape, factor.solve, dtype=float)
    start = np.cos(np.arange(shifted.shape[0]))
    count = min(modes, shifted.shape[0] - 2)
    value, vector = eigsh(stiff, k=count, M=mass, sigma=-_SHIFT, OPinv=inverse, v0=start)
    order = np.argsort(value)
    vector = np.ascontiguousarray(vector[:, order])
    return Cavity(
        bricks=bricks,
        brick_dofs=np.asarray(basis.element_dofs, dtype=np.intp),
        matrices=matrices,
        factor=factor,
        modes=vector,
        mode_hz=SPEED / (2 * np.pi) * np.sqrt(np.maximum(value[order], 0)),
        products={key: vector.T @ (matrix @ vector) for key, matrix in matrices.items()},
    )


def _volume_matrices(basis: CellBasis, solids: tuple[Solid, ...]) -> dict[str, csr_array]:
    value = np.stack([np.asarray(fields[0]) for fields in basis.basis], axis=1)
    slope = np.stack([fields[0].grad for fields in basis.basis], axis=2)
    x, y, z = np.asarray(basis.global_coordinates())
    seat = _inside(solids, "seat", x, y, z)
    dash = _inside(solids, "dash", x, y, z) & ~seat
    mobile = np.where(seat, 0.0, np.where(dash, _DASH_MOBILITY, 1.0)) * basis.dx
    spring = np.where(seat, 0.0, np.where(dash, _DASH_SPRING, 1.0)) * basis.dx
    foam = seat * basis.dx
    out = {
        key: _assembled(basis, slope[axis], mobile) for axis, key in enumerate(("kx", "ky", "kz"))
    }
    out["m"] = _assembled(basis, value, spring)
    out["k_seat"] = sum(
        (_assembled(basis, slope[axis], foam) for axis in (1, 2)),
        _assembled(basis, slope[0], foam),
    )
    out["m_seat"] = _assembled(basis, value, foam)
    return out


def _inside(
    solids: tuple[Solid, ...], kind: str, x: FloatArray, y: FloatArray, z: FloatArray
) -> NDArray[np.bool_]:
    inside = np.zeros(x.shape, dtype=bool)
    for solid in solids:
        if solid.kind == kind:
            inside |= solid.holds(x, y, z)
    return inside


def _wall_matrices(basis: CellBasis, bricks: Bricks, outline: Outline) -> dict[str, csr_array]:
    from scipy.sparse import csr_array
    from skfem import FacetBasis

    mesh = basis.mesh
    facets = mesh.boundary_facets()
    surface = _surface_of(mesh.facets[:, facets], bricks, outline)
    out: dict[str, csr_array] = {}
    for number, name in enumerate(SURFACES):
        chosen = facets[surface == number]
        if len(chosen) == 0:
            out[name] = csr_array((basis.N, basis.N))
            continue
        wall = FacetBasis(mesh, basis.elem, facets=chosen, intorder=4)
        value = np.stack([np.asarray(fields[0]) for fields in wall.basis], axis=1)
        out[name] = _assembled(wall, value, wall.dx)
    return out


def _surface_of(corner: IntArray, bricks: Bricks, outline: Outline) -> IntArray:
    nx, ny, nz = bricks.counts
    i, rest = np.divmod(corner, (ny + 1) * (nz + 1))
    j, k = np.divmod(rest, nz + 1)
    x = bricks.x_m[i].mean(axis=0)
    top = outline.roof_m.max()
    full = outline.x_m[outline.roof_m > top - 0.02]
    tests = {
        "floor": np.all(k == 0, axis=0),
        "roof": np.all(k == nz, axis=0),
        "sides": np.all(j == 0, axis=0) | np.all(j == ny, axis=0),
        "rear": np.all(i == 0, axis=0),
        "front": np.all(i == nx, axis=0),
    }
    tests["screen"] = tests["roof"] & (x > full.max())
    tests["rear"] = tests["rear"] | (tests["roof"] & (x < full.min()))
    surface = np.zeros(corner.shape[1], dtype=np.intp)
    for number, name in enumerate(SURFACES):
        surface[tests[name]] = number
    surface[tests["rear"]] = SURFACES.index("rear")
    return surface


def _assembled(basis: CellBasis, field: FloatArray, weight: FloatArray) -> csr_array:
    """Sum field_i field_j weight over every element's points into a sparse matrix."""
    from scipy.sparse import coo_array

    local = np.matmul(field * weight[:, None, :], field.transpose(0, 2, 1))
    dofs = np.asarray(basis.element_dofs).T
    row = np.broadcast_to(dofs[:, :, None], local.shape)
    column = np.broadcast_to(dofs[:, None, :], local.shape)
    places = (row.ravel(), column.ravel())
    return coo_array((local.ravel(), places), shape=(basis.N, basis.N)).tocsr()


def _bordered(
    product: FloatArray, shapes: FloatArray, extra: FloatArray, matrix: csr_array
) -> FloatArray:
    pushed = matrix @ extra
    side = shapes.T @ pushed
    return np.block([[product, side[:, None]], [side[None, :], np.array([[extra @ pushed]])]])


def _point_matrix(
    bricks: Bricks, brick_dofs: IntArray, dofs: int, points_m: FloatArray
) -> csr_array:
    """Return the matrix that reads a field at points, shape (n, dofs)."""
    from scipy.sparse import csr_array

    brick, local = bricks.locate(points_m)
    value = _brick_functions(local)
    columns = brick_dofs[:, brick].T
    start = np.arange(0, 27 * len(points_m) + 1, 27)
    return csr_array((value.ravel(), columns.ravel(), start), shape=(len(points_m), dofs))


def _brick_functions(local: FloatArray) -> FloatArray:
    """Return the 27 triquadratic functions at places in the brick, shape (n, 27)."""
    from skfem import ElementHex2

    place = np.rint(2 * ElementHex2.doflocs).astype(int)
    s = local[:, :, None]
    nodes = np.concatenate([(1 - s) * (1 - 2 * s), 4 * s * (1 - s), s * (2 * s - 1)], axis=2)
    x, y, z = (nodes[:, axis, :][:, place[:, axis]] for axis in range(3))
    return np.asarray(x * y * z)
