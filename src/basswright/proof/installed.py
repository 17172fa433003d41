"""The installed system as a model whose faults can be tried."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from basswright.choose.amplifiers import with_known_load
from basswright.proof.near import (
    AFAR_DB,
    BOOT_DB,
    CLOSE_DB,
    ROOM_DB,
    near_field,
    passing,
    surroundings,
)
from basswright.proof.plant import Change, Complex, Facts, Floats
from basswright.records.car import Car
from basswright.records.enclosure import Enclosure
from basswright.records.job import Job
from basswright.records.space import BootSpace, LoadSpace
from basswright.records.system import Option
from basswright.sound import box_models
from basswright.sound.cabin import CabinModel, cabin_for
from basswright.sound.cabin.spread import smooth_errors
from basswright.sound.models import BoxModels
from basswright.sound.network import coil_impedance, solve
from basswright.sound.wiring import RE_SHARE, wiring_factor

#: Twelve an octave, 16 to 121 Hz.
FREQUENCY_HZ = 16.0 * 2 ** (np.arange(36) / 12)
_BATTERY_OHM = 0.006  # warm starter battery and its terminals; from memory


@dataclass(frozen=True, kw_only=True)
class InstalledSystem:
    """A :class:`~basswright.proof.plant.Plant` made of the box and cabin models.

    Attributes
    ----------
    car : Car
    enclosure : Enclosure
    cone_m : tuple of float
        Where the cone is, in the frame of the load space.
    facts : Facts
    draws : int
        d: the middle and d - 1 cases of what sheet and tape leave open.
    frequency_hz : ndarray, shape (f,)
    """

    car: Car
    enclosure: Enclosure
    cone_m: tuple[float, float, float]
    facts: Facts
    draws: int = 64
    frequency_hz: Floats = field(default_factory=FREQUENCY_HZ.copy)

    def pressure(self, change: Change) -> Complex:
        """Return the pressure at the ear for 1 V [Pa/V], shape (d, f)."""
        return self._flows(change) * self._transfer(change)

    def flow(self, change: Change) -> Complex:
        """Return the volume velocity for 1 V [m3/(s V)], middle draw, shape (f,)."""
        return np.asarray(self._flows(change)[0])

    def impedance(self, change: Change) -> Complex:
        """Return the impedance at the terminals [ohm], middle draw, shape (f,)."""
        return np.asarray(self._solved(change)[1][0])

    def near(self, change: Change) -> Complex:
        """Return the pressure where the plan has the cone [Pa/V], shape (d, f).

        The draws also vary how much the room adds and how far a moved cone is.
        """
        models, grid = self.models, self.frequency_hz
        total, _, speed = self._solved(change)
        area = models.Sd_m2[0][:, None]
        away = float(np.linalg.norm(change.moved_m))
        room = surroundings(grid, self.car.cabin, opening_share=change.boot_opening_share)
        unsure = BOOT_DB if self.facts.has_boot else ROOM_DB
        around = total * room * smooth_errors(grid, self.draws, 11, spread_db=unsure)
        if away > 0:
            afar = smooth_errors(grid, self.draws, 12, spread_db=AFAR_DB)
            return np.asarray(around + passing(grid, area * speed, away) * afar)
        count = int(models.count[0])
        one = float(models.Sd_m2[0, 0]) / count
        close = smooth_errors(grid, self.draws, 13, spread_db=CLOSE_DB, octaves=2.0)
        return np.asarray(around + near_field(grid, area / count * speed, one) * close)

    @cached_property
    def models(self) -> BoxModels:
        """Circuit of the box, middle and draws."""
        return box_models((self.enclosure,), draws=self.draws)

    @cached_property
    def cabin(self) -> CabinModel:
        """The cabin as planned."""
        return cabin_for(self.car)

    @cached_property
    def _transfers(self) -> dict[tuple[tuple[float, float, float], float], Complex]:
        """Transfer from every place that is known beforehand, found in one go."""
        moves = ((0.0, 0.0, 0.0), *self.facts.moves_m)
        found = self._from_places(self.cabin, moves)
        return {(move, 1.0): part for move, part in zip(moves, found, strict=True)}

    def _transfer(self, change: Change) -> Complex:
        key = (change.moved_m, change.boot_opening_share)
        if key not in self._transfers:
            area = self.car.cabin.boot_opening_m2 * change.boot_opening_share
            readings = self.car.cabin.model_copy(update={"boot_opening_m2": area})
            cabin = cabin_for(self.car.model_copy(update={"cabin": readings}))
            self._transfers[key] = self._from_places(cabin, (change.moved_m,))[0]
        return self._transfers[key]

    def _from_places(
        self, cabin: CabinModel, moves: tuple[tuple[float, float, float], ...]
    ) -> Complex:
        places = np.add(self.cone_m, moves)
        return cabin.transfer(self.frequency_hz, places, draws=self.draws)

    def _flows(self, change: Change) -> Complex:
        return self._solved(change)[0]

    def _solved(self, change: Change) -> tuple[Complex, Complex, Complex]:
        """Return volume velocity, impedance and speed of a cone for 1 V, each (d, f)."""
        models = self._changed(change)
        s = np.asarray(2j * np.pi * self.frequency_hz, dtype=np.complex128)
        if change.opposed_share is None:
            answer = solve(models, s)
            return answer.total_m3_per_s[0], answer.impedance_ohm[0], answer.cone_m_per_s[0]
        # Cones that work against each other leave the air of the box at rest.
        coil = coil_impedance(models, s)[0]
        Bl, mass, stiffness, loss, area = (
            values[0][:, None]
            for values in (
                models.Bl_tm,
                models.Mms_kg,
                1 / models.Cms_m_per_n,
                models.Rms_kg_per_s,
                models.Sd_m2,
            )
        )
        mechanical = s * mass + loss + stiffness / s
        speed = Bl / (coil * mechanical + Bl**2)
        return change.opposed_share * area * speed, coil + Bl**2 / mechanical, speed

    def _changed(self, change: Change) -> BoxModels:
        models = self.models
        if change.coil_share != 1.0:
            models = replace(
                models,
                Re_ohm=models.Re_ohm / change.coil_share,
                coil_K=models.coil_K / change.coil_share,
            )
        if change.leak_Q is not None:
            rear = models.rear
            leak = _resonance(models) * rear.compliance / change.leak_Q
            models = replace(models, rear=replace(rear, leak=leak))
        return models


def installed(job: Job, option: Option, *, draws: int = 64) -> InstalledSystem:
    """Return the model of what was fitted, from the job and the chosen system."""
    return InstalledSystem(
        car=job.car,
        enclosure=with_known_load(option.enclosure),
        cone_m=option.placement.cone,
        facts=facts_of(job, option),
        draws=draws,
    )


def facts_of(job: Job, option: Option) -> Facts:
    """Return what the faults depend on.

    A sheet seldom says how many coils a box has: two are assumed, so that a wrong wiring
    stays possible; the resistance at the terminals tells.
    """
    match, supply, amplifier = option.match, option.supply, option.amplifier
    load_volts = math.sqrt(match.available_w * match.load_ohm)
    feed = supply.drop_v / supply.peak_current_a if supply.peak_current_a > 0 else 0.015
    return Facts(
        drivers=option.enclosure.driver.count,
        coils=max(2, option.enclosure.driver.count),
        in_series=None,
        low_pass_hz=job.wish.crossover_hz,
        gain_voltage_v=match.gain_voltage_v,
        amplifier_voltage_v=max(load_volts, match.gain_voltage_v),
        rated_supply_v=(amplifier.rated_voltage_v if amplifier else None) or 14.4,
        supply_v=job.car.charging.running_voltage_v,
        efficiency_share=(amplifier.efficiency_share if amplifier else None) or 0.78,
        supply_ohm=max(feed, 1e-3) + _BATTERY_OHM,
        has_boot=job.car.cabin.boot_opening_m2 > 0 and job.car.cabin.boot_volume_m3 > 0,
        moves_m=moves_of(job.car, option.placement.cone, option.placement.centre),
        resistance_ohm=resistance_of(option),
    )


def resistance_of(option: Option) -> float:
    """Return the direct-current resistance at the terminals as planned [ohm].

    From the coils' own and how they are joined; from the load where the sheet is silent.
    """
    box, load = with_known_load(option.enclosure), option.match.load_ohm
    one = box.driver.Re_ohm
    factor = wiring_factor(box.driver, box.load_ohm)
    if one is None or box.load_ohm is None or not math.isfinite(factor):
        return RE_SHARE * load
    return one * factor * load / box.load_ohm


def moves_of(
    car: Car, cone: tuple[float, float, float], centre: tuple[float, float, float]
) -> tuple[tuple[float, float, float], ...]:
    """Return shifts of the cone that stay inside the load space: turned, and moved."""
    reach = np.subtract(cone, centre)
    out = float(np.linalg.norm(reach))
    turned = [-2 * reach, np.array([out, 0, 0]) - reach, np.array([-out, 0, 0]) - reach]
    turned += [np.array([0, 0, out]) - reach]
    moved = [
        np.array([along, across, up])
        for along in (-0.6, -0.3, 0.0, 0.3, 0.6)
        for across in (-0.4, 0.0, 0.4)
        for up in (0.0, 0.25)
    ]
    low, high = _reach_of(car.load_space, cone)
    kept: list[tuple[float, float, float]] = []
    for shift in turned + moved:
        place = np.add(cone, shift)
        inside = bool(np.all(place >= low) and np.all(place <= high))
        rounded = tuple(float(value) for value in np.round(shift, 2))
        if inside and np.linalg.norm(shift) > 0.15 and rounded not in kept:
            kept.append((rounded[0], rounded[1], rounded[2]))
    return tuple(kept)


def _reach_of(space: LoadSpace, cone: tuple[float, float, float]) -> tuple[Floats, Floats]:
    """Return the corners of where a cone may be: the boot, or a little around the plan."""
    if isinstance(space, BootSpace):
        half = space.width_floor_m / 2 - 0.05
        low = (-space.depth_floor_m + 0.05, -half, 0.05)
        return np.array(low), np.array((-0.02, half, space.height_m))
    return np.subtract(cone, (0.45, 0.45, 0.1)), np.add(cone, (0.45, 0.45, 0.3))


def _resonance(models: BoxModels) -> Floats:
    """Return the tuning, or the resonance of a closed box [rad/s]."""
    tuning = models.tuning_hz
    volume = np.where(models.rear.volume_m3 > 0, models.rear.volume_m3, np.inf)
    closed = models.fs_hz * np.sqrt(1 + models.Vas_m3 / volume)
    return np.asarray(2 * np.pi * np.where(tuning > 0, tuning, closed))
