"""How the inside of a demo box is laid out around its cones: volume, port, radiators."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from basswright.catalogue.demo.hidden import RHO, C, Columns, Cones, Floats, Ints
from basswright.records.enclosure import BoxKind

#: Net volume per cone of a closed box, by size. Common practice, no source.
_CLOSED_M3 = np.array([[8.0, 18.0], [14.0, 28.0], [20.0, 45.0], [40.0, 80.0]]) * 1e-3
_GROWTH: dict[BoxKind, tuple[float, float]] = {
    "closed": (1.0, 1.0),
    "vented": (1.5, 2.0),
    "passive-radiator": (1.4, 1.9),
    "bandpass": (0.75, 1.0),
}
#: End correction of a tube with one flanged and one free end, in diameters.
#: Levine and Schwinger 1948 (0.6133 r) and Rayleigh (0.8488 r).
_END_DIAMETERS = (0.6133 + 0.8488) / 2


@dataclass(frozen=True, kw_only=True)
class Port(Columns):
    """Columns of ports: a slot or one or two tubes for each box; no area if it has none."""

    is_slot: NDArray[np.bool_]
    count: Ints
    area_m2: Floats
    length_m: Floats
    flared: NDArray[np.bool_]

    @property
    def end_correction_m(self) -> Floats:
        """What the air at both ends adds to the length [m]."""
        each = self.area_m2 / self.count
        return np.asarray(_END_DIAMETERS * 2 * np.sqrt(each / np.pi), float)

    @property
    def taken_m3(self) -> Floats:
        """Volume of air and walls inside the box [m3]."""
        return 1.2 * self.area_m2 * self.length_m


def wanted_volume(rng: Generator, kind: BoxKind, size: NDArray[np.intp], cones: Cones) -> Floats:
    """Draw the net volume that a designer would aim at, all cones together [m3]."""
    ends = _CLOSED_M3[size]
    closed = ends[:, 0] * (ends[:, 1] / ends[:, 0]) ** rng.random(size.size)
    low, high = _GROWTH[kind]
    return np.asarray(closed * cones.count * rng.uniform(low, high, size.size), float)


def port(rng: Generator, volume_m3: Floats, tuning_hz: Floats, cones: Cones) -> Port:
    """Lay out the port: as large as the room allows, of the length that the tuning needs.

    Small's least area, 0.8 fb Vd (JAES 21(5), 1973; number from memory), is reached by
    few ready-made boxes; these have 30 to 70 % of it.
    """
    n = volume_m3.size
    displaced = cones.count * cones.Sd_m2 * cones.Xmax_m
    area = 0.8 * tuning_hz * displaced * rng.uniform(0.30, 0.70, n)
    is_slot = rng.random(n) < 0.55
    count = np.where(~is_slot & (rng.random(n) < 0.3), 2, 1).astype(np.int64)
    across = np.round(np.sqrt(area / count * 4 / np.pi), 3)
    area = np.where(is_slot, np.round(area, 5), count * np.pi * across**2 / 4)
    draft = Port(
        is_slot=is_slot,
        count=count,
        area_m2=area,
        length_m=np.zeros(n),
        flared=~is_slot & (rng.random(n) < 0.6),
    )
    effective = area * C**2 / ((2 * np.pi * tuning_hz) ** 2 * volume_m3)
    length = np.round((effective - draft.end_correction_m) * 200) / 200
    return Port(is_slot=is_slot, count=count, area_m2=area, length_m=length, flared=draft.flared)


def port_tuning_hz(volume_m3: Floats, of: Port) -> Floats:
    """Return the Helmholtz resonance of a chamber with its port [Hz]."""
    effective = of.length_m + of.end_correction_m
    return np.asarray(C / (2 * np.pi) * np.sqrt(of.area_m2 / (volume_m3 * effective)), float)


def no_port(n: int) -> Port:
    """Return the ports of boxes that have none."""
    none = np.zeros(n, np.bool_)
    zero = np.zeros(n)
    return Port(is_slot=none, count=np.ones(n, np.int64), area_m2=zero, length_m=zero, flared=none)


@dataclass(frozen=True, kw_only=True)
class Radiators(Columns):
    """Columns of passive radiators; figures of each, count 0 where there are none."""

    count: Ints
    Sd_m2: Floats
    Mms_kg: Floats
    Cms_m_per_n: Floats
    Rms_kg_per_s: Floats
    Xmax_m: Floats


def radiators(rng: Generator, volume_m3: Floats, tuning_hz: Floats, cones: Cones) -> Radiators:
    """Lay out passive radiators: one or two a cone, mass and suspension from the tuning.

    fb = fp sqrt(1 + Cap/Cab) (Small, JAES 22(8), 1974).
    """
    n = volume_m3.size
    two_each = rng.random(n) < 0.25
    count = cones.count * np.where(two_each, 2, 1)
    Sd = cones.Sd_m2 * np.where(two_each, rng.uniform(0.85, 1.0, n), 1.25)
    own_hz = rng.uniform(13.0, 20.0, n)
    delta = (tuning_hz / own_hz) ** 2 - 1
    Cms = delta * volume_m3 / (RHO * C**2) / (count * Sd**2)
    Mms = 1 / ((2 * np.pi * own_hz) ** 2 * Cms)
    return Radiators(
        count=np.asarray(count, np.int64),
        Sd_m2=Sd,
        Mms_kg=Mms,
        Cms_m_per_n=Cms,
        Rms_kg_per_s=2 * np.pi * own_hz * Mms / rng.uniform(6.0, 14.0, n),
        Xmax_m=cones.Xmax_m * rng.uniform(1.3, 1.9, n),
    )


def radiator_tuning_hz(volume_m3: Floats, of: Radiators) -> Floats:
    """Return the resonance of a chamber with its radiators [Hz]."""
    own = 1 / (2 * np.pi * np.sqrt(of.Mms_kg * of.Cms_m_per_n))
    delta = of.count * of.Sd_m2**2 * of.Cms_m_per_n * RHO * C**2 / volume_m3
    return np.asarray(own * np.sqrt(1 + delta), float)


def no_radiators(n: int) -> Radiators:
    """Return the radiators of boxes that have none."""
    nan = np.full(n, np.nan)
    return Radiators(
        count=np.zeros(n, np.int64),
        Sd_m2=nan,
        Mms_kg=nan,
        Cms_m_per_n=nan,
        Rms_kg_per_s=nan,
        Xmax_m=nan,
    )
