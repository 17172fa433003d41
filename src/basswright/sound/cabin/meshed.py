"""The cabin as finite elements on its outline, with a closed-off boot beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from basswright.records.car import Cabin, Car
from basswright.records.space import BootSpace
from basswright.sound.cabin.air import DENSITY, SPEED
from basswright.sound.cabin.bulkhead import bulkhead_points, in_boot
from basswright.sound.cabin.cavity import Cavity, ReducedCavity, cavity_of
from basswright.sound.cabin.model import ComplexArray, EstimatedCabin, FloatArray
from basswright.sound.cabin.outline import boot_outline, cabin_outline, has_closed_boot
from basswright.sound.cabin.rear import rear_of
from basswright.sound.cabin.unknowns import Unknowns
from basswright.sound.cabin.walls import (
    PANELS,
    SPREAD_LOSS,
    bulkhead_admittance,
    leak_admittance,
    lining_admittance,
    panel_admittance,
    seat_mobility,
    seat_spring,
)

#: What is left wrong when the readings are right [dB]; see docs/cabin.md.
_MODEL_SPREAD_DB = 2.0


@dataclass(frozen=True, kw_only=True)
class MeshedCabin(EstimatedCabin):
    """Modes of the meshed outline, walls that give, leak and damp, and the boot.

    Attributes
    ----------
    name, why : str
    cabin : ReducedCavity
    boot : ReducedCavity or None
    ear_m : ndarray, shape (3,)
    readings : Cabin
    space : BootSpace
    volume_factor : float
        The volume that was read over the volume of the mesh.
    drawn_from : str
        The car that the outline was drawn from, as JSON.
    """

    name: str
    why: str
    cabin: ReducedCavity
    boot: ReducedCavity | None
    ear_m: FloatArray
    readings: Cabin
    space: BootSpace
    volume_factor: float
    drawn_from: str

    def at_ear(self, ear_m: FloatArray) -> MeshedCabin:
        """Return the same cabin heard from another place, in a few milliseconds."""
        cavity, _ = _cavities(self.drawn_from)
        return replace(self, cabin=cavity.reduced(ear_m[None]), ear_m=ear_m)

    def shapes(self, cone_m: FloatArray) -> FloatArray:
        """Return the shapes at n places, shape (n, r); the boot's follow the cabin's."""
        inside = self.cabin.shapes(cone_m)
        if self.boot is None:
            return inside
        behind = in_boot(self.space, cone_m)[:, None]
        return np.hstack([inside * ~behind, self.boot.shapes(cone_m) * behind])

    @property
    def spread_db(self) -> float:
        """What stays wrong even with the right readings [dB]."""
        return _MODEL_SPREAD_DB

    def respond(self, frequency_hz: FloatArray, sample: Unknowns) -> ComplexArray:
        """Return the amplitudes for given values of the unknowns, shape (draws, f, r)."""
        omega = 2 * np.pi * frequency_hz
        system = self._space_matrix(self.cabin, omega, sample, self.volume_factor)
        leak = leak_admittance(self.readings, omega, sample)
        seals = self.cabin.walls["sides"] + self.cabin.walls["rear"]
        area = max(_area(self.cabin, seals), 1e-6)
        system = system + (1j * omega * DENSITY * leak / area)[..., None, None] * seals
        load = self.cabin.shapes(self.ear_m + sample.ear_m)[:, None, :]
        if self.boot is not None:
            system, load = self._with_boot(system, load, omega, sample)
        load = load * (1j * omega * DENSITY)[:, None]
        return np.asarray(np.linalg.solve(system, load[..., None])[..., 0])

    def _space_matrix(
        self, space: ReducedCavity, omega: FloatArray, sample: Unknowns, volume: float
    ) -> ComplexArray:
        part = space.volumes
        loss = SPREAD_LOSS * self.readings.loss_factor
        along = (sample.factor("length") ** -2)[:, None, None]
        elastic = along * part["kx"] + (part["ky"] + part["kz"])
        damped = elastic * (1 + 1j * loss * sample.factor("loss"))[:, None, None]
        foam = seat_mobility(omega, sample)[..., None, None] * part["k_seat"]
        mass = part["m"] + seat_spring() * part["m_seat"]
        wave = ((omega / SPEED) ** 2)[:, None, None] * mass
        size = (volume * sample.factor("volume"))[:, None, None, None]
        out = size * (damped[:, None] + foam - wave)
        lining = lining_admittance(omega)
        for name, panel in PANELS.items():
            give = panel_admittance(panel, name, omega, sample) + lining
            out = out + (1j * omega * DENSITY * give)[..., None, None] * space.walls[name]
        return np.asarray(out)

    def _with_boot(
        self, system: ComplexArray, load: FloatArray, omega: FloatArray, sample: Unknowns
    ) -> tuple[ComplexArray, FloatArray]:
        boot = self.boot
        assert boot is not None
        volume = self.readings.boot_volume_m3 / _volume(boot)
        behind = self._space_matrix(boot, omega, sample, volume)
        inside = system.shape[-1]
        size = inside + behind.shape[-1]
        whole = np.zeros((*system.shape[:2], size, size), dtype=complex)
        whole[..., :inside, :inside] = system
        whole[..., inside:, inside:] = behind
        front, back = bulkhead_points(self.space)
        across = np.concatenate(
            [self.cabin.shapes(front).mean(axis=0), -boot.shapes(back).mean(axis=0)]
        )
        flow = bulkhead_admittance(self.readings, omega, sample)
        whole += (1j * omega * DENSITY * flow)[..., None, None] * np.outer(across, across)
        padding = np.zeros((*load.shape[:2], size - inside))
        return whole, np.concatenate([load, padding], axis=-1)


def meshed_cabin(car: Car) -> MeshedCabin:
    """Mesh a car's cabin (and its closed-off boot) and reduce it for the driver's ear.

    Raises
    ------
    InputError
        The readings contradict each other.
    """
    ear = np.array([car.listener.ear_x_m, car.listener.ear_y_m, car.listener.ear_z_m])
    drawn_from = car.model_copy(update={"origins": {}, "cabin_measurement": None}).model_dump_json()
    cavity, boot = _cavities(drawn_from)
    cabin = cavity.reduced(ear[None])
    closed = boot.reduced(bulkhead_points(rear_of(car))[1].mean(axis=0)[None]) if boot else None
    where = "with the boot as a second space" if boot else "load space included"
    return MeshedCabin(
        name="finite elements on the cabin's outline",
        why=f"the tape readings give an outline ({where}); panels, leak and damping are estimates",
        cabin=cabin,
        boot=closed,
        ear_m=ear,
        readings=car.cabin,
        space=rear_of(car),
        volume_factor=car.cabin.volume_m3 / _volume(cabin),
        drawn_from=drawn_from,
    )


@lru_cache(maxsize=16)
def _cavities(car_json: str) -> tuple[Cavity, Cavity | None]:
    car = Car.model_validate_json(car_json)
    cabin = cavity_of(cabin_outline(car))
    if not has_closed_boot(car.cabin):
        return cabin, None
    return cabin, cavity_of(boot_outline(car.cabin, rear_of(car)), modes=12)


def _volume(space: ReducedCavity) -> float:
    """Free air of a space: the integral of 1, which the zeroth mode holds [m3]."""
    return float(_one(space) @ space.volumes["m"] @ _one(space))


def _area(space: ReducedCavity, wall: FloatArray) -> float:
    return float(_one(space) @ wall @ _one(space))


def _one(space: ReducedCavity) -> FloatArray:
    """Return the amplitudes that make a pressure of 1 everywhere."""
    at_node = space.shape_at_dof.mean(axis=0)
    out = np.zeros(len(at_node))
    out[0] = 1 / at_node[0]
    return out
