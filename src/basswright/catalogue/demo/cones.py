"""Hidden drivers, drawn from typical ranges in which the parameters go together.

The ranges are common practice, no source. A heavier cone moves further, resonates
lower and takes more power; a shallow driver gives up excursion and gains mass.
"""

from __future__ import annotations

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from basswright.catalogue.demo.hidden import Cones, Floats, Ints
from basswright.records.enclosure import BoxKind

#: Nominal sizes, and for each the ranges of the parameters. Common practice, no source.
SIZES_M: Floats = np.array([0.200, 0.250, 0.300, 0.380])
SIZES_INCH: Ints = np.array([8, 10, 12, 15])
_SD_M2 = np.array([[0.0200, 0.0230], [0.0310, 0.0360], [0.0460, 0.0530], [0.0760, 0.0870]])
_MMS_KG = np.array([[0.050, 0.120], [0.090, 0.190], [0.130, 0.270], [0.200, 0.420]])
_FS_HZ = np.array([[30.0, 45.0], [28.0, 40.0], [24.0, 36.0], [20.0, 32.0]])
_XMAX_M = np.array([[0.006, 0.014], [0.008, 0.017], [0.009, 0.020], [0.010, 0.022]])
_LE_H = np.array([[0.8e-3, 2.5e-3], [1.0e-3, 3.0e-3], [1.0e-3, 3.5e-3], [1.2e-3, 4.0e-3]])
_POWER_W = np.array([[120.0, 320.0], [160.0, 480.0], [220.0, 750.0], [350.0, 1100.0]])
_QTS: dict[BoxKind, tuple[float, float]] = {
    "closed": (0.42, 0.75),
    "vented": (0.38, 0.58),
    "passive-radiator": (0.38, 0.60),
    "bandpass": (0.40, 0.60),
}


def draw(rng: Generator, kind: BoxKind, size: NDArray[np.intp], count: Ints) -> Cones:
    """Draw one driver for each box: its size (index into `SIZES_M`) and count are given."""
    n = size.size
    heavy, throw, tone, load, motor, heat = rng.standard_normal((6, n))
    shallow = rng.random(n) < 0.15
    Mms = _within(_MMS_KG[size], heavy) * np.where(shallow, 1.12, 1.0)
    fs = _within(_FS_HZ[size], -0.6 * heavy + 0.8 * tone)
    Xmax = _within(_XMAX_M[size], 0.6 * heavy + 0.8 * throw) * np.where(shallow, 2 / 3, 1.0)
    Sd = _within(_SD_M2[size], rng.standard_normal(n))
    low, high = _QTS[kind]
    Qts = low + (high - low) * _share(motor)
    Qms = rng.uniform(3.5, 9.5, n)
    nominal, series = _wiring(rng, count)
    Re = nominal * (0.80 + 0.15 * _share(load))
    w = 2 * np.pi * fs
    Qes = 1 / (1 / Qts - 1 / Qms)
    return Cones(
        count=count,
        series=series,
        size_m=SIZES_M[size],
        nominal_ohm=nominal,
        shallow=shallow,
        Sd_m2=Sd,
        Mms_kg=Mms,
        Cms_m_per_n=1 / (w**2 * Mms),
        Rms_kg_per_s=w * Mms / Qms,
        Bl_tm=np.sqrt(w * Mms * Re / Qes),
        Re_ohm=Re,
        Le_henry=_within(_LE_H[size], 0.5 * heavy + 0.87 * heat) * nominal / 4,
        Xmax_m=Xmax,
        thermal_power_w=_within(_POWER_W[size], 0.5 * heavy + 0.5 * throw + 0.7 * heat),
    )


def _share(z: Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-1.7 * z)), float)


def _within(ends: Floats, z: Floats) -> Floats:
    """Map a normal draw into a range, evenly on a logarithmic scale."""
    return np.asarray(ends[:, 0] * (ends[:, 1] / ends[:, 0]) ** _share(z), float)


def _wiring(rng: Generator, count: Ints) -> tuple[Floats, Ints]:
    """Draw the nominal impedance of each driver, and how many are in series."""
    total = rng.choice([1.0, 2.0, 4.0], count.size, p=[0.15, 0.45, 0.40])
    in_series = (count == 2) & (total > 1) & (rng.random(count.size) < 0.3)
    series = np.where(in_series | (count == 4), 2, 1)
    return total * count / series**2, np.asarray(series, np.int64)
