"""A rectangular cavity: the sum of its modes, with the rest of them as a residual."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from basswright.records.car import Car
from basswright.sound.cabin.air import BULK, DENSITY, SPEED
from basswright.sound.cabin.model import ComplexArray, EstimatedCabin, FloatArray
from basswright.sound.cabin.outline import dashboard_x_m
from basswright.sound.cabin.unknowns import Unknowns

#: What is left wrong when the readings are right [dB]; see docs/cabin.md.
_MODEL_SPREAD_DB = 3.0
_CUTOFF_HZ = 450.0
_ACROSS = 16  # cross-section orders of the static residual


@dataclass(frozen=True, kw_only=True)
class RectangularCabin(EstimatedCabin):
    """Modes of a box between two opposite corners, with one loss factor.

    Attributes
    ----------
    name, why : str
    corner_m : ndarray, shape (3,)
        Lowest corner of the box.
    size_m : ndarray, shape (3,)
    ear_m : ndarray, shape (3,)
    loss_factor : float
    leak_corner_hz : float
    volume_m3 : float
        Air volume, where it is not the product of the three sizes.
    """

    corner_m: FloatArray
    size_m: FloatArray
    ear_m: FloatArray
    loss_factor: float
    volume_m3: float
    leak_corner_hz: float = 0.0
    name: str = "modes of a rectangular cabin"
    why: str = "the readings give a length, a width and a height, but no outline"

    def orders(self) -> NDArray[np.intp]:
        """Return the orders (l, m, n) of the modes below the cutoff, shape (k, 3)."""
        most = (2 * self.size_m * _CUTOFF_HZ / SPEED).astype(int) + 1
        grid = np.stack(np.meshgrid(*[np.arange(n + 1) for n in most], indexing="ij"), axis=-1)
        orders = grid.reshape(-1, 3)
        hz = self.mode_hz(orders)
        keep = orders[hz <= _CUTOFF_HZ]
        return np.asarray(keep[np.argsort(self.mode_hz(keep), kind="stable")])

    def mode_hz(self, orders: NDArray[np.intp]) -> FloatArray:
        """Return the frequencies of modes (c/2) sqrt(sum (l/L)²) [Hz]."""
        return np.asarray(SPEED / 2 * np.linalg.norm(orders / self.size_m, axis=1))

    def shapes(self, cone_m: FloatArray) -> FloatArray:
        """Return the modes' shapes and the residual's at n places, shape (n, k + 1)."""
        orders = self.orders()
        place = np.clip(cone_m - self.corner_m, 0, self.size_m)
        ear = np.clip(self.ear_m - self.corner_m, 0, self.size_m)[None]
        mode = self._modes(place, orders)
        wave = np.pi * np.linalg.norm(orders / self.size_m, axis=1)
        static = static_green(place, ear[0], self.size_m)
        inside = mode[:, 1:] @ (self._modes(ear, orders)[0, 1:] / wave[1:] ** 2)
        residual = static - inside / float(np.prod(self.size_m))
        return np.column_stack([mode, residual])

    def spread_db(self, frequency_hz: FloatArray) -> FloatArray:
        """Return what stays wrong even with the right readings [dB]."""
        return np.full(len(frequency_hz), _MODEL_SPREAD_DB)

    def respond(self, frequency_hz: FloatArray, sample: Unknowns) -> ComplexArray:
        """Return each shape's amplitude [Pa s/m3], shape (draws, f, k + 1)."""
        orders, omega = self.orders(), 2 * np.pi * frequency_hz
        along = (orders / self.size_m)[None] / np.stack(
            [sample.factor("length"), np.ones(len(sample)), np.ones(len(sample))], axis=1
        )[:, None]
        natural = np.pi * SPEED * np.linalg.norm(along, axis=2)[:, None, :]
        loss = (self.loss_factor * sample.factor("loss"))[:, None, None]
        leak = 2 * np.pi * self.leak_corner_hz * sample.factor("leak")[:, None, None]
        pole = natural**2 * (1 + 1j * loss) - omega[:, None] ** 2
        pole = pole + 1j * omega[:, None] * leak * (natural == 0)
        ear = self.ear_m + sample.ear_m - self.corner_m
        reach = self._modes(np.clip(ear, 0, self.size_m), orders)
        volume = (self.volume_m3 * sample.factor("volume"))[:, None, None]
        mode = 1j * omega[:, None] * BULK / volume * reach[:, None, :] / pole
        rest = np.broadcast_to((1j * omega * DENSITY)[None, :, None], (*mode.shape[:2], 1))
        return np.concatenate([mode, rest], axis=2)

    def _modes(self, place: FloatArray, orders: NDArray[np.intp]) -> FloatArray:
        phase = np.pi * place[:, None, :] / self.size_m * orders
        scale = np.sqrt(np.where(orders > 0, 2.0, 1.0)).prod(axis=1)
        return np.asarray(scale * np.cos(phase).prod(axis=2))


def static_green(place: FloatArray, ear: FloatArray, size_m: FloatArray) -> FloatArray:
    """Sum of psi(place) psi(ear) / (k_n² V) over every mode but the zeroth [1/m].

    The sum over the order along the car is done in closed form, as a cosine-hyperbolic
    pair for each order across and up and as a parabola for the plane one; the rest
    converges like exp(-distance).

    Parameters
    ----------
    place : ndarray, shape (n, 3)
        Points in the box, from its lowest corner [m].
    ear : ndarray, shape (3,)
    size_m : ndarray, shape (3,)

    References
    ----------
    Morse and Ingard, Theoretical Acoustics, section 9.5 (Green's function of a
    rectangular room); Gradshteyn and Ryzhik 1.443 and 1.445 for the sums of cosines.
    """
    long, wide, high = size_m
    m, n = (grid.ravel() for grid in np.meshgrid(np.arange(_ACROSS), np.arange(_ACROSS)))
    decay = np.pi * np.hypot(m / wide, n / high)[1:]
    m, n = m[1:], n[1:]
    weight = np.where(m > 0, 2.0, 1.0) * np.where(n > 0, 2.0, 1.0)
    weight = weight * np.cos(np.pi * m * ear[1] / wide) * np.cos(np.pi * n * ear[2] / high)
    across = np.cos(np.pi * place[:, 1:2] * m / wide) * np.cos(np.pi * place[:, 2:] * n / high)
    apart = np.abs(place[:, 0] - ear[0])[:, None]
    mirror = (place[:, 0] + ear[0])[:, None]
    shrink = -np.expm1(-2 * decay * long)
    near = np.exp(-decay * apart) + np.exp(-decay * (2 * long - apart))
    far = np.exp(-decay * mirror) + np.exp(-decay * (2 * long - mirror))
    plane = _plane_sum(place[:, 0], float(ear[0]), float(long))
    area = float(wide * high)
    return np.asarray(
        plane / area + (across * (near + far)) @ (weight / (2 * decay * shrink)) / area
    )


def _plane_sum(x: FloatArray, ear: float, long: float) -> FloatArray:
    """Sum over l > 0 of (2/L) cos cos / (l pi / L)² [m]."""

    def series(angle: FloatArray) -> FloatArray:
        return np.asarray(np.pi**2 / 6 - np.pi * angle / 2 + angle**2 / 4)

    difference = np.pi * np.abs(x - ear) / long
    total = np.pi * (x + ear) / long
    folded = np.where(total > np.pi, 2 * np.pi - total, total)
    return np.asarray(long / np.pi**2 * (series(difference) + series(folded)))


def rectangular_cabin(car: Car, why: str) -> RectangularCabin:
    """Return the rectangular model of a car, from its lengths alone."""
    cabin = car.cabin
    size = np.array([cabin.length_m, cabin.width_m, cabin.height_m])
    front = dashboard_x_m(car)
    floor = min(0.0, car.listener.ear_z_m + 0.2 - cabin.height_m)
    ear = np.array([car.listener.ear_x_m, car.listener.ear_y_m, car.listener.ear_z_m])
    return RectangularCabin(
        corner_m=np.array([front - size[0], -size[1] / 2, floor]),
        size_m=size,
        ear_m=ear,
        loss_factor=cabin.loss_factor,
        volume_m3=cabin.volume_m3,
        leak_corner_hz=cabin.leak_corner_hz,
        why=why,
    )
