"""The cabin as finite elements on its outline, with a closed-off boot beside it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from basswright.records.car import Cabin, Car
from basswright.records.space import BootSpace
from basswright.sound.cabin.air import DENSITY
from basswright.sound.cabin.bulkhead import hole_points, in_boot, wall_points
from basswright.sound.cabin.cavity import Cavity, ReducedCavity, cavity_of
from basswright.sound.cabin.coupled import Coupled, coupled
from basswright.sound.cabin.model import ComplexArray, EstimatedCabin, FloatArray
from basswright.sound.cabin.outline import boot_outline, cabin_outline, has_closed_boot
from basswright.sound.cabin.rear import rear_of
from basswright.sound.cabin.unknowns import Unknowns
from basswright.sound.cabin.walls import BULKHEAD, MESHED_END_RADII, hole_admittance

#: What is left wrong when the readings are right: at these frequencies [ln Hz] so many
#: dB; see docs/cabin.md.
_MODEL_SPREAD = (np.log([20.0, 40.0, 80.0, 160.0]), (0.6, 1.4, 2.8, 4.0))
# Modes kept of cabin and boot: up to about 250 Hz, for answers up to about 120 Hz.
_MODES = (28, 8)


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

    def spread_db(self, frequency_hz: FloatArray) -> FloatArray:
        """Return what stays wrong even with the right readings [dB]."""
        return np.asarray(np.interp(np.log(frequency_hz), *_MODEL_SPREAD))

    def respond(self, frequency_hz: FloatArray, sample: Unknowns) -> ComplexArray:
        """Return the amplitudes for given values of the unknowns, shape (draws, f, r)."""
        omega = 2 * np.pi * frequency_hz
        system = self._air.system(self.readings, omega, sample)
        load = self.cabin.shapes(self.ear_m + sample.ear_m)
        if self.boot is not None:
            across = self._hole_step(sample)
            flow = hole_admittance(self.readings, omega, sample, end_radii=MESHED_END_RADII)
            flow = 1j * omega * DENSITY * flow
            system += flow[..., None, None] * (across[:, None, :, None] * across[:, None, None, :])
            load = np.hstack([load, np.zeros((len(load), across.shape[1] - load.shape[1]))])
        right = load[:, None, :] * (1j * omega * DENSITY)[:, None]
        return np.asarray(np.linalg.solve(system, right[..., None])[..., 0])

    def _hole_step(self, sample: Unknowns) -> FloatArray:
        """Shapes before less behind the holes of the bulkhead, one row a draw."""
        assert self.boot is not None
        front, back = hole_points(self.space, sample.shift_m("hole y"), sample.shift_m("hole z"))
        step = np.hstack([self.cabin.shapes(front), -self.boot.shapes(back)])
        return np.asarray(step.reshape(-1, len(sample), step.shape[1]).mean(axis=0))

    @cached_property
    def _air(self) -> Coupled:
        spaces = [(self.cabin, self.volume_factor)]
        if self.boot is None:
            return coupled(spaces, {})
        spaces.append((self.boot, self.readings.boot_volume_m3 / _volume(self.boot)))
        across = {}
        for name in BULKHEAD:
            front, back = wall_points(self.space, name)
            step = [self.cabin.shapes(front).mean(axis=0), -self.boot.shapes(back).mean(axis=0)]
            across[name] = np.concatenate(step)
        return coupled(spaces, across)


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
    where = "with the boot as a second space" if boot else "load space included"
    return MeshedCabin(
        name="finite elements on the cabin's outline",
        why=f"the tape readings give an outline ({where}); panels, leak and damping are estimates",
        cabin=cabin,
        boot=boot.reduced(np.empty((0, 3))) if boot else None,
        ear_m=ear,
        readings=car.cabin,
        space=rear_of(car),
        volume_factor=car.cabin.volume_m3 / _volume(cabin),
        drawn_from=drawn_from,
    )


@lru_cache(maxsize=16)
def _cavities(car_json: str) -> tuple[Cavity, Cavity | None]:
    car = Car.model_validate_json(car_json)
    cabin = cavity_of(cabin_outline(car), modes=_MODES[0])
    if not has_closed_boot(car.cabin):
        return cabin, None
    return cabin, cavity_of(boot_outline(car.cabin, rear_of(car)), modes=_MODES[1])


def _volume(space: ReducedCavity) -> float:
    """Free air of a space [m3]."""
    return space.integral(space.volumes["m"])
