"""Cabin and boot as one set of small matrices, with a coefficient for each of them.

The unknowns, the frequency and the admittances of walls enter through the coefficients
alone, so that many draws are one product of matrices and a row of small systems.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from basswright.records.car import Cabin
from basswright.sound.cabin.air import DENSITY, SPEED
from basswright.sound.cabin.cavity import ReducedCavity
from basswright.sound.cabin.unknowns import Unknowns
from basswright.sound.cabin.walls import (
    BOOT_PANELS,
    BULKHEAD,
    PANELS,
    SPREAD_LOSS,
    bulkhead_admittance,
    leak_admittance,
    lining_admittance,
    panel_admittance,
    seat_mobility,
    seat_spring,
)

FloatArray = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

_AIR: Final = ("along", "across", "seats", "air")


@dataclass(frozen=True, kw_only=True)
class Coupled:
    """Matrices of one or two spaces between r shapes.

    Attributes
    ----------
    names : tuple of str
        What each matrix stands for.
    stack : ndarray, shape (t, r, r)
    seals_m2 : float
        Area of the walls that leak.
    """

    names: tuple[str, ...]
    stack: FloatArray
    seals_m2: float

    def system(self, readings: Cabin, omega: FloatArray, sample: Unknowns) -> ComplexArray:
        """Return the matrices of the whole for every draw and frequency, (d, f, r, r)."""
        weight = _coefficients(readings, omega, sample, self.seals_m2)
        shape = (len(sample), len(omega))
        chosen = np.stack([np.broadcast_to(weight[name], shape) for name in self.names], axis=-1)
        flat = self.stack.reshape(len(self.names), -1)
        out = np.empty((len(sample) * len(omega), flat.shape[1]), dtype=complex)
        rows = chosen.reshape(-1, len(self.names))
        out.real = np.ascontiguousarray(rows.real) @ flat
        out.imag = np.ascontiguousarray(rows.imag) @ flat
        return out.reshape(*shape, *self.stack.shape[1:])


def coupled(spaces: list[tuple[ReducedCavity, float]], across: dict[str, FloatArray]) -> Coupled:
    """Put spaces into one set of matrices.

    Parameters
    ----------
    spaces : list of tuple
        The cabin and, where it is closed off, the boot; each with the factor between
        the volume that was read and the volume of its mesh.
    across : dict of str to ndarray, shape (r,)
        For every part of the bulkhead the mean of the shapes before it less behind it.
    """
    size = sum(len(space.volumes["m"]) for space, _ in spaces)
    total = {name: np.zeros((size, size)) for name in (*_AIR, *PANELS, "seals", "lining")}
    start, seals_m2 = 0, 1e-6
    for number, (space, volume) in enumerate(spaces):
        part = space.volumes
        place = np.s_[start : start + len(part["m"]), start : start + len(part["m"])]
        total["along"][place] = volume * part["kx"]
        total["across"][place] = volume * (part["ky"] + part["kz"])
        total["seats"][place] = volume * part["k_seat"]
        total["air"][place] = volume * (part["m"] + seat_spring() * part["m_seat"])
        for surface, wall in space.walls.items():
            total[BOOT_PANELS[surface] if number else surface][place] += wall
            total["lining"][place] += wall
        if number == 0:
            seals = space.walls["sides"] + space.walls["rear"]
            total["seals"][place] = seals
            seals_m2 = max(space.integral(seals), 1e-6)
        start += len(part["m"])
    total.update({name: np.outer(step, step) for name, step in across.items()})
    return Coupled(names=tuple(total), stack=np.stack(list(total.values())), seals_m2=seals_m2)


def _coefficients(
    readings: Cabin, omega: FloatArray, sample: Unknowns, seals_m2: float
) -> dict[str, ComplexArray]:
    """What each matrix is multiplied by, broadcast against (draws, f)."""
    loss = SPREAD_LOSS * readings.loss_factor * sample.factor("loss")[:, None]
    size = sample.factor("volume")[:, None]
    elastic = size * (1 + 1j * loss)
    give = 1j * omega * DENSITY
    out = {
        "along": elastic * sample.factor("length")[:, None] ** -2,
        "across": elastic,
        "seats": size * seat_mobility(omega, sample),
        "air": -size * (omega / SPEED) ** 2 + 0j,
        "seals": give * leak_admittance(readings, omega, sample) / seals_m2,
        "lining": give * lining_admittance(omega, sample),
    }
    for name, panel in PANELS.items():
        out[name] = give * panel_admittance(panel, name, omega, sample)
    for name in BULKHEAD:
        out[name] = give * bulkhead_admittance(name, omega, sample)
    return out
