"""The simplest cabin: a pressure zone below the first mode, with leak, give and boot."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from basswright.records.car import Cabin
from basswright.records.space import BootSpace
from basswright.sound.cabin.air import BULK
from basswright.sound.cabin.bulkhead import in_boot
from basswright.sound.cabin.model import ComplexArray, EstimatedCabin, FloatArray
from basswright.sound.cabin.unknowns import Unknowns
from basswright.sound.cabin.walls import (
    BULKHEAD,
    PANELS,
    bulkhead_admittance,
    hole_admittance,
    leak_admittance,
    lining_admittance,
    panel_admittance,
)

#: What is left wrong when the readings are right [dB]; see docs/cabin.md.
_MODEL_SPREAD_DB = 4.0


@dataclass(frozen=True, kw_only=True)
class PressureZone(EstimatedCabin):
    """Cabin and boot as one or two volumes of air without any extent.

    Attributes
    ----------
    name, why : str
    readings : Cabin
    space : BootSpace or None
        Tells cabin from boot; None takes every box to be in the cabin.
    rigid : bool
        Without leak and give: the upper bound ρc²/(jωV).
    """

    readings: Cabin
    space: BootSpace | None = None
    rigid: bool = False
    name: str = "sealed pressure zone"
    why: str = "no outline; right only well below the first mode of the cabin"

    def shapes(self, cone_m: FloatArray) -> FloatArray:
        """Return which of the two volumes each place lies in, shape (n, 2)."""
        if self.space is None or self.readings.boot_volume_m3 <= 0:
            return np.tile([1.0, 0.0], (len(cone_m), 1))
        behind = in_boot(self.space, cone_m)
        return np.stack([~behind, behind], axis=1).astype(float)

    def spread_db(self, frequency_hz: FloatArray) -> FloatArray:
        """Return what stays wrong even with the right readings [dB]."""
        return np.full(len(frequency_hz), _MODEL_SPREAD_DB)

    def respond(self, frequency_hz: FloatArray, sample: Unknowns) -> ComplexArray:
        """Solve the two-node network of volumes, walls, seals and openings."""
        omega, readings = 2 * np.pi * frequency_hz, self.readings
        compliance = readings.volume_m3 / BULK * sample.factor("volume")[:, None]
        cabin = 1j * omega * compliance
        if not self.rigid:
            cabin = cabin + leak_admittance(readings, omega, sample)
            cabin = cabin + _give(readings, omega, sample)
        if readings.boot_volume_m3 <= 0:
            return np.stack([1 / cabin, 1 / cabin], axis=-1)
        boot = 1j * omega * readings.boot_volume_m3 / BULK
        flow = hole_admittance(readings, omega, sample, seeps=not self.rigid)
        if not self.rigid:
            flow = flow + sum(bulkhead_admittance(name, omega, sample) for name in BULKHEAD)
        series = cabin + boot + cabin * boot / flow
        return np.stack([(1 + boot / flow) / series, 1 / series], axis=-1)


def _give(readings: Cabin, omega: FloatArray, sample: Unknowns) -> ComplexArray:
    long, wide, high = readings.length_m, readings.width_m, readings.height_m
    area = {
        "floor": long * wide,
        "roof": 0.7 * long * wide,
        "sides": 2 * long * high,
        "rear": wide * high,
        "front": 0.5 * wide * high,
        "screen": 0.3 * long * wide,
    }
    total = np.zeros((len(sample), len(omega)), dtype=complex)
    for name, size in area.items():
        give = panel_admittance(PANELS[name], name, omega, sample)
        total += size * (give + lining_admittance(omega, sample))
    return total
